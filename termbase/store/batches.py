"""Many ids or rows in batches that fit in one database statement, or in memory."""

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import TypeVar, TypeVarTuple

from sqlalchemy import ColumnElement, Connection, Delete, Row, Select, Update

__all__ = ["BATCH", "batched", "execute_in", "rows_in"]

T = TypeVar("T")
Columns = TypeVarTuple("Columns")

BATCH = 400
"""Ids in one IN (...): below the smallest limit on bound values in the SQLite builds in use."""


def batched(values: Iterable[T], size: int = BATCH) -> Iterator[list[T]]:
    """Yield the values in order, in lists of `size`; the last list may be shorter, none is empty."""
    rest = iter(values)
    while batch := list(islice(rest, size)):
        yield batch


def rows_in(
    connection: Connection, query: Select[*Columns], column: ColumnElement[T], values: Iterable[T]
) -> Iterator[Row[*Columns]]:
    """Yield the rows of a query where a column has one of many values.

    Each batch of values is a separate query, so the order of `query` holds only within a batch.
    """
    for batch in batched(values):
        yield from connection.execute(query.where(column.in_(batch)))


def execute_in(
    connection: Connection, statement: Delete | Update, column: ColumnElement[T], values: Iterable[T]
) -> None:
    """Delete or update the rows where a column has one of many values."""
    for batch in batched(values):
        connection.execute(statement.where(column.in_(batch)))
