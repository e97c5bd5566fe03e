"""The whole record with its history as plain documents: read from one database, written to another.

Records are written as the history stores them (`as_json`), so a copy is the same on SQLite and on PostgreSQL.
Computed values (sort keys, search keys) are not copied but computed again.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, TypeVar

from sqlalchemy import Connection, RowMapping, Table, func, select, text

from termbase.loading import lazy_module
from termbase.record.entries import Entry
from termbase.record.pages import Line
from termbase.record.people import Image
from termbase.store import tables as schema
from termbase.store.batches import batched
from termbase.store.bulk import insert_rows, records
from termbase.store.keys import write_keys
from termbase.store.reading import Reader
from termbase.store.rows import ACT_COLUMNS, CHILDREN, KINDS, TERM, ActRecord, act_from_row, act_row
from termbase.store.textwords import write_text_words
from termbase.store.writing import TERM_COLUMNS, term_rows

if TYPE_CHECKING:
    from termbase.media import pictures
else:
    # It imports the picture libraries, which most acts do not need.
    pictures = lazy_module("termbase.media.pictures")

__all__ = ["Change", "Refill", "acts_of", "changes_of", "counters_of", "records_of", "size_of"]

T = TypeVar("T")
ROWS: Final = 1000
"""Rows read or written at a time."""


@dataclass(frozen=True)
class Change:
    """One change as the history stores it: which act, which record, its JSON before and after."""

    id: int
    act_id: int
    kind: str
    record_id: str
    before: str | None
    after: str | None


def size_of(reader: Reader) -> int:
    """Return the number of records, acts and changes, as a measure for progress."""
    tables = [mapped.table for mapped in KINDS.values()] + [schema.act, schema.change]
    return sum(reader.connection.scalar(select(func.count()).select_from(t)) or 0 for t in tables)


def records_of(reader: Reader, kind: str) -> Iterator[object]:
    """Yield all records of a kind in order of creation, a few hundred at a time (pictures one at a time)."""
    return records(reader, KINDS[kind].cls)


def acts_of(reader: Reader) -> Iterator[ActRecord]:
    """Yield every act, oldest first."""
    for row in _by_id(reader, schema.act):
        yield act_from_row(*(row[name] for name in ACT_COLUMNS))


def changes_of(reader: Reader) -> Iterator[Change]:
    """Yield every change, in the order in which they were made."""
    for row in _by_id(reader, schema.change):
        yield Change(row["id"], row["act_id"], row["kind"], row["record_id"], row["before"], row["after"])


def counters_of(reader: Reader) -> dict[str, int]:
    """Return the last number used in an id of each kind."""
    table = schema.counter
    rows = reader.connection.execute(select(table.c.kind, table.c.value).order_by(table.c.kind))
    return {row[0]: row[1] for row in rows}


def _by_id(reader: Reader, table: Table) -> Iterator[RowMapping]:
    last: int | None = None
    while True:
        query = select(table).order_by(table.c.id).limit(ROWS)
        if last is not None:
            query = query.where(table.c.id > last)
        rows = reader.connection.execute(query).mappings().all()
        if not rows:
            return
        yield from rows
        last = rows[-1]["id"]


class Refill:
    """Writes copied documents to an empty database, in one transaction that the caller holds.

    The caller passes the kinds in the order of `termbase.store.rows.KINDS`, entries twice (`entries`, then
    `parts_of_entries`, since a relation may refer to an entry that comes later), then the history.
    """

    def __init__(self, connection: Connection) -> None:
        self.connection = connection

    def records(self, kind: str, records: Iterable[object]) -> None:
        """Write records of any kind except entries."""
        mapped = KINDS[kind]
        if mapped.cls is Image:  # a backup of an older version may still have their metadata
            records = (pictures.stripped(record) for record in records if isinstance(record, Image))
        for batch in batched(records, 1 if mapped.cls is Image else ROWS):
            self._insert(mapped.table, mapped.columns, [mapped.to_values(record) for record in batch])
            if mapped.cls is Line:
                joins = [row for line in batch if isinstance(line, Line) for row in _joins(line)]
                self._insert(schema.line_entry, ("line_id", "position", "entry_id"), joins)

    def entries(self, entries: Iterable[Entry]) -> None:
        """Write entries with their names."""
        mapped = KINDS["entry"]
        for batch in batched(entries, ROWS):
            rows = [(*mapped.to_values(entry), entry.ready) for entry in batch]
            self._insert(mapped.table, (*mapped.columns, "ready"), rows)
            self._insert(TERM.table, TERM_COLUMNS, [row for entry in batch for row in term_rows(entry)])
            write_keys(self.connection, [term for entry in batch for term in entry.terms], new=True)

    def parts_of_entries(self, entries: Iterable[Entry]) -> None:
        """Write the parts of entries other than names; every entry must already exist."""
        for batch in batched(entries, ROWS):
            for name, mapped in CHILDREN.items():
                rows = [
                    (*mapped.to_values(part), entry.id, n)
                    for entry in batch
                    for n, part in enumerate(getattr(entry, name))
                ]
                self._insert(mapped.table, (*mapped.columns, "entry_id", "position"), rows)
            write_text_words(self.connection, batch, new=True)

    def acts(self, acts: Iterable[ActRecord]) -> None:
        """Write the acts, oldest first, keeping their numbers."""
        for batch in batched(acts, ROWS):
            self._insert(schema.act, ACT_COLUMNS, [act_row(act) for act in batch])
        self._number_on(schema.act)

    def changes(self, changes: Iterable[Change]) -> None:
        """Write the changes, keeping their numbers."""
        names = ("id", "act_id", "kind", "record_id", "before", "after")
        for batch in batched(changes, ROWS):
            self._insert(schema.change, names, [[getattr(c, name) for name in names] for c in batch])
        self._number_on(schema.change)

    def counters(self, counters: dict[str, int]) -> None:
        """Write the last numbers used, so that no id is used twice."""
        self._insert(schema.counter, ("kind", "value"), list(counters.items()))

    def finish(self) -> None:
        """Let the database collect statistics, so that it plans queries well."""
        self.connection.execute(text("ANALYZE"))

    def _insert(self, table: Table, columns: Iterable[str], rows: Sequence[Sequence[object]]) -> None:
        insert_rows(self.connection, table, columns, rows)

    def _number_on(self, table: Table) -> None:
        """Advance PostgreSQL's sequence, which does not know about numbers that were inserted explicitly."""
        if self.connection.dialect.name == "postgresql":
            sequence = func.pg_get_serial_sequence(table.name, "id")
            highest = select(func.coalesce(func.max(table.c.id), 1)).scalar_subquery()
            self.connection.execute(select(func.setval(sequence, highest)))


def _joins(line: Line) -> Iterator[tuple[str, int, str]]:
    for n, entry_id in enumerate(line.entry_ids):
        yield line.id, n, entry_id
