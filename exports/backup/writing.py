"""Writing a backup: streamed, member by member, and renamed only when it is complete."""

import hashlib
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final

import msgspec

from exports.citations.csl import csl_json_pieces
from exports.files import atomic_write
from exports.tbx.writer import render
from termbase.messages import joined, message
from termbase.overviews.articles import Library
from termbase.record.people import Image
from termbase.record.sources import Source
from termbase.store.bulk import records
from termbase.store.copying import acts_of, changes_of, counters_of, records_of, size_of
from termbase.store.engine import tables_version
from termbase.store.reading import Reader
from termbase.store.rows import KINDS

__all__ = [
    "ACTS",
    "CHANGES",
    "CITATIONS",
    "COUNTERS",
    "FORMAT",
    "IMAGES",
    "MANIFEST",
    "READ_ME",
    "RECORD_KINDS",
    "TBX",
    "BackupReport",
    "ImageLine",
    "Manifest",
    "Member",
    "image_member",
    "records_member",
    "write_backup",
    "write_record",
]


FORMAT: Final = 1
"""Increased when earlier versions of the program cannot read new backups."""

MANIFEST: Final = "manifest.json"
READ_ME: Final = "README.txt"
ACTS: Final = "history/acts.jsonl"
CHANGES: Final = "history/changes.jsonl"
COUNTERS: Final = "counters.json"
CITATIONS: Final = "citations.json"
TBX: Final = "termbase.tbx"
"""Lossless, for other programs; backups from earlier versions do not have it."""
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
        title: title of the termbase.
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
        """Return the counts in one line."""
        counted = (joined((str(number), message(name))) for name, number in self.counts.items() if number)
        return joined(counted, ", ")


def records_member(kind: str) -> str:
    """Return the member with the records of a kind."""
    return f"records/{kind}.jsonl"


def image_member(image_id: str, media_type: str) -> str:
    """Return the member of a picture."""
    return f"images/{image_id}.{_SUFFIX.get(media_type, 'bin')}"


_REPORT_EVERY = 500
_READ_ME = """Backup of a Wordhold termbase.

manifest.json           every other file with its size and SHA-256
records/KIND.jsonl      one record to a line (JSON, UTF-8); the fields are those of the program's records
records/image.jsonl     the pictures; their bytes are in images/
history/acts.jsonl      who did what, when; history/changes.jsonl: every record before and after each act
counters.json           the number last given to an id of each kind
citations.json          the sources as CSL-JSON, for other programs
termbase.tbx            everything but the history as TBX-Wordhold (ISO 30042), for other programs

Restore it with: wordhold restore FILE.zip --db NEW
"""


def write_backup(
    reader: Reader, path: Path, *, made_on: str, on_progress: Callable[[int, int], None] | None = None
) -> BackupReport:
    """Write everything in the termbase to a zip.

    The same record on the same day produces the same bytes.

    Args:
        reader: a snapshot of the record.
        path: path of the file; an existing file is replaced once the new one is complete.
        made_on: today (ISO).
        on_progress: called regularly with the number of records and changes done, and the total.

    Raises:
        OSError: it cannot be written there.
    """
    with atomic_write(path) as unfinished, zipfile.ZipFile(unfinished, "x") as archive:
        writer = _Writer(archive, made_on, size_of(reader), on_progress)
        writer.lines(READ_ME, iter((_READ_ME.encode(),)), counted=False)
        counts = {}
        for kind in RECORD_KINDS:
            lines = (msgspec.json.encode(record) + b"\n" for record in records_of(reader, kind))
            counts[kind] = writer.lines(records_member(kind), lines)
        counts["image"] = _images(writer, reader)
        counts["act"] = writer.lines(ACTS, (msgspec.json.encode(act) + b"\n" for act in acts_of(reader)))
        counts["change"] = writer.lines(
            CHANGES, (msgspec.json.encode(change) + b"\n" for change in changes_of(reader))
        )
        counters = msgspec.json.format(msgspec.json.encode(counters_of(reader)), indent=2)
        writer.lines(COUNTERS, iter((counters + b"\n",)), counted=False)
        citations = csl_json_pieces(reader.all(Source))
        writer.lines(CITATIONS, (piece.encode() for piece in citations), counted=False)
        whole = (piece.encode() for piece in render(Library(reader), "wordhold"))
        writer.lines(TBX, whole, counted=False)
        title = reader.termbase().title
        manifest = Manifest("backup", FORMAT, tables_version(), title, made_on, tuple(writer.members))
        archive.writestr(
            writer.info(MANIFEST), msgspec.json.format(msgspec.json.encode(manifest), indent=2) + b"\n"
        )
    return BackupReport(title, counts)


def write_record(
    library: Library, path: Path, *, as_of: str, on_progress: Callable[[int, int], None] | None = None
) -> BackupReport:
    """Write the whole record to one zip, as `write_backup` does; `as_of` is today (ISO).

    Raises:
        OSError: it cannot be written there.
    """
    return write_backup(library.reader, path, made_on=as_of, on_progress=on_progress)


class _Writer:
    """Writes members and records them for the manifest."""

    def __init__(
        self,
        archive: zipfile.ZipFile,
        made_on: str,
        total: int,
        on_progress: Callable[[int, int], None] | None,
    ) -> None:
        self.archive = archive
        self.members: list[Member] = []
        self._day = date.fromisoformat(made_on)
        self._total = total
        self._done = 0
        self._on_progress = on_progress

    def info(self, name: str, compression: int = zipfile.ZIP_DEFLATED) -> zipfile.ZipInfo:
        """Return the header of a member: the day of the backup, readable by its owner and the group."""
        info = zipfile.ZipInfo(name, (max(self._day.year, 1980), self._day.month, self._day.day, 0, 0, 0))
        info.compress_type = compression
        info.external_attr = 0o640 << 16
        return info

    def lines(self, name: str, lines: Iterator[bytes], *, counted: bool = True) -> int:
        """Write a member line by line; return the number of lines."""
        digest, size, number = hashlib.sha256(), 0, 0
        with self.archive.open(self.info(name), "w", force_zip64=True) as member:
            for line in lines:
                member.write(line)
                digest.update(line)
                size += len(line)
                number += 1
                if counted:
                    self._report()
        self.members.append(Member(name, size, digest.hexdigest(), number if counted else 0))
        return number

    def picture(self, name: str, data: bytes) -> None:
        """Write a picture; its bytes are already compressed."""
        self.archive.writestr(self.info(name, zipfile.ZIP_STORED), data)
        self.members.append(Member(name, len(data), hashlib.sha256(data).hexdigest()))

    def _report(self) -> None:
        self._done += 1
        if self._on_progress and (self._done % _REPORT_EVERY == 0 or self._done == self._total):
            self._on_progress(self._done, self._total)


def _images(writer: _Writer, reader: Reader) -> int:
    lines: list[ImageLine] = []
    for image in records(reader, Image):
        lines.append(_image_line(image))
        writer.picture(lines[-1].file, image.data)
    return writer.lines(IMAGES, (msgspec.json.encode(line) + b"\n" for line in lines))


def _image_line(image: Image) -> ImageLine:
    file = image_member(image.id, image.media_type)
    return ImageLine(image.id, image.media_type, image.width, image.height, file)
