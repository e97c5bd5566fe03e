"""The records of a file to import, the choice of what to import, and their references.

References are translated from ids in the file to ids in this termbase, using the fields that hold ids.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, is_dataclass, replace
from enum import StrEnum
from functools import cache
from typing import TYPE_CHECKING, Final, Protocol, TypeVar

from termbase.fields.declarations import DeclaredField, Lines, Reference, Statement, changed_by, fields_of
from termbase.record.entries import Entry, Redirect
from termbase.record.pages import Line, Page
from termbase.record.people import Image, Person, Termbase
from termbase.record.sources import Slip, Source
from termbase.record.trials import Trial
from termbase.rules.clauses import RuleCode
from termbase.technique.profile import REFERRED_ID, Stated

__all__ = [
    "LATE",
    "Choice",
    "IdOf",
    "IncomingEntry",
    "IncomingFile",
    "IncomingRecord",
    "Late",
    "Pointer",
    "Record",
    "State",
    "late_pointers",
    "pointed",
]


Record = Termbase | Person | Source | RuleCode | Image | Slip | Page | Line | Trial | Redirect


if TYPE_CHECKING:
    from _typeshed import DataclassInstance
Made = TypeVar("Made", bound="DataclassInstance")
IdOf = Callable[[str, str], str]
"""Returns the id here of a record in the file, from its kind and its id there."""
Pointer = tuple[str, str]
"""A reference: kind and id."""
LATE: Final = ("slip", "trial")
"""Kinds that a record can refer to before they come in the file, when their id here is not known yet."""


class State(StrEnum):
    """How an incoming record relates to the record here."""

    NEW = "new"
    SAME = "same"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True)
class IncomingEntry:
    """An entry as it is in the file, with the slips of its terms; ids are the file's own."""

    entry: Entry
    slips: tuple[Slip, ...]
    place: str


@dataclass(frozen=True, slots=True)
class IncomingRecord:
    """Any other record as it is in the file; its id and references are the file's own."""

    kind: str
    record: Record
    place: str


class IncomingFile(Protocol):
    """A file to import.

    Attributes:
        name: its name, for messages and the history.
        whole: whether it is in our own format and complete, so that what is not in it is not in the record.
            With a file from another system, whatever it cannot express is kept as it is here.
    """

    name: str
    whole: bool

    def check_ready(self) -> None:
        """Check that everything needed before the import has been stated.

        Raises:
            BadInput: something is missing, such as the origin of its names.
        """

    def early(self, known: Callable[[str], bool]) -> Iterator[IncomingRecord | IncomingEntry | str]:
        """Read the file a first time, checking all of it, and yield the termbase, people, sources, rule codes
        and pictures; an entry in full if its id is known here, otherwise only its id.

        Raises:
            BadInput: the file cannot be imported.
        """

    def highest(self, letter: str) -> int:
        """Return, after the first pass, the highest number among the file's ids with this letter, so that no
        new id collides with one in the file."""

    def has_entry(self, file_id: str) -> bool:
        """Return, after the first pass, whether the file has an entry with this id."""

    def later(self) -> Iterator[IncomingEntry | IncomingRecord]:
        """Read the file a second time; yield every entry, then slips without a term, pages, lines, trials."""


@dataclass(frozen=True, slots=True)
class Choice:
    """The choice of what to import from a file.

    Attributes:
        changed: also import what is already here but differs.
        entries: ids of the entries to import, as in the file; None for all. Entries named here are imported
            even if they are changed ones.
        rest: also import what belongs to no entry: unsorted slips, pages, lines; and the termbase's own data,
            if nothing has been recorded here yet.
        new_ids: give every entry, slip, page, line and trial a new id, as if from another termbase.
    """

    changed: bool = False
    entries: frozenset[str] | None = None
    rest: bool = True
    new_ids: bool = False

    def wants(self, file_id: str, state: State) -> bool:
        """Whether to import an entry in this state."""
        if self.entries is not None:
            return file_id in self.entries and state is not State.SAME
        return state is State.NEW or (state is State.CHANGED and self.changed)


@dataclass(frozen=True, slots=True)
class Late:
    """A record's references to slips and trials that come after it in the file.

    Attributes:
        pointers: by their ids in the file.
        known: the record is already here, so a reference that is not in the file may be to a record here.
    """

    pointers: tuple[Pointer, ...]
    known: bool


def pointed(record: Made, id_of: IdOf) -> Made:
    """Return the record with every reference, at any depth, changed to the id here. Its own id is kept."""
    changed: dict[str, object] = {}
    for field in _pointing(type(record)):
        old: object = getattr(record, field.name)
        new = _translated(field, old, id_of)
        if new != old:
            changed[field.name] = new
    return changed_by(record, changed) if changed else record


def late_pointers(record: "DataclassInstance") -> Iterator[Pointer]:
    """Return the slips and trials that a record refers to, at any depth."""
    for field in _pointing_late(type(record)):
        value: object = getattr(record, field.name)
        if isinstance(value, Stated):
            if value.basis in LATE:
                yield from ((value.basis, item) for item in REFERRED_ID.findall(value.ref))
            continue
        kind = _kind(field)
        for item in value if isinstance(value, tuple) else (value,):
            if isinstance(item, str) and kind:
                if item:
                    yield kind, item
            elif is_dataclass(item) and not isinstance(item, type):
                yield from late_pointers(item)


@cache
def _pointing(cls: type) -> tuple[DeclaredField, ...]:
    """Return the fields of a record class that hold ids of other records, or records that do."""
    return tuple(
        f
        for f in fields_of(cls)
        if _kind(f) or isinstance(f.is_a, Statement) or any(map(_pointing, filter(is_dataclass, f.within)))
    )


@cache
def _pointing_late(cls: type) -> tuple[DeclaredField, ...]:
    """Return the fields of a record class that can hold ids of slips and trials."""
    return tuple(
        f
        for f in _pointing(cls)
        if _kind(f) in LATE
        or isinstance(f.is_a, Statement)
        or any(map(_pointing_late, filter(is_dataclass, f.within)))
    )


def _kind(field: DeclaredField) -> str:
    """Return the kind of record that a field always refers to, if any."""
    return field.is_a.to if isinstance(field.is_a, Reference | Lines) else ""


def _translated(field: DeclaredField, value: object, id_of: IdOf) -> object:
    kind = _kind(field)
    if isinstance(value, tuple):
        led = tuple(id_of(kind, item) if kind else pointed(item, id_of) for item in value)
        return tuple(dict.fromkeys(led)) if kind and led != value else led  # two may be the same record here
    if kind and isinstance(value, str):
        return id_of(kind, value) if value else value
    if isinstance(value, Stated):
        return _translated_basis(value, id_of)
    return pointed(value, id_of) if is_dataclass(value) and not isinstance(value, type) else value


def _translated_basis(statement: Stated[object], id_of: IdOf) -> Stated[object]:
    """Return a statement with the ids here of the slips or trials it is based on; missing ones are
    dropped."""
    kind = statement.basis
    if kind not in LATE or not statement.ref:
        return statement
    new_ref = REFERRED_ID.sub(lambda found: id_of(kind, found[0]), statement.ref)
    return statement if new_ref == statement.ref else replace(statement, ref=new_ref.strip(" ,;"))
