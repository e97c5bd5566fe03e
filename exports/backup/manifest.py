"""What a backup holds, and where in it."""

from dataclasses import dataclass
from typing import Final

from termbase.messages import joined, message
from termbase.store.rows import KINDS

__all__ = [
    "ACTS", "CHANGES", "CITATIONS", "COUNTERS", "FORMAT", "IMAGES", "MANIFEST", "READ_ME", "RECORD_KINDS",
    "TBX", "BackupReport", "ImageLine", "Manifest", "Member", "image_member", "records_member",
]  # fmt: skip

FORMAT: Final = 1
"""Raised when a backup of the new kind cannot be read by the program as it was."""

MANIFEST: Final = "manifest.json"
READ_ME: Final = "README.txt"
ACTS: Final = "history/acts.jsonl"
CHANGES: Final = "history/changes.jsonl"
COUNTERS: Final = "counters.json"
CITATIONS: Final = "citations.json"
TBX: Final = "termbase.tbx"
"""For other programs, lossless; not in backups of earlier versions."""
IMAGES: Final = "records/image.jsonl"
RECORD_KINDS: Final = tuple(kind for kind in KINDS if kind != "image")
"""Kinds of record kept one to a line, in the order in which they can be written back."""

_SUFFIX: Final = {"image/png": "png", "image/jpeg": "jpg", "image/webp": "webp"}


@dataclass(frozen=True)
class Member:
    """One file of the backup: its name, its size in bytes, its SHA-256, and how many records it holds."""

    name: str
    size: int
    sha256: str
    records: int = 0


@dataclass(frozen=True)
class Manifest:
    """What the whole is.

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
    """What is kept of a picture beside its bytes."""

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
        """In one line."""
        counted = (joined((str(number), message(name))) for name, number in self.counts.items() if number)
        return joined(counted, ", ")


def records_member(kind: str) -> str:
    """Where the records of a kind are."""
    return f"records/{kind}.jsonl"


def image_member(image_id: str, media_type: str) -> str:
    """Where a picture is."""
    return f"images/{image_id}.{_SUFFIX.get(media_type, 'bin')}"
