"""Matching incoming records with those already here, and deciding their ids.

An id alone proves nothing: two termbases both have a `c0001`. A record is known if there is one with its id
here and the two are clearly the same thing (a name in common, the same label, the same quotation); a source,
a person or a rule code also by its label or name. Everything else is new, and keeps its id if it has our form
and is free.
"""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import replace
from typing import Final, TypeVar

from sqlalchemy import select

from termbase.importing.records import LATE, IncomingEntry, Late, Pointer
from termbase.record.entries import Entry, Redirect
from termbase.record.pages import Line, Page
from termbase.record.people import Person
from termbase.record.sources import Slip, Source
from termbase.record.trials import Trial
from termbase.rules.clauses import RuleCode
from termbase.store import tables
from termbase.store.batches import rows_in
from termbase.store.reading import Reader
from termbase.store.rows import KINDS, kind_of
from termbase.store.writing import PREFIX

__all__ = ["Matching", "is_ours"]

_LATE_CLASSES: Final[Mapping[str, type[Slip | Trial]]] = {"slip": Slip, "trial": Trial}
SlipKey = tuple[str, str, str]  # text, source and term
Named = TypeVar("Named", bound=Person | Source | RuleCode)
Other = TypeVar("Other", bound=Slip | Page | Line | Trial | Redirect)


class Matching:
    """Maps the ids in one file to ids in this termbase.

    Args:
        reader: the record here.
        new_id: gives the next id of a kind.
        new_ids: match only sources, people and rule codes; give everything else a new id.
    """

    def __init__(self, reader: Reader, new_id: Callable[[str], str], *, new_ids: bool = False) -> None:
        self.reader = reader
        self.new_ids = new_ids
        self._new_id = new_id
        self._moved: defaultdict[str, dict[str, str]] = defaultdict(dict)
        self._waiting: list[str] = []
        self._came: dict[str, set[str]] = {kind: set() for kind in LATE}
        self._taken = {kind: self._ids(kind) for kind in ("person", "source", "code", "entry")}
        redirect = tables.redirect.c
        redirects = reader.connection.execute(select(redirect.id, redirect.target_id))
        self._led: dict[str, str] = {row[0]: row[1] for row in redirects}
        self._empty = {kind for kind in ("term", "slip", "page", "line", "trial") if self._is_empty(kind)}
        self._by_label: dict[type, dict[str, Person | Source | RuleCode]] = {
            Source: {s.label: s for s in reader.all(Source)},
            Person: {p.name: p for p in reader.all(Person)},
            RuleCode: {c.name: c for c in reader.all(RuleCode)},
        }

    @property
    def empty(self) -> bool:
        """Whether this termbase has no entries and no slips."""
        return not self._taken["entry"] and {"term", "slip"} <= self._empty

    @property
    def fresh(self) -> bool:
        """Whether nothing has been recorded here yet."""
        return not any(self._taken.values())

    def is_here(self, entry_id: str) -> bool:
        """Whether this termbase has an entry with this id."""
        return entry_id in self._taken["entry"] or entry_id in self._led

    def leads_to(self, file_id: str) -> str:
        """Return the entry here that an entry in the file was merged into, or an empty string."""
        return self._led.get(file_id, "")

    def merged_into(self, entry_id: str) -> tuple[str, ...]:
        """Return the entries that were merged into an entry here."""
        return tuple(i for i, target in self._led.items() if target == entry_id)

    @property
    def moved(self) -> bool:
        """Whether any record in the file may get a different id."""
        return bool(self._led) or self.gave_new_ids

    @property
    def gave_new_ids(self) -> bool:
        """Whether any record in the file got a new id because its own was not free."""
        return any(self._moved.values())

    def page_at(self, source_id: str, number: str) -> Page | None:
        """Return the page of a source with this number, if it has been entered here."""
        if "page" in self._empty:
            return None
        return next(iter(self.reader.all(Page, source_id=source_id, number=number)), None)

    def id_of(self, kind: str, file_id: str) -> str:
        """Return the id here of a record in the file, once it has been settled."""
        unmoved = self._led.get(file_id, file_id) if kind == "entry" else file_id
        return self._moved[kind].get(file_id, unmoved)

    def comes(self, kind: str, file_id: str) -> None:
        """Record that a slip or trial in the file is settled and will be imported."""
        self._came[kind].add(file_id)

    def stays_away(self, kind: str, file_id: str) -> None:
        """Record that a slip or trial in the file will not be imported after all."""
        self._came[kind].discard(file_id)

    def id_so_far(self, kind: str, file_id: str) -> str:
        """Like `id_of`, before the whole file is settled: a slip or trial still to come keeps the file's
        id."""
        known = kind not in LATE or file_id in self._came[kind]
        return self.id_of(kind, file_id) if known else file_id

    def has_come(self, pointer: Pointer) -> bool:
        """Whether a slip or trial in the file has been settled so far."""
        kind, file_id = pointer
        return file_id in self._came[kind]

    def late_ids(self, late: Late) -> dict[Pointer, str]:
        """Return the ids here of slips and trials that came late; call this after reading the whole file.

        One that never came keeps its id, unless another record here has it; then the id is empty.
        """
        result = {p: self.id_of(*p) for p in late.pointers if self.has_come(p)}
        missing = [p for p in late.pointers if p not in result]
        taken = self._stored_pointers(missing) if missing else set()
        if (
            late.known and not self.new_ids
        ):  # the file may hold only part of the termbase it was exported from
            taken = {(kind, i) for kind, i in taken if i in self._moved[kind].values()}
        return result | {p: "" if p in taken else p[1] for p in missing}

    def _stored_pointers(self, pointers: Collection[Pointer]) -> set[Pointer]:
        """Return the slips and trials that now exist here under these ids."""
        result: set[Pointer] = set()
        for kind, cls in _LATE_CLASSES.items():
            result.update(
                (kind, i)
                for i in self.reader.many(cls, (i for pointer_kind, i in pointers if pointer_kind == kind))
            )
        return result

    def settle_named(self, record: Named) -> tuple[Named, Named | None]:
        """Return a person, source or rule code with its id here, and its match here, if any."""
        cls = type(record)
        kind, known = kind_of(cls), self._by_label[cls]
        name = record.label if isinstance(record, Source) else record.name
        same_name = known.get(name)
        result = same_name if isinstance(same_name, cls) else None
        if result is None and record.id in self._taken[kind]:
            candidate = self.reader.find(cls, record.id)
            if (
                isinstance(candidate, Source)
                and isinstance(record, Source)
                and candidate.title == record.title
            ):
                result = candidate  # the same work under another label
        if result is not None:
            self._move(kind, record.id, result.id)
            return replace(record, id=result.id), result
        free = is_ours(kind, record.id) and record.id not in self._taken[kind]
        settled = replace(record, id=record.id if free else self._new(kind, record.id))
        known[name] = settled
        return settled, None

    def settle_entries(self, seen: Iterable[IncomingEntry]) -> None:
        """Settle the ids of entries whose id is known here: matching ones keep it, or get the id of the entry
        they were merged into."""
        batch = list(seen)
        ids = {e.entry.id: self._led.get(e.entry.id, e.entry.id) for e in batch}
        stored_entries = {} if self.new_ids else self.reader.many(Entry, ids.values())
        for incoming in batch:
            stored = stored_entries.get(ids[incoming.entry.id])
            if stored is None or not _alike(stored, incoming.entry):
                self._waiting.append(incoming.entry.id)
            else:
                self._move("entry", incoming.entry.id, stored.id)

    def settle_entry_id(self, file_id: str) -> None:
        """Settle the id of an entry that is not known here."""
        if self.new_ids or not is_ours("entry", file_id):
            self._waiting.append(file_id)

    def give_new_ids(self) -> None:
        """Give new ids to entries that cannot keep theirs, now that all ids in the file are known."""
        for file_id in self._waiting:
            self._new("entry", file_id)
        self._waiting.clear()

    def stored(self, batch: Collection[IncomingEntry]) -> dict[str, Entry]:
        """Return the matching entries here, by their id here."""
        ids = (self.id_of("entry", e.entry.id) for e in batch)
        known = [i for i in ids if i in self._taken["entry"]]
        return self.reader.many(Entry, known) if known else {}

    def settle_terms(self, batch: Collection[IncomingEntry], here: Mapping[str, Entry]) -> None:
        """Settle the ids of terms: those of known entries are matched by id, then by text and language.

        Terms of earlier batches are forgotten: only the slips that come with an entry refer to its terms.
        """
        self._moved["term"].clear()
        if (
            "term" in self._empty
            and not self.new_ids
            and all(is_ours("term", t.id) for e in batch for t in e.entry.terms)
        ):
            return
        taken = self._existing_terms([t.id for e in batch for t in e.entry.terms])
        for incoming in batch:
            stored = here.get(self.id_of("entry", incoming.entry.id))
            stored_ids = {t.id for t in stored.terms} if stored else set()
            kept = stored_ids & {t.id for t in incoming.entry.terms}
            alike = {
                (t.text, t.language): t.id
                for t in reversed(stored.terms if stored else ())
                if t.id not in kept
            }
            for term in incoming.entry.terms:
                if term.id in stored_ids:
                    continue
                match = alike.pop((term.text, term.language), None)
                if match is not None:
                    self._move("term", term.id, match)
                elif self.new_ids or term.id in taken or not is_ours("term", term.id):
                    self._new("term", term.id)

    def settle_record(
        self, record: Other, stored: Other | None, *, alike: bool
    ) -> tuple[Other, Other | None]:
        """Return a slip, page, line or trial with its id here, and its match here.

        Args:
            record: with the file's id; its references already use ids here.
            stored: the record here with this id, if any.
            alike: whether the two are clearly the same.
        """
        kind = kind_of(type(record))
        if stored is not None and alike and not self.new_ids:
            self._move(kind, record.id, stored.id)
            return replace(record, id=stored.id), stored
        if self.new_ids or stored is not None or not is_ours(kind, record.id):
            return replace(record, id=self._new(kind, record.id)), None
        return record, None

    def here(self, cls: type[Other], ids: Iterable[str]) -> dict[str, Other]:
        """Return the records with these ids; skips the query if there are none of this kind."""
        return {} if self.new_ids or kind_of(cls) in self._empty else self.reader.many(cls, ids)

    def slips_saying(self, texts: Iterable[str]) -> dict[SlipKey, Slip]:
        """Return the slips here with one of these texts, by text, source and term; files from other systems
        seldom have ids for quotations."""
        if self.new_ids or "slip" in self._empty:
            return {}
        wanted, column = list(dict.fromkeys(texts)), tables.slip.c
        rows = rows_in(self.reader.connection, select(column.id), column.text, wanted)
        slips = self.reader.many(Slip, (row[0] for row in rows))
        return {(s.text, s.source_id, s.term_id): s for s in slips.values()}

    def _new(self, kind: str, file_id: str) -> str:
        new = self._new_id(kind)
        self._move(kind, file_id, new)
        return new

    def _move(self, kind: str, file_id: str, here: str) -> None:
        if file_id != here:
            self._moved[kind][file_id] = here

    def _ids(self, kind: str) -> frozenset[str]:
        return frozenset(self.reader.connection.scalars(select(KINDS[kind].table.c.id)))

    def _is_empty(self, kind: str) -> bool:
        table = tables.metadata.tables[kind]
        return self.reader.connection.scalar(select(table.c.id).limit(1)) is None

    def _existing_terms(self, term_ids: list[str]) -> set[str]:
        if "term" in self._empty:
            return set()
        column = tables.term.c.id
        return {row[0] for row in rows_in(self.reader.connection, select(column), column, term_ids)}


def is_ours(kind: str, file_id: str) -> bool:
    """Whether an id has the form that this program gives."""
    digits = file_id[1:]
    return file_id[:1] == PREFIX[kind] and digits.isdecimal() and digits.isascii() and len(digits) <= 9


def _alike(stored: Entry, incoming: Entry) -> bool:
    """Whether two entries with the same id are clearly the same: a name in common, or made by the same person
    on the same day."""
    names = {(t.text, t.language) for t in stored.terms}
    if stored.terms == incoming.terms or any((t.text, t.language) in names for t in incoming.terms):
        return True
    creation = (stored.created_by, stored.created_on)
    return all(creation) and creation == (incoming.created_by, incoming.created_on)
