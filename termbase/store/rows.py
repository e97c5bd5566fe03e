"""Records to rows and back: one mapping per record class, read off its fields.

A field becomes a column of the same name: text as it is, closed lists by their value, an empty reference as
NULL, tuples and nested records as JSON text.
"""

import dataclasses
from collections.abc import Callable, Mapping
from enum import StrEnum
from operator import attrgetter
from types import UnionType
from typing import Any, Generic, TypeVar, get_args, get_type_hints

import msgspec
from sqlalchemy import Table

from termbase.entries import Analogue, Definition, Entry, Figure, Relation, Ruling, Term
from termbase.errors import Damaged
from termbase.messages import message, plain
from termbase.pages import Line, Page
from termbase.people import Image, Person, Termbase
from termbase.redirects import Redirect
from termbase.rulecodes import RuleCode
from termbase.sources import Slip, Source
from termbase.store import schema
from termbase.trials import Trial

__all__ = ["CHILDREN", "ENTRY", "KINDS", "TERM", "Mapped", "Row", "kind_of", "unreadable"]

Row = dict[str, Any]  # a row holds whatever its columns hold
T = TypeVar("T")


def _same(value: Any) -> Any:
    return value


def _text_in(value: Any) -> Any:
    return value or ""


def _null_if_empty(value: Any) -> Any:
    return value or None


def _value(value: Any) -> Any:
    # A member of a StrEnum is its text; asking it for `.value` is ten times slower.
    return None if value is None else str.__str__(value)


def _json(value: Any) -> Any:
    if value == ():
        return "[]"
    return None if value is None else msgspec.json.encode(value, enc_hook=plain).decode()


def _codec(hint: Any, nullable: bool) -> tuple[Callable[[Any], Any], Callable[[Any], Any]]:
    """To the column and back, for one field of the given type."""
    inner = [a for a in get_args(hint) if a is not type(None)] if isinstance(hint, UnionType) else [hint]
    bare = inner[0] if len(inner) == 1 else hint
    if bare is str:
        return (_null_if_empty if nullable else _same), _text_in
    if bare in (int, bool, bytes):
        return _same, _same
    if isinstance(bare, type) and issubclass(bare, StrEnum):
        return _value, lambda value: None if value is None else bare(value)
    decode = msgspec.json.Decoder(hint).decode
    return _json, lambda value: None if value is None else decode(value)


def unreadable(table: str, record_id: object, error: Exception) -> Damaged:
    """What is raised for a row that holds what no version of the program has written."""
    return Damaged(
        message(
            "The database is damaged: row %(id)s of the table “%(table)s” cannot be read: %(error)s.",
            id=str(record_id), table=table, error=str(error).rstrip("."),
        ),
        where=str(record_id),
        mend=message(
            "Keep a copy of the database as it is, and restore the newest backup:"
            " wordhold restore BACKUP.zip --db NEW"
        ),
    )  # fmt: skip


class Mapped(Generic[T]):
    """How records of one class are written to one table.

    `skip` names fields that live elsewhere (children of an entry).

    Attributes:
        documents: columns that hold JSON.
    """

    def __init__(self, cls: type[T], table: Table, skip: frozenset[str] = frozenset()) -> None:
        self.cls = cls
        self.table = table
        hints = get_type_hints(cls)
        names = [f.name for f in dataclasses.fields(cls) if f.name not in skip]  # type: ignore[arg-type]
        self.codecs = {n: _codec(hints[n], bool(table.c[n].nullable)) for n in names}
        self.columns = tuple(names)
        self.documents = frozenset(name for name, (write, _) in self.codecs.items() if write is _json)
        self._get = attrgetter(*names)
        self._written = tuple(
            (place, write) for place, (write, _) in enumerate(self.codecs.values()) if write is not _same
        )

    def to_row(self, record: T, **more: Any) -> Row:
        """The row of a record, with further columns."""
        row = dict(zip(self.columns, self.to_values(record), strict=True))
        row.update(more)
        return row

    def to_values(self, record: T) -> list[Any]:
        """The values of the row alone, in the order of `columns`: for very many rows."""
        values = list(self._get(record))
        for place, write in self._written:
            values[place] = write(values[place])
        return values

    def from_row(self, row: Mapping[Any, Any], **more: Any) -> T:
        """The record of a row, with the fields that live elsewhere.

        Raises:
            Damaged: the row holds what no version of the program has written.
        """
        try:
            fields = {name: read(row[name]) for name, (_, read) in self.codecs.items()}
        except (ValueError, TypeError) as error:
            raise unreadable(self.table.name, row.get("id") or row.get("entry_id"), error) from error
        return self.cls(**fields, **more)


class _CodeMapped(Mapped[RuleCode]):
    """A rule code is kept whole, as one document: its clauses are never searched by the database."""

    def __init__(self) -> None:
        self.cls = RuleCode
        self.table = schema.code
        self.codecs = {}
        self.columns = ("id", "name", "body", "version")
        self.documents = frozenset({"body"})

    def to_row(self, record: RuleCode, **more: Any) -> Row:
        return dict(zip(self.columns, self.to_values(record), strict=True)) | more

    def to_values(self, record: RuleCode) -> list[Any]:
        return [record.id, record.name, _json(record), record.version]

    def from_row(self, row: Mapping[Any, Any], **more: Any) -> RuleCode:
        try:
            return msgspec.json.decode(row["body"], type=RuleCode)
        except ValueError as error:
            raise unreadable(self.table.name, row["id"], error) from error


CHILDREN: dict[str, Mapped[Any]] = {
    "definitions": Mapped(Definition, schema.definition),
    "relations": Mapped(Relation, schema.relation),
    "analogues": Mapped(Analogue, schema.analogue),
    "figures": Mapped(Figure, schema.figure),
    "rulings": Mapped(Ruling, schema.ruling),
}
"""The parts of an entry that are rows of their own, in the order they stand in the record; terms apart."""

TERM = Mapped(Term, schema.term)
ENTRY = Mapped(Entry, schema.entry, skip=frozenset({"terms", *CHILDREN}))

KINDS: dict[str, Mapped[Any]] = {
    "termbase": Mapped(Termbase, schema.termbase),
    "person": Mapped(Person, schema.person),
    "image": Mapped(Image, schema.image),
    "source": Mapped(Source, schema.source),
    "code": _CodeMapped(),
    "entry": ENTRY,
    "redirect": Mapped(Redirect, schema.redirect),
    "slip": Mapped(Slip, schema.slip),
    "page": Mapped(Page, schema.page),
    "line": Mapped(Line, schema.line, skip=frozenset({"entry_ids"})),
    "trial": Mapped(Trial, schema.trial),
}
"""Every kind of record with a history, in an order in which they can be written: no row before its target."""

_KIND_OF = {mapped.cls: kind for kind, mapped in KINDS.items()}


def kind_of(cls: type[Any]) -> str:
    """The kind (name in history and ids) of a record class."""
    return _KIND_OF[cls]
