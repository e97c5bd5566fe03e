"""Reading the record from one snapshot: frozen records, and a defined order for every result."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import msgspec
from sqlalchemy import Connection, Select, func, select

from termbase.errors import NotFound
from termbase.messages import message, plain_str
from termbase.record.entries import Entry, RelationKind
from termbase.record.pages import Line, LineState, PageCount, count
from termbase.record.people import Termbase
from termbase.record.sources import Slip
from termbase.store import tables
from termbase.store.batches import batched, rows_in
from termbase.store.faults import missing_row
from termbase.store.integrity import Damage
from termbase.store.rows import (
    ACT_COLUMNS,
    CHILDREN,
    KINDS,
    TERM,
    ActRecord,
    KeptT,
    Mapped,
    act_from_row,
    kind_of,
    mapped_of,
    word_of,
)

__all__ = ["ChangeRecord", "Reader"]

Query = Select[*tuple[object, ...]]
_ACT = tuple(tables.act.c[name] for name in ACT_COLUMNS)


@dataclass(frozen=True)
class ChangeRecord:
    """One record as it was before and after an act (JSON; None: did not exist)."""

    act: ActRecord
    kind: str
    record_id: str
    before: str | None
    after: str | None


class Reader:
    """Reads the record through one connection. Created by `Store.read()` and, for writing, by
    `Store.act()`."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection

    def _settle(self) -> None:
        """Prepare for a query; an act writes what it has collected."""

    def termbase(self) -> Termbase:
        """Return the termbase itself.

        Raises:
            Damaged: its record is missing.
        """
        record = self.find(Termbase, "termbase")
        if record is None:
            raise Damage(nameless=True).error("termbase")
        return record

    def get(self, cls: type[KeptT], record_id: str) -> KeptT:
        """Return the record with this id.

        Raises:
            NotFound: it does not exist.
        """
        record = self.find(cls, record_id)
        if record is None:
            raise NotFound(
                message("There is no %(kind)s %(name)s.", kind=message(kind_of(cls)), name=repr(record_id)),
                where=record_id,
                fix=message("Check the id; ids are never reused."),
            )
        return record

    def find(self, cls: type[KeptT], record_id: str) -> KeptT | None:
        """Return the record with this id, or None."""
        return next(iter(self.many(cls, [record_id]).values()), None)

    def picture_size(self, image_id: str) -> tuple[int, int] | None:
        """Return width and height of a picture in pixels, without loading its bytes; None if there is
        none."""
        table = tables.image
        query = select(table.c.width, table.c.height).where(table.c.id == image_id)
        row = self.connection.execute(query).one_or_none()
        return None if row is None else (row.width, row.height)

    def many(self, cls: type[KeptT], ids: Iterable[str]) -> dict[str, KeptT]:
        """Return records by id, in the given order; ids that do not exist are left out."""
        mapped = mapped_of(cls)
        wanted = list(dict.fromkeys(ids))
        by_id: dict[str, KeptT] = {}
        for batch in batched(wanted):
            query = select(mapped.table).where(mapped.table.c.id.in_(batch))
            for record in self._records(mapped, query):
                by_id[record.id] = record
        return {i: by_id[i] for i in wanted if i in by_id}

    def all(self, cls: type[KeptT], **equals: object) -> tuple[KeptT, ...]:
        """Return records whose columns equal the given values, in order of creation (numeric part of the
        id)."""
        self._settle()
        mapped = mapped_of(cls)
        query = select(mapped.table).filter_by(**equals)
        return tuple(self._records(mapped, query.order_by(func.length(mapped.table.c.id), mapped.table.c.id)))

    def entries(self, ids: Sequence[str] | None = None) -> Iterator[tuple[Entry, ...]]:
        """Yield entries in batches, in the order of `ids` or else of creation; memory use stays flat."""
        self._settle()
        if ids is None:
            order = (func.length(tables.entry.c.id), tables.entry.c.id)
            ids = list(self.connection.scalars(select(tables.entry.c.id).order_by(*order)))
        for batch in batched(ids):
            yield tuple(self.many(Entry, batch).values())

    def languages(self) -> tuple[str, ...]:
        """Return the tags of the languages of all names and definitions, sorted."""
        self._settle()
        tags: set[str] = set()
        for table in (tables.term, tables.definition):
            tags.update(self.connection.execute(select(table.c.language).distinct()).scalars())
        return tuple(sorted(tags))

    def entry_of_term(self, term_id: str) -> str:
        """Return the id of the entry that a term belongs to; empty if there is no such term."""
        self._settle()
        query = select(tables.term.c.entry_id).where(tables.term.c.id == term_id)
        return self.connection.scalar(query) or ""

    def current_id(self, entry_id: str) -> str:
        """Return the current id of an entry: its own, or that of the entry it was merged into."""
        self._settle()
        table = tables.redirect
        return self.connection.scalar(select(table.c.target_id).where(table.c.id == entry_id)) or entry_id

    def slips_of(self, entries: Iterable[Entry]) -> dict[str, tuple[Slip, ...]]:
        """Return slips by term id for the terms of these entries, in order of creation."""
        return self._grouped(Slip, "term_id", [t.id for e in entries for t in e.terms])

    def lines_of(self, entries: Iterable[Entry]) -> dict[str, tuple[Line, ...]]:
        """Return word-list lines by entry id."""
        self._settle()
        c = tables.line_entry.c
        rows = rows_in(self.connection, select(c.entry_id, c.line_id), c.entry_id, (e.id for e in entries))
        joins = [(row[0], row[1]) for row in rows]
        lines = self.many(Line, [line_id for _, line_id in joins])
        by_entry: defaultdict[str, list[Line]] = defaultdict(list)
        for entry_id, line_id in joins:
            if line_id not in lines:
                raise missing_row("line", line_id)
            by_entry[entry_id].append(lines[line_id])
        return {entry_id: tuple(these) for entry_id, these in by_entry.items()}

    def by_entry(self, cls: type[KeptT], entries: Iterable[Entry]) -> dict[str, tuple[KeptT, ...]]:
        """Return records that refer to an entry (trials), by entry id, in order of creation."""
        return self._grouped(cls, "entry_id", [e.id for e in entries])

    def incoming(self, entries: Iterable[Entry]) -> dict[str, tuple[tuple[RelationKind, str], ...]]:
        """Return relations that point to these entries, as (kind, id of the entry they come from), by target
        id."""
        self._settle()
        by_target: defaultdict[str, list[tuple[RelationKind, str]]] = defaultdict(list)
        table = tables.relation
        query = select(table.c.target_id, table.c.kind, table.c.entry_id).order_by(table.c.entry_id)
        ids = (entry.id for entry in entries)
        for target_id, kind, entry_id in rows_in(self.connection, query, table.c.target_id, ids):
            by_target[target_id].append((word_of(RelationKind, kind, table, entry_id), entry_id))
        return {target: tuple(these) for target, these in by_target.items()}

    def page_counts(self) -> dict[str, PageCount]:
        """Return the progress of each page, by page id."""
        self._settle()
        table = tables.line
        query = select(table.c.page_id, table.c.state, func.count()).group_by(table.c.page_id, table.c.state)
        states: defaultdict[str, dict[LineState, int]] = defaultdict(dict)
        for page_id, state, number in self.connection.execute(query):
            states[page_id][word_of(LineState, state, table, page_id)] = number
        return {page_id: count(these) for page_id, these in states.items()}

    def count(self, cls: type) -> int:
        """Return how many records of a class there are."""
        self._settle()
        table = KINDS[kind_of(cls)].table
        return self.connection.scalar(select(func.count()).select_from(table)) or 0

    def history(self, cls: type, record_id: str) -> tuple[ChangeRecord, ...]:
        """Return every change of one record, newest first."""
        table = tables.change
        return self._changes(
            select(table, tables.act)
            .join(tables.act, tables.act.c.id == table.c.act_id)
            .where(table.c.kind == kind_of(cls), table.c.record_id == record_id)
            .order_by(table.c.id.desc())
        )

    def changes_of(self, act_id: int) -> tuple[ChangeRecord, ...]:
        """Return every change of one act, in the order in which they were made."""
        table = tables.change
        return self._changes(
            select(table, tables.act)
            .join(tables.act, tables.act.c.id == table.c.act_id)
            .where(table.c.act_id == act_id)
            .order_by(table.c.id)
        )

    def changed_records(
        self, act_id: int, limit: int, offset: int = 0
    ) -> tuple[int, tuple[ChangeRecord, ...]]:
        """Return how many records an act wrote, and the changes of some of them, in the order of first
        writing.

        A record that was written more than once counts as one change, from its state before the act to its
        state after it.
        """
        c = tables.change.c
        own = select(c.kind, c.record_id, func.min(c.id).label("first"), func.max(c.id).label("last"))
        own = own.where(c.act_id == act_id).group_by(c.kind, c.record_id)
        total = self.connection.scalar(select(func.count()).select_from(own.subquery())) or 0
        pairs = self.connection.execute(own.order_by(func.min(c.id)).limit(limit).offset(offset)).all()
        wanted = {n for pair in pairs for n in (pair.first, pair.last)}
        query = select(tables.change, tables.act).join(tables.act, tables.act.c.id == c.act_id)
        ids = sorted(wanted)
        states = dict(zip(ids, self._changes(query.where(c.id.in_(ids)).order_by(c.id)), strict=True))
        return total, tuple(replace(states[p.last], before=states[p.first].before) for p in pairs)

    def records_of(self, act_id: int, cls: type, limit: int) -> tuple[str, ...]:
        """Return up to `limit` ids of the records of a class that an act wrote."""
        c = tables.change.c
        query = select(c.record_id).where(c.act_id == act_id, c.kind == kind_of(cls)).distinct()
        return tuple(self.connection.scalars(query.order_by(c.record_id).limit(limit)).all())

    def last_acts(self, number: int = 20) -> tuple[ActRecord, ...]:
        """Return the newest acts, newest first."""
        rows = self.connection.execute(select(*_ACT).order_by(tables.act.c.id.desc()).limit(number))
        return tuple(act_from_row(*row) for row in rows)

    def removals(self) -> Iterator[tuple[str, ActRecord]]:
        """Return the ids of entries that no longer exist and were not merged, each with the act that last
        removed it, in the order of these acts."""
        self._settle()
        change, act, entry, redirect = tables.change.c, tables.act.c, tables.entry.c, tables.redirect.c
        gone = (
            change.kind == kind_of(Entry),
            change.after.is_(None),
            change.record_id.not_in(select(entry.id)),
            change.record_id.not_in(select(redirect.id)),
        )
        last = select(func.max(change.id)).where(*gone).group_by(change.record_id)
        query = (
            select(change.record_id, *_ACT)
            .join(tables.act, act.id == change.act_id)
            .where(change.id.in_(last))
            .order_by(change.id)
        )
        for record_id, *row in self.connection.execute(query):
            yield record_id, act_from_row(*row)

    def _changes(self, query: Query) -> tuple[ChangeRecord, ...]:
        c = tables.change.c
        selected = query.with_only_columns(c.kind, c.record_id, c.before, c.after, *_ACT)
        acts: dict[int, ActRecord] = {}
        changes = []
        for kind, record_id, before, after, number, *more in self.connection.execute(selected):
            if number not in acts:
                acts[number] = act_from_row(number, *more)
            changes.append(ChangeRecord(acts[number], kind, record_id, before, after))
        return tuple(changes)

    def _grouped(self, cls: type[KeptT], column: str, values: list[str]) -> dict[str, tuple[KeptT, ...]]:
        self._settle()
        mapped = mapped_of(cls)
        grouped: defaultdict[str, list[KeptT]] = defaultdict(list)
        order = (func.length(mapped.table.c.id), mapped.table.c.id)
        for batch in batched(values):
            query = select(mapped.table).where(mapped.table.c[column].in_(batch))
            for record in self._records(mapped, query.order_by(*order)):
                grouped[getattr(record, column)].append(record)
        return {value: tuple(these) for value, these in grouped.items()}

    def _records(self, mapped: Mapped[KeptT], query: Query) -> list[KeptT]:
        rows = self.connection.execute(query).mappings().all()
        if mapped.table is tables.entry:
            parts = self._parts_of_entries([row["id"] for row in rows])
            return [mapped.from_row(row, **parts[row["id"]]) for row in rows]
        if mapped.table is tables.line:
            joins = self._line_entries([row["id"] for row in rows])
            return [mapped.from_row(row, entry_ids=tuple(joins.get(row["id"], ()))) for row in rows]
        return [mapped.from_row(row) for row in rows]

    def _line_entries(self, ids: list[str]) -> dict[str, list[str]]:
        c = tables.line_entry.c
        by_line: defaultdict[str, list[str]] = defaultdict(list)
        query = select(c.line_id, c.entry_id).order_by(c.line_id, c.position)
        for line_id, entry_id in rows_in(self.connection, query, c.line_id, ids):
            by_line[line_id].append(entry_id)
        return by_line

    def _parts_of_entries(self, ids: list[str]) -> dict[str, dict[str, object]]:
        """Return the parts of entries that are stored in separate rows, by entry id and field name."""
        parts = {name: self._children(mapped, ids) for name, mapped in {"terms": TERM, **CHILDREN}.items()}
        return {i: {name: tuple(these.get(i, ())) for name, these in parts.items()} for i in ids}

    def _children(self, mapped: Mapped[object], ids: list[str]) -> dict[str, list[object]]:
        table = mapped.table
        by_entry: defaultdict[str, list[object]] = defaultdict(list)
        for batch in batched(ids):
            query = select(table).where(table.c.entry_id.in_(batch))
            for row in self.connection.execute(query.order_by(table.c.entry_id, table.c.position)).mappings():
                by_entry[row["entry_id"]].append(mapped.from_row(row))
        return by_entry


def as_json(record: object) -> str:
    """Return a record as the history stores it."""
    return msgspec.json.encode(record, enc_hook=plain_str).decode()
