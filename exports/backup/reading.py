"""Restoring a backup: everything is checked before anything is written, in one transaction.

Records from earlier versions, which stored reasons and problems as English sentences, are upgraded.
"""

import hashlib
import re
import zipfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cached_property, partial
from pathlib import Path
from typing import Final, Protocol, TypeVar

import msgspec
from sqlalchemy import Connection

from exports.backup.tables import LARGEST_LINE, fill_tables, read_manifest
from exports.backup.writing import (
    ACTS,
    CHANGES,
    CITATIONS,
    COUNTERS,
    FORMAT,
    IMAGES,
    MANIFEST,
    READ_ME,
    RECORD_KINDS,
    TBX,
    BackupReport,
    ImageLine,
    Manifest,
    Member,
    records_member,
)
from exports.files import opened_zip, read_pieces
from termbase.errors import BadInput
from termbase.fields.notes import CodedText
from termbase.messages import joined, message
from termbase.record.entries import Entry
from termbase.record.people import Image
from termbase.store.copying import Change, Refill
from termbase.store.engine import Store, known_tables
from termbase.store.oldtexts.acts import act_kept
from termbase.store.oldtexts.states import Texts, forward
from termbase.store.rows import KINDS, ActRecord
from termbase.store.writing import PREFIX

__all__ = ["LAST_WITH_SENTENCES", "brought_up", "restore", "texts_of"]

LAST_WITH_SENTENCES: Final = "0008"
"""The last version of the tables whose records contained sentences."""


def texts_of(
    people: Iterable[Mapping[str, object]],
    codes: Iterable[Mapping[str, object]],
    acts: Iterable[Mapping[str, object]],
    changes: Iterable[Change],
) -> Texts:
    """Return the reader for texts of a backup; it knows the names of people and rule codes."""
    names: dict[str, set[str]] = {"person": set(), "code": set()}
    names["person"].update(str(person.get("name", "")) for person in people)
    names["person"].update(str(act.get("by", "")) for act in acts)
    names["code"].update(str(code.get("name", "")) for code in codes)
    for change in changes:
        for state in (change.before, change.after) if change.kind in names else ():
            document = _document(state)
            if isinstance(document, dict):
                names[change.kind].add(str(document.get("name", "")))
    return forward(names["person"] - {""}, names["code"] - {""})


def brought_up(change: Change, texts: Texts) -> Change:
    """Return a change with its states in the current form; a state that cannot be read stays as it is."""

    def state(text: str | None) -> str | None:
        document = _document(text)
        if document is None:
            return text
        texts.record(change.kind, document)
        return msgspec.json.encode(document).decode()

    if change.kind not in ("entry", "line", "redirect"):
        return change
    return replace(change, before=state(change.before), after=state(change.after))


def _document(text: str | None) -> object:
    try:
        return msgspec.json.decode(text) if text else None
    except msgspec.DecodeError:
        return None


LARGEST_MANIFEST: Final = 64 * 1024 * 1024
_REPORT_EVERY: Final = 500
_AGAIN: Final = message("Nothing has been changed. Use another copy of the backup.")
_DIGITS: Final = re.compile(r"[0-9]{1,9}")

T = TypeVar("T")


class Identified(Protocol):
    """A record of any kind."""

    @property
    def id(self) -> str:
        """The id, assigned once by the store."""


OnProgress = Callable[[int, int], None]


def restore(
    path: Path, place: str, *, as_it_was: bool = False, on_progress: OnProgress | None = None
) -> BackupReport:
    """Create the termbase that a backup contains, in a new database.

    Args:
        path: the zip written by `write_backup` or by an upgrade.
        place: path or URL of the database; nothing may be there yet.
        as_it_was: keep the older version of the tables in an upgrade's backup.
        on_progress: called regularly with the number of records checked or written, and the total.

    Raises:
        BadInput: it is not a backup, is damaged, incomplete or was tampered with, or is from a newer version;
            or something is already at the place. Nothing is written then.
        OSError: the file cannot be read.
    """
    with opened_zip(path, message("a backup")) as archive:
        if (tables := read_manifest(archive, path.name)) is not None:
            counts: dict[str, int] = {}

            def fill(connection: Connection) -> None:
                counts.update(fill_tables(archive, tables, path.name, connection))

            upgraded = "" if as_it_was else "head"
            Store.refill(place, fill, tables=tables.tables, upgraded=upgraded).close()
            return BackupReport(tables.title, counts)
        if as_it_was:
            raise BadInput(
                message("This backup contains records, not tables from an older version."),
                where=path.name,
                fix=message("Run it again without --as-it-was."),
            )
        backup = _Backup(archive, path.name, on_progress)
        backup.check()
        Store.refill(place, backup.fill).close()
        return BackupReport(backup.manifest.title, backup.counts)


class _ActLine(msgspec.Struct, frozen=True):
    id: int
    at: str
    by: str
    what: CodedText | str
    undoes: int | None


class _Backup:
    """A backup that is being checked, then written."""

    def __init__(self, archive: zipfile.ZipFile, name: str, on_progress: OnProgress | None) -> None:
        self.archive = archive
        self.name = name
        self.manifest = self._manifest()
        self.members = {member.name: member for member in self.manifest.members}
        self.counts = self._counts()
        self._done = 0
        self._total = 2 * sum(self.counts.values()) + self.counts["entry"]
        self._on_progress = on_progress

    def check(self) -> None:
        """Read everything once.

        Raises:
            BadInput: a member does not match the manifest, or a line in it is not a record.
        """
        counters = self.counters()
        for kind in RECORD_KINDS:
            for record in self.records(kind):
                self._check_id(kind, record, counters)
                for term in record.terms if isinstance(record, Entry) else ():
                    self._check_id("term", term, counters)
        if [t.id for t in self.records("termbase", report=False)] != ["termbase"]:
            raise self._bad(records_member("termbase"), message("It does not contain exactly one termbase."))
        for _ in self.images():
            pass
        for _ in self.acts():
            pass
        for change in self.changes():
            self._check_change(change)
        for name in (READ_ME, CITATIONS, TBX):
            if name == TBX and name not in self.members:
                continue  # earlier backups do not have it
            for _ in self._pieces(self._member(name)):
                pass

    def fill(self, connection: Connection) -> None:
        """Write everything."""
        refill = Refill(connection)
        for kind in KINDS:
            if kind == "image":
                refill.records(kind, self.images())
            elif kind == "entry":
                refill.entries(self.entries())
                refill.parts_of_entries(self.entries())
            else:
                refill.records(kind, self.records(kind))
        refill.acts(self.acts())
        refill.changes(self.changes())
        refill.counters(self.counters())
        refill.finish()

    # ---- contents

    def records(self, kind: str, *, report: bool = True) -> Iterator[Identified]:
        """Yield the records of a kind; with `report`, progress is reported."""
        return self._decoded(
            records_member(kind), KINDS[kind].cls, report=report, upgrade=self._upgrade(kind)
        )

    def entries(self) -> Iterator[Entry]:
        """Yield the entries."""
        return self._decoded(records_member("entry"), Entry, upgrade=self._upgrade("entry"))

    def _upgrade(self, kind: str) -> Callable[[object], None] | None:
        """Return the function that upgrades a record of an earlier version; None if no upgrade is needed."""
        return partial(self._older.record, kind) if self._older else None

    def images(self) -> Iterator[Image]:
        """Yield the pictures, one at a time."""
        for line in self._decoded(IMAGES, ImageLine):
            data = b"".join(self._pieces(self._member(line.file)))
            yield Image(line.id, line.media_type, line.width, line.height, data)

    def acts(self) -> Iterator[ActRecord]:
        """Yield the acts; earlier versions stored what was done as an English sentence."""
        for act in self._decoded(ACTS, _ActLine):
            what = msgspec.convert(act_kept(act.what), CodedText) if isinstance(act.what, str) else act.what
            yield ActRecord(act.id, act.at, act.by, what, act.undoes)

    def changes(self) -> Iterator[Change]:
        """Yield the changes."""
        for change in self._decoded(CHANGES, Change):
            yield brought_up(change, self._older) if self._older else change

    def counters(self) -> dict[str, int]:
        """Return the last numbers used."""
        return self._whole(COUNTERS, b"".join(self._pieces(self._member(COUNTERS))), dict[str, int])

    # ---- reading and checking

    @cached_property
    def _older(self) -> Texts | None:
        """Return the reader for texts of an earlier version; None if the backup has no such texts."""
        if self.manifest.tables > LAST_WITH_SENTENCES:
            return None
        members = (records_member("person"), records_member("code"), ACTS)
        people, codes, acts = (self._decoded(name, dict[str, object], report=False) for name in members)
        return texts_of(people, codes, acts, self._decoded(CHANGES, Change, report=False))

    def _manifest(self) -> Manifest:
        if MANIFEST not in self.archive.namelist():
            raise BadInput(
                message("This is not a backup: it has no manifest."),
                where=self.name,
                fix=message("Use a file made by `wordhold backup`."),
            )
        content = b"".join(read_pieces(self.archive, MANIFEST, LARGEST_MANIFEST))
        manifest = self._whole(MANIFEST, content, Manifest)
        if manifest.wordhold != "backup":
            raise self._bad(MANIFEST, message("This is not a backup."))
        if manifest.format > FORMAT or manifest.tables not in known_tables():
            raise BadInput(
                message("The backup was made by a newer version of the program."),
                where=self.name,
                fix=message("Install a newer version and use it to restore the backup."),
            )
        listed = [member.name for member in manifest.members]
        present = set(self.archive.namelist()) - {MANIFEST}
        if len(set(listed)) != len(listed):
            raise self._bad(MANIFEST, message("It lists the same file twice."))
        if missing := sorted(set(listed) - present):
            raise self._bad(missing[0], message("It is missing."))
        if more := sorted(present - set(listed)):
            raise self._bad(more[0], message("It is not in the manifest."))
        return manifest

    def _counts(self) -> dict[str, int]:
        names = {kind: records_member(kind) for kind in RECORD_KINDS}
        names |= {"image": IMAGES, "act": ACTS, "change": CHANGES}
        return {kind: self._member(name).records for kind, name in names.items()}

    def _member(self, name: str) -> Member:
        member = self.members.get(name)
        if member is None:
            raise self._bad(name, message("It is missing."))
        return member

    def _pieces(self, member: Member) -> Iterator[bytes]:
        """Yield the bytes of a member, checked against the manifest."""
        digest, size = hashlib.sha256(), 0
        for piece in read_pieces(self.archive, member.name, member.size):
            digest.update(piece)
            size += len(piece)
            yield piece
        if size != member.size or digest.hexdigest() != member.sha256:
            raise self._bad(member.name, message("It is damaged: its SHA-256 does not match the manifest."))

    def _decoded(
        self, name: str, cls: type[T], *, report: bool = True, upgrade: Callable[[object], None] | None = None
    ) -> Iterator[T]:
        member = self._member(name)
        decoder = msgspec.json.Decoder(cls)
        number = 0
        for number, line in enumerate(self._lines(member), 1):
            try:
                if upgrade is None:
                    yield decoder.decode(line)
                else:
                    document = msgspec.json.decode(line)
                    upgrade(document)
                    yield msgspec.convert(document, cls)
            except (msgspec.DecodeError, UnicodeDecodeError) as error:
                raise self._bad(
                    message("%(name)s, line %(number)s", name=name, number=number),
                    message("This is not a record: %(error)s.", error=error),
                ) from error
            if report:
                self._report()
        if number != member.records:
            raise self._bad(
                name,
                message(
                    "It contains %(number)s records; the manifest says %(records)s.",
                    number=number,
                    records=member.records,
                ),
            )

    def _lines(self, member: Member) -> Iterator[bytes]:
        rest = b""
        for piece in self._pieces(member):
            *whole, rest = (rest + piece).split(b"\n")
            yield from whole
            if len(rest) > LARGEST_LINE:
                raise self._bad(member.name, message("A line in it is incomplete."))
        if rest:
            yield rest

    def _whole(self, name: str, content: bytes, cls: type[T]) -> T:
        try:
            return msgspec.json.decode(content, type=cls)
        except (msgspec.DecodeError, UnicodeDecodeError) as error:
            raise self._bad(name, message("It cannot be read: %(error)s.", error=error)) from error

    def _check_id(self, kind: str, record: Identified, counters: dict[str, int]) -> None:
        """Check that no id will be used twice after the backup is restored."""
        prefix = PREFIX.get(kind)
        record_id = record.id
        if prefix and record_id.startswith(prefix):
            digits = record_id.removeprefix(prefix)
            if _DIGITS.fullmatch(digits) and int(digits) > counters.get(kind, 0):
                raise self._bad(
                    COUNTERS,
                    message("It uses the id %(record_id)s twice.", record_id=record_id),
                )

    def _check_change(self, change: Change) -> None:
        mapped = KINDS.get(change.kind)
        if mapped is None:
            raise self._bad(CHANGES, message("There is no record type %(kind)r.", kind=change.kind))
        for state in (change.before, change.after):
            if state is not None:
                self._whole(
                    message("%(file)s, change %(id)s", file=CHANGES, id=change.id), state.encode(), mapped.cls
                )

    def _report(self) -> None:
        self._done += 1
        if self._on_progress and (self._done % _REPORT_EVERY == 0 or self._done == self._total):
            self._on_progress(self._done, self._total)

    def _bad(self, where: str, what: str) -> BadInput:
        return BadInput(what, where=joined((self.name, where), ", "), fix=_AGAIN)
