"""Work on very many records at a time."""

import gc
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Final

from sqlalchemy import Connection, Table, text

from termbase.store import schema

__all__ = ["collector_at_rest", "indexes_last", "insert_rows"]

PAGES_WHILE_FILLING, PAGES = -24_000, -2_000  # SQLite's memory for pages, in KiB; the second is its own rule
_FILLED: Final = (
    schema.entry, schema.term, schema.definition, schema.relation, schema.slip, schema.key, schema.change,
)  # fmt: skip


@contextmanager
def collector_at_rest() -> Iterator[None]:
    """Let Python's collector of cycles rest: among many records and rows there are none, and looking for some
    takes a sixth of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


@contextmanager
def indexes_last(connection: Connection) -> Iterator[None]:
    """Fill a termbase that has no entry yet: SQLite makes an index at once, from sorted rows, in a third of
    the time that it takes to keep it up row by row.

    All within the transaction: if it fails, the indexes are as they were. Until the end nothing may be looked
    for but by id, and nothing that is there may be written again. On PostgreSQL, where it would lock readers
    out, nothing is done differently.
    """
    if connection.dialect.name != "sqlite":
        yield
        return
    indexes = [index for table in _FILLED for index in sorted(table.indexes, key=lambda i: str(i.name))]
    connection.execute(text(f"PRAGMA cache_size={PAGES_WHILE_FILLING}"))
    try:
        for index in indexes:
            index.drop(connection)
        yield
        for index in indexes:
            index.create(connection)
    finally:
        connection.execute(text(f"PRAGMA cache_size={PAGES}"))


def insert_rows(
    connection: Connection, table: Table, columns: Iterable[str], rows: Sequence[Sequence[object]]
) -> None:
    """Insert rows that hold the values of these columns as the database keeps them.

    Past SQLAlchemy's compiler and its rows, which take as long again.
    """
    if not rows:
        return
    names = tuple(columns)
    mark = "%s" if connection.dialect.name == "postgresql" else "?"
    told = ", ".join(f'"{name}"' for name in names)
    statement = f'INSERT INTO "{table.name}" ({told}) VALUES ({", ".join([mark] * len(names))})'
    connection.exec_driver_sql(statement, [tuple(row) for row in rows])
