"""Table columns: those made from the fields of a record class, and some common kinds."""

from collections.abc import Iterator, Mapping
from typing import Final

from sqlalchemy import Boolean, Column, ForeignKey, Integer, LargeBinary, String, Text

from termbase.fields.declarations import (
    Count,
    Data,
    DeclaredField,
    Flag,
    Id,
    Items,
    Lines,
    Member,
    Members,
    Nested,
    Reason,
    Reference,
    fields_of,
)
from termbase.fields.declarations import Text as TextField

__all__ = ["AnyColumn", "Plain", "columns_of", "id_column", "list_column", "reference_column", "text_column"]

AnyColumn = Column[str] | Column[int] | Column[bool] | Column[bytes]

# Byte order everywhere: PostgreSQL would otherwise compare by the collation of its locale.
Plain: Final = Text().with_variant(Text(collation="C"), "postgresql")


def text_column(name: str) -> Column[str]:
    """Return a text column, empty where nothing is stated."""
    return Column(name, Text, nullable=False, default="")


def list_column(name: str) -> Column[str]:
    """Return a column for a list as JSON text, in a table that had rows before it had the list."""
    return Column(name, Text, nullable=False, default="[]", server_default="[]")


def id_column(name: str = "id") -> Column[str]:
    """Return the column for the id of the row's own record."""
    return Column(name, String(32), primary_key=True)


def reference_column(name: str, target: str, *, optional: bool = False) -> Column[str]:
    """Return a column for the id of another record, which must exist; NULL for none, if that is allowed."""
    return Column(name, String(32), ForeignKey(target), nullable=optional)


def columns_of(
    cls: type, *, by_hand: Mapping[str, AnyColumn] | None = None, elsewhere: frozenset[str] = frozenset()
) -> Iterator[AnyColumn]:
    """Return the columns of the table that stores the records of a class, the id first.

    Args:
        cls: the class.
        by_hand: columns that are not made from the declaration, by field name.
        elsewhere: fields stored as rows of other tables.

    Raises:
        TypeError: no column type fits the values of a field.
    """
    made = by_hand or {}
    fields = [field for field in fields_of(cls) if field.name not in elsewhere]
    for field in sorted(fields, key=lambda field: not isinstance(field.is_a, Id)):
        yield made[field.name] if field.name in made else _column(field)


def _column(field: DeclaredField) -> AnyColumn:
    name = field.name
    match field.is_a:
        case Id():
            return id_column(name)
        case Reference(to=kind):
            return reference_column(name, f"{kind}.id", optional=field.has_default)
        case TextField() | Reason() | Lines() | Members() | Items():
            return text_column(name)
        case Member() | Nested() if field.optional:
            return Column(name, Text)
        case Member():
            return text_column(name)
        case Nested():
            return Column(name, Text, nullable=False)
        case Count(bookkeeping=counted):
            return Column(name, Integer, nullable=field.optional, default=0 if counted else None)
        case Flag():
            return Column(name, Boolean, nullable=field.optional, default=None if field.optional else False)
        case Data():
            return Column(name, LargeBinary, nullable=False)
    raise TypeError(f"{name} fits into no column: {type(field.is_a).__name__}.")
