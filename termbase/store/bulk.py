"""Bulk work: filling an empty termbase, and reading the whole record as rows for exports and imports."""

import gc
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Final, Protocol, TypeVar

from sqlalchemy import ColumnElement, Connection, Select, Table, and_, func, select, text

from termbase.store import tables
from termbase.store.batches import BATCH, batched
from termbase.store.reading import Reader
from termbase.store.rows import CHILDREN, ENTRY, KINDS, TERM, KeptT, kind_of

__all__ = [
    "EntryBatch",
    "collector_at_rest",
    "columns_of",
    "entry_batches",
    "indexes_last",
    "insert_rows",
    "last_act",
    "records",
]


PAGES_WHILE_FILLING, PAGES = -24_000, -2_000  # SQLite's page cache, in KiB; the second is its default
_FILLED: Final = (
    tables.entry, tables.term, tables.definition, tables.relation, tables.slip, tables.key, tables.change,
)  # fmt: skip


@contextmanager
def collector_at_rest() -> Iterator[None]:
    """Pause Python's garbage collector: thousands of records and rows form no reference cycles, and
    searching for some takes a sixth of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


@contextmanager
def indexes_last(connection: Connection) -> Iterator[None]:
    """Fill a termbase that has no entries yet and create the indexes at the end: SQLite builds an index from
    sorted rows in a third of the time that it takes to update it row by row.

    Everything happens within the transaction: if it fails, the indexes are as they were. Until the end,
    records may be looked up only by id, and existing records must not be written again. On PostgreSQL, where
    this would lock out readers, nothing changes.
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
    """Insert rows that contain the values of these columns as the database stores them.

    Bypasses SQLAlchemy's compiler and row objects, which would double the time.
    """
    if not rows:
        return
    names = tuple(columns)
    mark = "%s" if connection.dialect.name == "postgresql" else "?"
    listed = ", ".join(f'"{name}"' for name in names)
    statement = f'INSERT INTO "{table.name}" ({listed}) VALUES ({", ".join([mark] * len(names))})'
    connection.exec_driver_sql(statement, [tuple(row) for row in rows])


# The whole record as it is in the tables, with flat memory use. Pages need record objects; an export of a
# hundred thousand entries needs neither objects nor a query for each. Rows are tuples of column values:
# closed lists by their value, tuples and nested records as JSON text, an empty reference as None.

T = TypeVar("T")
Row = tuple[object, ...]  # the values of the columns
Rows = Sequence[Row]
Condition = Callable[[ColumnElement[str]], ColumnElement[bool]]
ENTRIES = 1000  # entries in a batch


class _Stored(Protocol):
    """How a part of an entry is stored: its table, and its columns in order."""

    @property
    def table(self) -> Table: ...
    @property
    def columns(self) -> tuple[str, ...]: ...


_PARTS: dict[str, _Stored] = {"terms": TERM, **CHILDREN}


@dataclass(frozen=True, slots=True)
class EntryBatch:
    """Some entries in order, and the rows that belong to them.

    Attributes:
        entries: rows of the entries, with the columns of `columns_of("entry")`.
        parts: rows by entry id under `terms`, `definitions`, `relations`, `analogues`, `figures`, `rulings`;
            the first column is the entry's id, then those of `columns_of(part)`.
        slips: rows of slips by term id, in order of creation, with the columns of `columns_of("slip")`.
        all_rows: the same rows by part and `slips`, in one sequence each.
    """

    entries: Rows
    parts: dict[str, dict[str, list[Row]]]
    slips: dict[str, list[Row]]
    all_rows: dict[str, Rows]


def columns_of(part: str) -> tuple[str, ...]:
    """Return the fields of a row of `entry`, `slip` or a part of an entry, in order."""
    mapped = _PARTS.get(part) or KINDS[part]
    return mapped.columns


def entry_batches(reader: Reader, ids: Sequence[str] | None = None) -> Iterator[EntryBatch]:
    """Yield all entries in order of creation, or these in the given order, in batches."""
    if ids is None:
        table = tables.entry
        ordered = select(table.c.id).order_by(func.length(table.c.id), table.c.id)
        ids = reader.connection.scalars(ordered).all()
        for start, end in _runs(ids):
            yield _batch(reader, _between(ids[start], ids[end - 1]))
        return
    for part in batched(ids):
        batch = _batch(reader, _among(part))
        by_id = {row[0]: row for row in batch.entries}
        yield EntryBatch([by_id[i] for i in part if i in by_id], batch.parts, batch.slips, batch.all_rows)


def records(reader: Reader, cls: type[KeptT], **equals: object) -> Iterator[KeptT]:
    """Yield records of a kind in order of creation, a few hundred at a time."""
    table = KINDS[kind_of(cls)].table
    query = select(table.c.id).filter_by(**equals).order_by(func.length(table.c.id), table.c.id)
    ids = reader.connection.scalars(query).all()
    size = 1 if table is tables.image else BATCH
    for batch in batched(ids, size):
        yield from reader.many(cls, batch).values()


def last_act(reader: Reader) -> int:
    """Return the number of the newest act in the history."""
    return reader.connection.scalar(select(func.count()).select_from(tables.act)) or 0


def _runs(ids: Sequence[str]) -> Iterator[tuple[int, int]]:
    """Yield ranges of ids of the same length: within one, the order of creation is the text order."""
    start = 0
    for place in range(1, len(ids) + 1):
        if place == len(ids) or place - start == ENTRIES or len(ids[place]) != len(ids[start]):
            yield start, place
            start = place


def _between(first: str, last: str) -> Condition:
    length = len(first)

    def condition(column: ColumnElement[str]) -> ColumnElement[bool]:
        # SQLite compares text by bytes, and so does PostgreSQL for ids of the same length.
        return and_(column >= first, column <= last, func.length(column) == length)

    return condition


def _among(ids: Sequence[str]) -> Condition:
    def condition(column: ColumnElement[str]) -> ColumnElement[bool]:
        return column.in_(ids)

    return condition


def _batch(reader: Reader, condition: Condition) -> EntryBatch:
    def rows(query: "Select[*tuple[object, ...]]") -> Rows:
        # Bypasses SQLAlchemy's row objects: the columns are text and numbers, and making rows takes half the
        # time.
        cursor = reader.connection.execute(query).cursor
        return () if cursor is None else cursor.fetchall()

    entry, term, slip = tables.entry, tables.term, KINDS["slip"]
    entries = rows(select(*_columns(entry, ENTRY)).where(condition(entry.c.id)).order_by(entry.c.id))
    every: dict[str, Rows] = {}
    parts: dict[str, dict[str, list[Row]]] = {}
    for name, mapped in _PARTS.items():
        table = mapped.table
        owner = table.c.entry_id
        query = select(owner, *_columns(table, mapped)).where(condition(owner))
        every[name] = rows(query.order_by(owner, table.c.position))
        parts[name] = _grouped(every[name], 0)
    of_terms = (
        select(*_columns(slip.table, slip))
        .join(term, term.c.id == slip.table.c.term_id)
        .where(condition(term.c.entry_id))
        .order_by(func.length(slip.table.c.id), slip.table.c.id)
    )
    every["slips"] = rows(of_terms)
    slips = _grouped(every["slips"], columns_of("slip").index("term_id"))
    return EntryBatch(entries, parts, slips, {"entry": entries, **every})


def _columns(table: Table, mapped: _Stored) -> list[ColumnElement[object]]:
    return [table.c[name] for name in mapped.columns]


def _grouped(rows: Rows, place: int) -> dict[str, list[Row]]:
    grouped: defaultdict[str, list[Row]] = defaultdict(list)
    for row in rows:
        grouped[str(row[place])].append(row)
    return grouped
