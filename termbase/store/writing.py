"""Writing the record: one act is one transaction, and every change it makes goes into the history.

An act collects changes and writes them together, each row after the rows that it refers to; reading through
the act sees its own changes. If anything fails, nothing is written.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from operator import attrgetter
from typing import TYPE_CHECKING

from sqlalchemy import Connection, Table, delete, insert, select, text, update
from sqlalchemy.exc import IntegrityError

from termbase.codes.wording import statement_text
from termbase.errors import Conflict, InUse
from termbase.fields.notes import CodedText
from termbase.languages import alphabets
from termbase.loading import lazy_module
from termbase.messages import message
from termbase.record.entries import Entry, heads
from termbase.record.pages import Line
from termbase.record.people import Image, Termbase
from termbase.record.sources import Slip
from termbase.store import tables
from termbase.store.batches import batched, execute_in
from termbase.store.bulk import insert_rows
from termbase.store.keys import write_keys
from termbase.store.reading import Reader, as_json
from termbase.store.rows import CHILDREN, KINDS, TERM, Kept, KeptT, kind_of, reason_as_json, revised
from termbase.store.textwords import write_text_words

if TYPE_CHECKING:
    from termbase.media import pictures
else:
    # It imports the picture libraries, which most acts do not need.
    pictures = lazy_module("termbase.media.pictures")

__all__ = ["TERM_COLUMNS", "Act", "term_rows"]

PREFIX = {
    "entry": "c", "term": "t", "source": "s", "slip": "q", "page": "w", "line": "l", "trial": "m",
    "code": "r", "person": "p",
}  # fmt: skip
WIDTH = {"entry": 4}
BULK = 2000  # number of changes after which the planner's statistics are updated


@dataclass
class _Pending:
    """The pending change of one record: its state before (None: did not exist) and after (None: removed)."""

    before: Kept | None
    after: Kept | None


class Act(Reader):
    """One change of the record by one person. Created by `Store.act()`.

    Attributes:
        relations_last: write relations at the end of the act, since they may refer to entries that come
            later; until then, queries do not see them.
        keyed: a set while the termbase is filled without indexes (`termbase.store.bulk.indexes_last`); see
            `write_keys`.
    """

    def __init__(
        self, connection: Connection, by: str, what: CodedText, at: str, undoes: int | None = None
    ) -> None:
        super().__init__(connection)
        self.by = by
        self.what = what
        self.at = at
        self.undoes = undoes
        self.id: int | None = None
        self._pending: dict[tuple[str, str], _Pending] = {}
        self._counters: dict[str, int] = {}
        self.relations_last = False
        self.keyed: set[str] | None = None
        self._waiting: list[tuple[str, int, str, str]] = []  # relations: entry, position, kind, target
        self._written = 0

    def new_id(self, kind: str) -> str:
        """Return the next id of a kind (`entry`, `term`, `source`...); no id is ever used twice, not even
        after an undo."""
        if kind not in self._counters:
            table = tables.counter
            query = select(table.c.value).where(table.c.kind == kind).with_for_update()
            value = self.connection.scalar(query)
            if value is None:
                self.connection.execute(insert(table).values(kind=kind, value=0))
            self._counters[kind] = value or 0
        self._counters[kind] += 1
        return f"{PREFIX[kind]}{self._counters[kind]:0{WIDTH.get(kind, 1)}d}"

    def count_past(self, kind: str, record_id: str) -> None:
        """Record an id assigned elsewhere (in a data file), so that `new_id` never returns it."""
        number = int(record_id.removeprefix(PREFIX[kind]))
        if number > self._counters.get(kind, 0):
            self.new_id(kind)
            if number >= self._counters[kind]:
                self._counters[kind] = number
            else:
                del self._counters[kind]  # nothing to record: the ids assigned so far are higher

    def add(self, record: KeptT) -> KeptT:
        """Add a record under a new id; return it as it will be stored (version 1)."""
        stored = self._stamped(record, 1, created=True)
        self._pending[self._key(record)] = _Pending(None, stored)
        return stored

    def put(self, record: KeptT) -> KeptT:
        """Replace a record by a changed one; return it with its new version.

        Raises:
            Conflict: the stored version is not the one from which `record` was read.
        """
        before = self.find(type(record), self._key(record)[1])
        version = int(getattr(record, "version"))  # noqa: B009 - records of every class have one
        if before is None:
            if version:
                raise Conflict(
                    message("It has been removed in the meantime."),
                    where=self._key(record)[1],
                    fix=message("Restore it first."),
                )
            return self.add(record)
        stored_version = int(getattr(before, "version"))  # noqa: B009
        if version != stored_version:
            raise Conflict(
                message("Somebody else changed it in the meantime."),
                where=self._key(record)[1],
                fix=message("Compare both versions and enter what you want to keep."),
            )
        if before == record:
            return record
        stored = self._stamped(record, version + 1, created=False)
        self._pend(record, before, stored)
        return stored

    def take(self, record: KeptT) -> None:
        """Add a record from elsewhere unchanged, with its id, version, author and dates."""
        self._pending[self._key(record)] = _Pending(None, record)

    def put_known(self, before: KeptT, after: KeptT) -> KeptT:
        """Replace a record that this act has just read by a changed one; for bulk work."""
        version = int(getattr(before, "version")) + 1  # noqa: B009
        stored = self._stamped(after, version, created=False)
        self._pend(before, before, stored)
        return stored

    def remove(self, cls: type[Kept], record_id: str) -> None:
        """Remove a record; its history is kept.

        Raises:
            NotFound: it does not exist.
            InUse: something still refers to it; raised on writing.
        """
        before = self.get(cls, record_id)
        self._pend(before, before, None)

    def restore(self, record: KeptT) -> None:
        """Restore a state from the history, as the newest version."""
        before = self.find(type(record), self._key(record)[1])
        version = int(getattr(before, "version", getattr(record, "version", 0))) + 1
        self._pend(record, before, revised(record, version=version))

    def restore_known(self, now: KeptT | None, record: KeptT | None) -> None:
        """Restore a state if the current one is known; None means that it does not exist.

        For undoing work on thousands of records at once.
        """
        if record is not None:
            version = int(getattr(now, "version", getattr(record, "version", 0))) + 1
            self._pend(record, now, revised(record, version=version))
        elif now is not None:
            self._pend(now, now, None)

    def add_image(self, image: Image) -> None:
        """Store a picture, always without metadata; the same picture is stored once.

        Pictures never change, so they have no history.
        """
        table = tables.image
        if self.connection.scalar(select(table.c.id).where(table.c.id == image.id)) is None:
            self.connection.execute(insert(table).values(KINDS["image"].to_row(pictures.stripped(image))))

    def many(self, cls: type[KeptT], ids: Iterable[str]) -> dict[str, KeptT]:
        """Return records by id, with the changes of this act."""
        wanted = list(dict.fromkeys(ids))
        kind = kind_of(cls)
        pending = {i: self._pending[kind, i].after for i in wanted if (kind, i) in self._pending}
        by_id = super().many(cls, [i for i in wanted if i not in pending])
        by_id.update((i, record) for i, record in pending.items() if isinstance(record, cls))
        return {i: by_id[i] for i in wanted if i in by_id}

    def flush(self) -> None:
        """Write what has been collected so far; queries then see it.

        Raises:
            InUse: something still refers to a record to be removed.
        """
        if not (self._pending or self._counters):
            return
        if self.id is None:
            values = {"at": self.at, "by": self.by, "what": reason_as_json(self.what), "undoes": self.undoes}
            made = self.connection.execute(insert(tables.act).values(values)).inserted_primary_key
            self.id = made[0] if made else None
        try:
            self._write()
        except IntegrityError as error:
            raise self._in_use() from error
        for kind, value in self._counters.items():
            table = tables.counter
            self.connection.execute(update(table).where(table.c.kind == kind).values(value=value))
        self._pending.clear()

    def _in_use(self) -> InUse:
        return InUse(
            message(
                "Something in the record still refers to what would be removed, or to "
                "something that does not exist."
            ),
            where=statement_text(self.what),
            fix=message("Remove or change those references first."),
        )

    def _write_waiting(self) -> None:
        names = ("entry_id", "position", "kind", "target_id")
        try:
            for batch in batched(self._waiting, BULK):
                self._insert(tables.relation, names, batch)
        except IntegrityError as error:
            raise self._in_use() from error
        self._waiting.clear()

    def _settle(self) -> None:
        if self._pending:
            self.flush()

    def finish(self) -> None:
        """Write everything; called once by the store at the end of the act."""
        if self._pending or self._counters or self._waiting:
            self.flush()
            self._write_waiting()
        if self._written >= BULK:
            self.connection.execute(text("ANALYZE"))

    def _key(self, record: Kept) -> tuple[str, str]:
        return kind_of(type(record)), record.id

    def _pend(self, record: Kept, before: Kept | None, after: Kept | None) -> None:
        if after is None and isinstance(before, Termbase):
            raise InUse(
                message(
                    "This would remove the termbase's own record, and without it the termbase "
                    "cannot be opened."
                ),
                where=statement_text(self.what),
                fix=message(
                    "Undo later changes one at a time instead, or create another termbase with: wordhold new"
                ),
            )
        key = self._key(record)
        if key in self._pending:
            before = self._pending[key].before
        self._pending[key] = _Pending(before, after)

    def _stamped(self, record: KeptT, version: int, *, created: bool) -> KeptT:
        more: dict[str, str] = {}
        if isinstance(record, Entry):
            more = {"changed_by": self.by, "changed_on": self.at[:10]}
            if created:
                more |= {
                    "created_by": record.created_by or self.by,
                    "created_on": record.created_on or self.at[:10],
                }
        return revised(record, version=version, **more)

    def _write(self) -> None:
        by_kind: defaultdict[str, list[tuple[str, _Pending]]] = defaultdict(list)
        for (kind, record_id), pending in self._pending.items():
            if pending.before is not None or pending.after is not None:
                by_kind[kind].append((record_id, pending))
        self._write_history(by_kind)
        made_entries = [p.after for _, p in by_kind["entry"] if p.before is None and p.after is not None]
        self._insert_and_update("entry", made_entries, [])
        gone = [p.before.id for _, p in by_kind["entry"] if p.before is not None]
        if gone:
            self._clear_entries(gone)
        moved = _moved_terms(by_kind["entry"])
        self._move_terms(moved)
        self._redirect(by_kind)
        self._clear_lines([i for i, p in by_kind["line"] if p.before is not None])
        self._clear_slips([i for i, p in by_kind["slip"] if _resorted(p)])
        for kind in reversed(KINDS):
            self._delete(kind, [i for i, p in by_kind[kind] if p.after is None])
        for kind in KINDS:
            made = [p.after for _, p in by_kind[kind] if p.before is None and p.after is not None]
            kept = [
                (p.before, p.after) for _, p in by_kind[kind] if p.before is not None and p.after is not None
            ]
            self._insert_and_update(kind, [] if kind == "entry" else made, [after for _, after in kept])
            if kind == "entry":
                self._write_entry_parts(
                    [after for after in made if isinstance(after, Entry)],
                    [(b, a) for b, a in kept if isinstance(b, Entry) and isinstance(a, Entry)],
                    moved,
                )
            if kind == "line":
                written = (*made, *(after for _, after in kept))
                self._write_line_entries([line for line in written if isinstance(line, Line)])

    def _write_history(self, by_kind: dict[str, list[tuple[str, _Pending]]]) -> None:
        rows = [
            (
                self.id,
                kind,
                record_id,
                None if p.before is None else as_json(p.before),
                None if p.after is None else as_json(p.after),
            )
            for kind in KINDS
            for record_id, p in by_kind.get(kind, ())
        ]
        self._written += len(rows)
        self._insert(tables.change, ("act_id", "kind", "record_id", "before", "after"), rows)

    def _insert(self, table: Table, columns: Iterable[str], rows: Sequence[Sequence[object]]) -> None:
        """Insert rows of these columns, bypassing the SQL compiler, which would double the time."""
        insert_rows(self.connection, table, columns, rows)

    def _insert_and_update(self, kind: str, made: list[Kept], kept: list[Kept]) -> None:
        mapped = KINDS[kind]
        if kind == "entry":
            rows = [(*mapped.to_values(e), e.ready) for e in made if isinstance(e, Entry)]
            self._insert(mapped.table, (*mapped.columns, "ready"), rows)
        else:
            self._insert(mapped.table, mapped.columns, [mapped.to_values(r) for r in made])
        for record in kept:
            row = mapped.to_row(record, **({"ready": record.ready} if isinstance(record, Entry) else {}))
            self.connection.execute(update(mapped.table).where(mapped.table.c.id == record.id).values(row))

    def _delete(self, kind: str, ids: list[str]) -> None:
        table = KINDS[kind].table
        if kind == "entry":
            execute_in(self.connection, delete(TERM.table), TERM.table.c.entry_id, ids)
        execute_in(self.connection, delete(table), table.c.id, ids)

    def _clear_lines(self, ids: list[str]) -> None:
        """Detach lines from their entries: an entry may be removed in the act that reopens its line."""
        table = tables.line_entry
        execute_in(self.connection, delete(table), table.c.line_id, ids)

    def _clear_slips(self, ids: list[str]) -> None:
        """Detach slips from their names: a name may be removed in the act that unsorts its slips."""
        table = tables.slip
        execute_in(self.connection, update(table).values(term_id=None), table.c.id, ids)

    def _clear_entries(self, ids: list[str]) -> None:
        for mapped in CHILDREN.values():
            execute_in(self.connection, delete(mapped.table), mapped.table.c.entry_id, ids)

    def _move_terms(self, moved: dict[str, str]) -> None:
        """Move names to another entry, so that references to them need not be detached."""
        table = TERM.table
        for term_id, entry_id in moved.items():
            self.connection.execute(update(table).where(table.c.id == term_id).values(entry_id=entry_id))

    def _redirect(self, by_kind: dict[str, list[tuple[str, _Pending]]]) -> None:
        """Redirect trials and redirects, which must always have a target, before their entry is removed."""
        for kind, column in (("trial", "entry_id"), ("redirect", "target_id")):
            table = KINDS[kind].table
            for record_id, p in by_kind.get(kind, ()):
                now = getattr(p.after, column, None)
                if p.before is not None and p.after is not None and getattr(p.before, column) != now:
                    here = table.c.id == record_id
                    self.connection.execute(update(table).where(here).values({column: now}))

    def _write_entry_parts(
        self, made: list[Entry], kept: list[tuple[Entry, Entry]], moved: dict[str, str]
    ) -> None:
        rows = [row for e in made for row in term_rows(e)]
        self._insert(
            TERM.table, TERM_COLUMNS, [row for row in rows if row[0] not in moved] if moved else rows
        )
        for row in rows if moved else ():
            if row[0] in moved:
                values = dict(zip(TERM_COLUMNS, row, strict=True))
                self.connection.execute(update(TERM.table).where(TERM.table.c.id == row[0]).values(values))
        new = [t for e in made for t in e.terms if t.id not in moved]
        write_keys(self.connection, new, new=True, seen=self.keyed)
        write_keys(self.connection, [t for e in made for t in e.terms if t.id in moved])
        for before, after in kept:
            self._update_terms(before, after)
        write_text_words(self.connection, made, new=True)
        write_text_words(self.connection, [after for _, after in kept])
        whole = [*made, *(after for _, after in kept)]
        for name, mapped in CHILDREN.items():
            if name == "relations" and self.relations_last:
                self._waiting += [
                    (e.id, n, r.kind.value, r.target_id) for e in whole for n, r in enumerate(e.relations)
                ]
                continue
            parts = attrgetter(name)
            rows = [[*mapped.to_values(part), e.id, n] for e in whole for n, part in enumerate(parts(e))]
            self._insert(mapped.table, (*mapped.columns, "entry_id", "position"), rows)

    def _update_terms(self, before: Entry, after: Entry) -> None:
        table = TERM.table
        if before.terms == after.terms:
            return
        old = {t.id for t in before.terms}
        gone = old - {t.id for t in after.terms}
        here = set(self.connection.scalars(select(table.c.id).where(table.c.entry_id == after.id)))
        if gone:
            self.connection.execute(delete(table).where(table.c.id.in_(gone), table.c.entry_id == after.id))
        for values in term_rows(after):
            row = dict(zip(TERM_COLUMNS, values, strict=True))
            if row["id"] in here:
                self.connection.execute(update(table).where(table.c.id == row["id"]).values(row))
            else:
                self.connection.execute(insert(table).values(row))
        write_keys(self.connection, after.terms)

    def _write_line_entries(self, lines: list[Line]) -> None:
        rows = [(x.id, n, entry_id) for x in lines for n, entry_id in enumerate(x.entry_ids)]
        self._insert(tables.line_entry, ("line_id", "position", "entry_id"), rows)


def _moved_terms(entries: list[tuple[str, _Pending]]) -> dict[str, str]:
    """Return the names that belong to one entry before the act and to another after it, with their new
    entry."""
    if len(entries) < 2:
        return {}
    before = {t.id: i for i, p in entries if isinstance(p.before, Entry) for t in p.before.terms}
    if not before:
        return {}
    return {
        t.id: i
        for i, p in entries
        if isinstance(p.after, Entry)
        for t in p.after.terms
        if before.get(t.id, i) != i
    }


def _resorted(pending: _Pending) -> bool:
    """Return whether a slip no longer bears witness to the name that it did before."""
    before, after = pending.before, pending.after
    if not isinstance(before, Slip) or not before.term_id:
        return False
    return not isinstance(after, Slip) or after.term_id != before.term_id


TERM_COLUMNS = (*TERM.columns, "entry_id", "position", "is_head", "sort_key", "section")


def term_rows(entry: Entry) -> list[list[object]]:
    """Return the rows of the names of an entry, with computed columns, in the order of
    `TERM_COLUMNS`."""
    head_ids = {t.id for t in heads(entry).values()}
    rows = []
    for position, term in enumerate(entry.terms):
        sorted_as, language = term.sort_text or term.text, term.language
        row = TERM.to_values(term)
        row += (
            entry.id, position, term.id in head_ids, alphabets.sort_key(sorted_as, language),
            alphabets.section(sorted_as, language),
        )  # fmt: skip
        rows.append(row)
    return rows
