"""The settings of the web interface."""

import os
from dataclasses import dataclass, field

from termbase.store.engine import Store

__all__ = ["LOCAL_HOSTS", "Settings"]

LOCAL_HOSTS = ("localhost", "127.0.0.1", "[::1]")
"""The names a browser on the same machine may use."""

MEGABYTE = 1024 * 1024


@dataclass(frozen=True)
class Settings:
    """Settings of one web interface for one termbase.

    Attributes:
        store: the termbase.
        hosts: host names (without port) that it accepts; any other is refused, so that
            a foreign web page cannot reach it by pointing its own name here (DNS rebinding).
        max_upload: largest request in bytes.
        max_text: largest sum of typed text in one form, in bytes.
        default_person: the current person if none was chosen and the termbase has no people.
        key: the access key that each browser is asked for once; empty for none.
        interface_language: BCP 47 tag of the default interface language.
        files: folder for uploads and files from long jobs; if empty, beside the SQLite database file.
            Defaults to the environment variable WORDHOLD_FILES.
        debug: reload templates when they change.
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
