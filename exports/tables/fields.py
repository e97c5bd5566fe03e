"""The fields of entries, names and slips that have their own column, derived from their declarations.

A field has a column if one text cell can hold its value: texts, closed lists, yes or no, numbers, lists of
texts, and inflected forms. Internal fields (`bookkeeping`) and ids of other records have no column, unless
the declaration names one. Names and definitions by language, computed values, and notes from elsewhere are
special: see `exports.tables.columns`.
"""

from collections.abc import Iterator
from enum import StrEnum
from functools import cache
from typing import Final

from termbase.fields.declarations import (
    VERSION,
    Count,
    DeclaredField,
    Flag,
    Id,
    Lines,
    Member,
    Members,
    Reference,
    Text,
    fields_of,
)
from termbase.record.entries import Entry, InflectedForm, Term
from termbase.record.sources import Slip

__all__ = ["FIELDS", "RECORDS", "SAYS_WHICH", "field_at", "record_at", "table_fields", "unstated"]

RECORDS: Final = (Entry, Term, Slip)
"""The records that a row can describe."""


@cache
def table_fields(record: type) -> tuple[DeclaredField, ...]:
    """Return the fields of a record class that a row can change, in order."""
    return tuple(field for field in fields_of(record) if _has_cell(field))


def unstated(record: type) -> dict[str, StrEnum]:
    """Return the values of a new record's closed lists if the table gives none: *not stated*."""
    lists = ((field.name, field.members) for field in fields_of(record) if field.members)
    unstated_members = ((name, members.__members__.get("NOT_STATED")) for name, members in lists)
    return {name: member for name, member in unstated_members if member is not None}


def _has_cell(field: DeclaredField) -> bool:
    kind = field.is_a
    if isinstance(kind, Id | Reference) or (isinstance(kind, Lines) and kind.to) or kind is VERSION:
        return False
    if kind.bookkeeping and not kind.column:
        return False
    return isinstance(kind, Text | Lines | Member | Members | Count | Flag) or field.of is InflectedForm


def _identifying(record: type) -> tuple[DeclaredField, ...]:
    """Return the columns that identify the record: its id, and for an entry its version."""
    return tuple(
        field
        for field in fields_of(record)
        if (isinstance(field.is_a, Id | Reference) and field.is_a.column)
        or (record is Entry and field.is_a is VERSION)
    )


def _in_order() -> Iterator[tuple[type, DeclaredField]]:
    """Yield every field of a row; those of a name are where the entry has its names."""
    names_at = next(n for n, field in enumerate(fields_of(Entry)) if field.of is Term)
    before = {field.name for field in fields_of(Entry)[:names_at]}
    of_entry = table_fields(Entry)
    yield from ((Entry, field) for field in _identifying(Entry))
    yield from ((Entry, field) for field in of_entry if field.name in before)
    yield from ((Term, field) for field in (*_identifying(Term), *table_fields(Term)))
    yield from ((Entry, field) for field in of_entry if field.name not in before)
    yield from ((Slip, field) for field in (*_identifying(Slip), *table_fields(Slip)))


_BY_KEY: Final = {field.column: (record, field) for record, field in _in_order()}
SAYS_WHICH: Final = frozenset(field.column for record in RECORDS for field in _identifying(record))
"""Keys of the columns that identify the entry, name or source."""
FIELDS: Final = tuple(_BY_KEY)
"""Fields that can be imported, by key; besides these, `names:TAG` and `definition:TAG` in any language."""


def field_at(key: str) -> DeclaredField:
    """Return the field of a column.

    Raises:
        KeyError: no field has that key.
    """
    return _BY_KEY[key][1]


def record_at(key: str) -> type:
    """Return the record class that the field of a column belongs to.

    Raises:
        KeyError: no field has that key.
    """
    return _BY_KEY[key][0]
