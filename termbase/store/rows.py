"""Records and acts to rows and back: one mapping per record class, derived from its fields.

A field becomes a column of the same name: text as it is, closed lists by their value, an empty reference as
NULL, tuples and nested records as JSON text.
"""

from collections.abc import Callable
from dataclasses import dataclass, is_dataclass, replace
from enum import StrEnum
from operator import attrgetter
from typing import Final, Generic, Protocol, TypeVar, cast

import msgspec
from sqlalchemy import Table

from termbase.codes.wording import statement_text
from termbase.errors import Damaged
from termbase.fields.declarations import Count, Data, DeclaredField, Flag, Member, Reason, Text, fields_of
from termbase.fields.notes import NOTHING_SAID, CodedText
from termbase.messages import message, plain_str
from termbase.record.entries import Analogue, Definition, Entry, Figure, Redirect, Relation, Ruling, Term
from termbase.record.pages import Line, Page
from termbase.record.people import Image, Person, Termbase
from termbase.record.sources import Slip, Source
from termbase.record.trials import Trial
from termbase.rules.clauses import RuleCode
from termbase.store import tables
from termbase.technique.profile import Profile

__all__ = [
    "ACT_COLUMNS",
    "CHILDREN",
    "ENTRY",
    "KINDS",
    "TERM",
    "ActRecord",
    "Kept",
    "KeptT",
    "Mapped",
    "Row",
    "act_from_row",
    "act_row",
    "kind_of",
    "mapped_of",
    "profile_of",
    "read_column",
    "reason_as_json",
    "reason_of",
    "revised",
    "word_of",
]


Row = dict[str, object]
"""The values of a row, by column."""
T_co = TypeVar("T_co", covariant=True)
Change = Callable[[object], object]
_UNREADABLE: Final = (ValueError, TypeError, RecursionError)
"""Raised if a column contains something that no version of the program has written; the last one, for JSON
nested too deeply."""


class Kept(Protocol):
    """A record that is stored under its own id."""

    @property
    def id(self) -> str:
        """The id, assigned once by the store."""


KeptT = TypeVar("KeptT", bound=Kept)
ClosedT = TypeVar("ClosedT", bound=StrEnum)
In = TypeVar("In")
Out = TypeVar("Out")


class Readable(Protocol):
    """A row from the database."""

    def __getitem__(self, column: str, /) -> object:
        """Return the value of a column."""


def _same(value: object) -> object:
    return value


def _text_in(value: object) -> object:
    return value or ""


def _null_if_empty(value: object) -> object:
    return value or None


def _value(value: object) -> object:
    # A member of a StrEnum is its text; asking it for `.value` is ten times slower.
    return None if value is None or not isinstance(value, str) else str.__str__(value)


def _json(value: object) -> object:
    if value == ():
        return "[]"
    return None if value is None else msgspec.json.encode(value, enc_hook=plain_str).decode()


def _coded_text(value: object) -> object:
    return msgspec.json.encode(value).decode() if value else ""


def _reason_in(value: object) -> CodedText:
    """Return the reason that a column contains."""
    return msgspec.json.decode(value, type=CodedText) if isinstance(value, str) and value else NOTHING_SAID


def _member_in(field: DeclaredField) -> Change:
    """Return a function that reads a value of a closed list; an unknown value is an error, never dropped."""
    words: dict[object, object] = {str(word): word for word in field.members or field.words}
    if field.optional:
        words[None] = None

    def read(value: object) -> object:
        if value not in words:
            raise ValueError(f"{value!r} is not a valid {field.name.replace('_', ' ')}")
        return words[value]

    return read


def _json_in(field: DeclaredField) -> Change:
    decoder: msgspec.json.Decoder[object] = msgspec.json.Decoder(field.hint)

    def read(value: object) -> object:
        return decoder.decode(value) if isinstance(value, str | bytes) else None

    return read


def _codec(field: DeclaredField, nullable: bool) -> tuple[Change, Change]:
    """Return the functions that write one field to its column and read it back."""
    match field.is_a:
        case Reason():
            return _coded_text, _reason_in
        case Text():
            return (_null_if_empty if nullable else _same), _text_in
        case Member():
            return _value, _member_in(field)
        case Count() | Flag() | Data():
            return _same, _same
    return _json, _json_in(field)


def _unreadable(table: str, record_id: object, error: Exception) -> Damaged:
    """Return the error for a row that contains something that no version of the program has written."""
    return Damaged(
        message(
            "The database is damaged: row %(id)s of the table “%(table)s” cannot be read: %(error)s.",
            id=str(record_id), table=table, error=str(error).rstrip("."),
        ),
        where=str(record_id),
        fix=message(
            "Keep a copy of the database as it is, and restore the newest backup:"
            " wordhold restore BACKUP.zip --db NEW"
        ),
    )  # fmt: skip


def read_column(read: Callable[[In], Out], value: In, table: str, record_id: object) -> Out:
    """Return the value of a record's column, as `read` converts it from the value in the row.

    Raises:
        Damaged: it contains something that no version of the program has written.
    """
    try:
        return read(value)
    except _UNREADABLE as error:
        raise _unreadable(table, record_id, error) from error


def reason_of(value: object, table: Table, record_id: object) -> CodedText:
    """Return a reason, read from the row of a record.

    Raises:
        Damaged: the column contains something that no version of the program has written.
    """
    return read_column(_reason_in, value, table.name, record_id)


def word_of(members: type[ClosedT], value: str, table: Table, record_id: object) -> ClosedT:
    """Return a value of a closed list, read from the row of a record.

    Raises:
        Damaged: the list has no such value.
    """
    return read_column(members, value, table.name, record_id)


class Mapped(Generic[T_co]):
    """How records of one class are written to one table.

    `skip` names fields that are stored elsewhere (children of an entry).

    Attributes:
        documents: columns that contain JSON.
    """

    def __init__(self, cls: type[T_co], table: Table, skip: frozenset[str] = frozenset()) -> None:
        self.cls = cls
        self.table = table
        fields = [field for field in fields_of(cls) if field.name not in skip]
        codecs = {f.name: _codec(f, bool(table.c[f.name].nullable)) for f in fields}
        self.columns = tuple(codecs)
        self.documents = frozenset(
            name for name, (write, _) in codecs.items() if write in (_json, _coded_text)
        )
        self._get = attrgetter(*codecs)
        self._written = tuple(
            (place, write) for place, (write, _) in enumerate(codecs.values()) if write is not _same
        )
        self._read = tuple((name, read) for name, (_, read) in codecs.items())

    def to_row(self, record: object, **more: object) -> Row:
        """Return the row of a record, with further columns."""
        row = dict(zip(self.columns, self.to_values(record), strict=True))
        row.update(more)
        return row

    def to_values(self, record: object) -> list[object]:
        """Return only the values of the row, in the order of `columns`; faster for many rows."""
        values = list(self._get(record))
        for place, write in self._written:
            values[place] = write(values[place])
        return values

    def from_row(self, row: Readable, **more: object) -> T_co:
        """Return the record of a row, with the fields that are stored elsewhere.

        Raises:
            Damaged: the row contains something that no version of the program has written.
        """
        try:
            fields = {name: read(row[name]) for name, read in self._read}
        except _UNREADABLE as error:
            own = row["id" if "id" in self.table.c else "entry_id"]
            raise _unreadable(self.table.name, own, error) from error
        return self.cls(**fields, **more)


_CODE = msgspec.json.Decoder(RuleCode)


class _CodeMapped(Mapped[RuleCode]):
    """A rule code is stored whole, as one document: the database never searches its clauses."""

    def __init__(self) -> None:
        self.cls = RuleCode
        self.table = tables.code
        self.columns = ("id", "name", "body", "version")
        self.documents = frozenset({"body"})

    def to_values(self, record: object) -> list[object]:
        if not isinstance(record, RuleCode):
            raise TypeError(f"{type(record).__name__} is not a rule code.")
        return [record.id, record.name, _json(record), record.version]

    def from_row(self, row: Readable, **more: object) -> RuleCode:
        return read_column(_CODE.decode, str(row["body"]), self.table.name, row["id"])


CHILDREN: dict[str, Mapped[object]] = {
    "definitions": Mapped(Definition, tables.definition),
    "relations": Mapped(Relation, tables.relation),
    "analogues": Mapped(Analogue, tables.analogue),
    "figures": Mapped(Figure, tables.figure),
    "rulings": Mapped(Ruling, tables.ruling),
}
"""The parts of an entry that have rows of their own, in the order of the record's fields; terms are
separate."""

TERM = Mapped(Term, tables.term)
ENTRY = Mapped(Entry, tables.entry, skip=frozenset({"terms", *CHILDREN}))

KINDS: dict[str, Mapped[Kept]] = {
    "termbase": Mapped(Termbase, tables.termbase),
    "person": Mapped(Person, tables.person),
    "image": Mapped(Image, tables.image),
    "source": Mapped(Source, tables.source),
    "code": _CodeMapped(),
    "entry": ENTRY,
    "redirect": Mapped(Redirect, tables.redirect),
    "slip": Mapped(Slip, tables.slip),
    "page": Mapped(Page, tables.page),
    "line": Mapped(Line, tables.line, skip=frozenset({"entry_ids"})),
    "trial": Mapped(Trial, tables.trial),
}
"""Every kind of record with a history, in an order in which they can be written: targets first."""

_KIND_OF: dict[type, str] = {mapped.cls: kind for kind, mapped in KINDS.items()}


def kind_of(cls: type) -> str:
    """Return the kind (name in history and ids) of a record class."""
    return _KIND_OF[cls]


def mapped_of(cls: type[KeptT]) -> Mapped[KeptT]:
    """Return how records of a class are stored."""
    return cast(Mapped[KeptT], KINDS[_KIND_OF[cls]])


def revised(record: KeptT, **values: object) -> KeptT:
    """Return the record with other values in some fields, given by name.

    Raises:
        TypeError: it has no such field.
    """
    if not is_dataclass(record) or isinstance(record, type):
        raise TypeError(f"{type(record).__name__} is not a record.")
    return replace(record, **values)


def profile_of(stored: str, entry_id: str) -> Profile:
    """Return the profile of a technique as an entry stores it.

    Raises:
        Damaged: it contains something that no version of the program has written.
    """
    return read_column(_PROFILE.decode, stored, tables.entry.name, entry_id)


_PROFILE = msgspec.json.Decoder(Profile)


ACT_COLUMNS: Final = ("id", "at", "by", "what", "undoes")
"""The columns of an act; what was done is JSON."""


@dataclass(frozen=True)
class ActRecord:
    """One act in the history: who, when (ISO, UTC), what, and the act that it undoes, if any."""

    id: int
    at: str
    by: str
    what: CodedText
    undoes: int | None

    @property
    def words(self) -> str:
        """What was done, for display: a message, or somebody's own words."""
        return statement_text(self.what)


def reason_as_json(text: CodedText) -> str:
    """Return a coded text as a column stores it."""
    return msgspec.json.encode(text).decode()


def act_row(act: ActRecord) -> tuple[int, str, str, str, int | None]:
    """Return the row of an act, in the order of `ACT_COLUMNS`."""
    return act.id, act.at, act.by, reason_as_json(act.what), act.undoes


_decode = msgspec.json.Decoder(CodedText).decode


def act_from_row(number: int, at: str, by: str, what: str, undoes: int | None) -> ActRecord:
    """Return the act that a row contains, from its values in the order of `ACT_COLUMNS`.

    Raises:
        Damaged: the row contains something that no version of the program has written.
    """
    return ActRecord(number, at, by, read_column(_decode, what, "act", number), undoes)
