"""What a backup contains, and where."""

from dataclasses import dataclass
from typing import Final

from termbase.messages import joined, message
from termbase.store.rows import KINDS

__all__ = [
    "ACTS", "CHANGES", "CITATIONS", "COUNTERS", "FORMAT", "IMAGES", "MANIFEST", "READ_ME", "RECORD_KINDS",
    "TBX", "BackupReport", "ImageLine", "Manifest", "Member", "image_member", "records_member",
]  # fmt: skip

FORMAT: Final = 1
"""Increased when earlier versions of the program cannot read new backups."""

MANIFEST: Final = "manifest.json"
READ_ME: Final = "README.txt"
ACTS: Final = "history/acts.jsonl"
CHANGES: Final = "history/changes.jsonl"
COUNTERS: Final = "counters.json"
CITATIONS: Final = "citations.json"
TBX: Final = "termbase.tbx"
"""For other programs, lossless; not in backups from earlier versions."""
IMAGES: Final = "records/image.jsonl"
RECORD_KINDS: Final = tuple(kind for kind in KINDS if kind != "image")
"""Kinds of record stored one per line, in the order in which they can be written back."""

_SUFFIX: Final = {"image/png": "png", "image/jpeg": "jpg", "image/webp": "webp"}


@dataclass(frozen=True)
class Member:
    """One file in the backup: its name, size in bytes, SHA-256, and number of records."""

    name: str
    size: int
    sha256: str
    records: int = 0


@dataclass(frozen=True)
class Manifest:
    """The contents of a backup.

    Attributes:
        wordhold: always `backup`.
        format: see `FORMAT`.
        tables: version of the tables it was made from.
        title: of the termbase.
        made_on: date (ISO).
        members: every other file of the zip.
    """

    wordhold: str
    format: int
    tables: str
    title: str
    made_on: str
    members: tuple[Member, ...]


@dataclass(frozen=True)
class ImageLine:
    """What is stored about a picture besides its bytes."""

    id: str
    media_type: str
    width: int
    height: int
    file: str


@dataclass(frozen=True)
class BackupReport:
    """What was written or restored.

    Attributes:
        title: title of the termbase.
        counts: how many records of each kind, acts and changes.
    """

    title: str
    counts: dict[str, int]

    def readable(self) -> str:
        """Return it in one line."""
        counted = (joined((str(number), message(name))) for name, number in self.counts.items() if number)
        return joined(counted, ", ")


def records_member(kind: str) -> str:
    """Return the member with the records of a kind."""
    return f"records/{kind}.jsonl"


def image_member(image_id: str, media_type: str) -> str:
    """Return the member of a picture."""
    return f"images/{image_id}.{_SUFFIX.get(media_type, 'bin')}"
