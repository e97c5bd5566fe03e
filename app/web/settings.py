"""What the web face is told when it is made."""

import os
from dataclasses import dataclass, field

from termbase.store import Store

__all__ = ["LOCAL_HOSTS", "Settings"]

LOCAL_HOSTS = ("localhost", "127.0.0.1", "[::1]")
"""The names a browser on the same machine may use."""

MEGABYTE = 1024 * 1024


@dataclass(frozen=True)
class Settings:
    """Settings of one web face over one termbase.

    Attributes:
        store: the termbase.
        hosts: host names (without port) under which it may be asked for; anything else is refused, so that
            a foreign web page cannot reach it by pointing its own name here (DNS rebinding).
        max_upload: largest request in bytes.
        max_text: largest sum of typed text in one form, in bytes.
        default_person: who is working when nobody has said so and the termbase names no people.
        key: the access key that each browser is asked for once; empty where nobody is asked.
        interface_language: BCP 47 tag of the tool's own voice.
        files: folder for uploads and for what long work makes; empty: beside the file of a SQLite database.
            As the environment variable WORDHOLD_FILES says, unless it is given.
        debug: show templates as they change.
    """

    store: Store
    hosts: tuple[str, ...] = LOCAL_HOSTS
    max_upload: int = 64 * MEGABYTE
    max_text: int = 16 * MEGABYTE
    default_person: str = "researcher"
    key: str = field(default="", repr=False)
    interface_language: str = "en"
    files: str = field(default_factory=lambda: os.environ.get("WORDHOLD_FILES", ""))
    debug: bool = False
