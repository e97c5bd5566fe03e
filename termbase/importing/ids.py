"""Settling a file: each of its records gets its id in this termbase, next to the stored record, if any.

Both the plan, which only compares, and the import read this stream.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Generic, TypeVar

import msgspec

from termbase.fields.declarations import changed_by, fields_of
from termbase.importing.matching import Matching
from termbase.importing.merging import merged
from termbase.importing.records import (
    Choice,
    IncomingEntry,
    IncomingFile,
    IncomingRecord,
    Late,
    Record,
    State,
    late_pointers,
    pointed,
)
from termbase.messages import joined, message
from termbase.record.entries import Entry, Redirect, RelationKind, Term
from termbase.record.pages import Line, Page
from termbase.record.people import Image, Person, Termbase
from termbase.record.sources import Slip, Source
from termbase.record.trials import Trial
from termbase.rules.clauses import RuleCode
from termbase.store.batches import BATCH
from termbase.store.links import BroaderLinks, read_broader
from termbase.store.rows import kind_of

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

__all__ = ["Circled", "SettledEntry", "SettledRecord", "settled"]

Made = TypeVar("Made", bound="DataclassInstance")
Other = TypeVar("Other", bound=Slip | Page | Line | Trial | Redirect)
Kept_co = TypeVar("Kept_co", bound=Record, covariant=True)


@dataclass(frozen=True, slots=True)
class SettledRecord(Generic[Kept_co]):
    """A record with its id here, the stored record (None if there is none), and whether to import it.

    `late` holds its references to records that come after it in the file.
    """

    kind: str
    record: Kept_co
    stored: Kept_co | None
    state: State
    place: str
    wanted: bool
    late: Late | None = None


@dataclass(frozen=True, slots=True)
class SettledEntry:
    """An entry with its id here and its slips, next to the stored entry.

    Attributes:
        file_id: its id in the file.
        entry: as it would be stored; its relations lead to entries that are here or in the file.
        stored: the entry here, if there is one.
        slips: its slips.
        state: how the entry with its slips relates to the one here.
        wanted: whether to import it.
        dropped: relations left out because their target is neither here nor in the file.
        circled: relations left out because they would create a loop of broader entries.
        late: its references to records that come after it in the file.
    """

    file_id: str
    entry: Entry
    stored: Entry | None
    slips: tuple[SettledRecord[Slip], ...]
    state: State
    place: str
    wanted: bool
    dropped: int
    circled: tuple["Circled", ...] = ()
    late: Late | None = None


@dataclass(frozen=True, slots=True)
class Circled:
    """A broader relation that was left out because it would create a loop; ids are those here.

    Attributes:
        entry_id, name: the entry and its first name.
        broader_id: the broader entry.
        place: line in the file.
    """

    entry_id: str
    name: str
    broader_id: str
    place: str

    def readable(self) -> str:
        """A sentence saying which relation was left out, and why."""
        where = joined((self.place, joined((self.entry_id.removeprefix("+"), f"“{self.name}”"))), ", ")
        return message(
            "%(entry)s: its relation to the broader entry %(broader)s was left out because it "
            "would create a loop, in which each entry is broader than itself.",
            entry=where,
            broader=self.broader_id.removeprefix("+"),
        )


def settled(
    file: IncomingFile,
    matching: Matching,
    choice: Choice,
    on_checked: Callable[[], None] | None = None,
) -> Iterator[list[SettledEntry] | SettledRecord[Record]]:
    """Yield the pieces of a file: named records and pictures first, then entries in batches, then the rest.

    `on_checked` is called after the first pass through the file, before the first new id is given.

    Raises:
        BadInput: the file cannot be imported.
    """
    seen: list[IncomingEntry] = []
    named: list[IncomingRecord] = []
    for piece in file.early(matching.is_here):
        if isinstance(piece, IncomingRecord):
            if isinstance(piece.record, Image | Termbase):  # a picture is large, and needs no new id
                yield _early(piece, file, matching, choice)
            else:
                named.append(piece)
        elif isinstance(piece, IncomingEntry):
            seen.append(piece)
            if len(seen) == BATCH:
                matching.settle_entries(seen)
                seen.clear()
        else:
            matching.settle_entry_id(piece)
    matching.settle_entries(seen)
    if on_checked:
        on_checked()
    for record in sorted(named, key=lambda r: r.kind == "code"):  # codes name sources by id
        yield _early(record, file, matching, choice)
    yield from _later(file, matching, choice)


def _later(
    file: IncomingFile, matching: Matching, choice: Choice
) -> Iterator[list[SettledEntry] | SettledRecord[Record]]:
    matching.give_new_ids()
    maker = _Entries(file, matching, choice)
    batch: list[IncomingEntry] = []
    rest: list[IncomingRecord] = []
    for piece in file.later():
        if isinstance(piece, IncomingEntry):
            batch.append(piece)
            if len(batch) == BATCH:
                yield maker.make(batch)
                batch = []
            continue
        if batch:
            yield maker.make(batch)
            batch = []
        if rest and (len(rest) == BATCH or rest[0].kind != piece.kind):
            yield from maker.rest(rest)
            rest = []
        rest.append(piece)
    if batch:
        yield maker.make(batch)
    if rest:
        yield from maker.rest(rest)


def _early(
    piece: IncomingRecord, file: IncomingFile, matching: Matching, choice: Choice
) -> SettledRecord[Record]:
    record = piece.record
    if isinstance(record, Image):
        stored = matching.reader.find(Image, record.id)
        state = State.NEW if stored is None else State.SAME
        return SettledRecord(piece.kind, record, stored, state, piece.place, state is State.NEW)
    if isinstance(record, Termbase):
        stored_termbase = matching.reader.termbase()
        state = _state(record, stored_termbase)
        wanted = choice.rest and matching.fresh and state is not State.SAME
        return SettledRecord(piece.kind, record, stored_termbase, state, piece.place, wanted)
    if isinstance(record, RuleCode):
        record = _with_sources(record, matching)
    result, stored_here = matching.settle_named(record)  # type: ignore[type-var]
    if not file.whole and isinstance(stored_here, Person | Source) and isinstance(result, Person | Source):
        result = merged(stored_here, result)
    state = _state(result, stored_here)
    wanted = state is State.NEW or (state is State.CHANGED and choice.changed)
    return SettledRecord(piece.kind, result, stored_here, state, piece.place, wanted)


def _with_sources(code: RuleCode, matching: Matching) -> RuleCode:
    """Return the rule code with the ids of its sources here; labels are unchanged."""

    def local_ids(sources: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(matching.id_of("source", s) for s in sources)

    clauses = tuple(msgspec.structs.replace(c, sources=local_ids(c.sources)) for c in code.clauses)
    return replace(code, sources=local_ids(code.sources), clauses=clauses)


class _Entries:
    """Makes settled entries, and settled records that belong to no entry."""

    def __init__(self, file: IncomingFile, matching: Matching, choice: Choice) -> None:
        self.file, self.matching, self.choice = file, matching, choice
        self._same_text: dict[
            tuple[str, str, str], Slip
        ] = {}  # slips here with the same text as those in the batch
        self._entered: set[str] = set()  # pages in the file that were entered here under another id

    def make(self, batch: list[IncomingEntry]) -> list[SettledEntry]:
        matching = self.matching
        stored = matching.stored(batch)
        matching.settle_terms(batch, stored)
        slips = matching.here(Slip, [s.id for e in batch for s in e.slips])
        if not self.file.whole:
            self._same_text = matching.slips_saying(s.text for e in batch for s in e.slips)
        return [self._entry(e, stored.get(matching.id_of("entry", e.entry.id)), slips) for e in batch]

    def _entry(
        self, incoming: IncomingEntry, stored: Entry | None, slips_here: dict[str, Slip]
    ) -> SettledEntry:
        file_id = incoming.entry.id
        slips: list[SettledRecord[Slip]] = []
        for item in incoming.slips:
            slips.append(self._slip(item, slips_here.get(item.id), incoming.place))
            self.matching.comes("slip", item.id)
        entry, dropped = self._moved(incoming.entry)
        if stored is not None:
            entry = self._beside(incoming.entry.id, entry, stored)
        entry, circled = self._without_circles(entry, stored, incoming.place)
        state = _state(entry, stored)
        if state is State.SAME and any(s.state is not State.SAME for s in slips):
            state = State.CHANGED
        wanted = self.choice.wants(file_id, state)
        for item, slip in zip(incoming.slips, slips, strict=True):
            if not wanted and slip.stored is None:
                self.matching.stays_away("slip", item.id)
        from_file = stored is None or entry.technique is not stored.technique
        late = self._late(incoming.entry, known=stored is not None) if from_file else None
        if wanted:
            for relation in entry.relations:
                if relation.kind is RelationKind.BROADER:
                    self._broader.add(entry.id, relation.target_id)
        return SettledEntry(
            file_id, entry, stored, tuple(slips), state, incoming.place, wanted, dropped, circled, late
        )

    def _without_circles(
        self, entry: Entry, stored: Entry | None, place: str
    ) -> tuple[Entry, tuple[Circled, ...]]:
        """Return the entry without new relations that would create a loop of broader entries, given what is
        here and what was imported before it."""
        known = stored.relations if stored else ()
        closing = [
            relation
            for relation in entry.relations
            if relation.kind is RelationKind.BROADER
            and relation not in known
            and self._broader.closes(entry.id, relation.target_id)
        ]
        if not closing:
            return entry, ()
        name = entry.terms[0].text if entry.terms else ""
        left_out = tuple(Circled(entry.id, name, relation.target_id, place) for relation in closing)
        return replace(entry, relations=tuple(r for r in entry.relations if r not in closing)), left_out

    @cached_property
    def _broader(self) -> BroaderLinks:
        return BroaderLinks(read_broader(self.matching.reader))

    def _beside(self, file_id: str, entry: Entry, stored: Entry) -> Entry:
        """Return what would replace the entry here. If two entries were merged here, a file that still has
        them separate removes nothing, and what moved to the other entry is not imported twice."""
        matching, has_entry = self.matching, self.file.has_entry
        target = matching.leads_to(file_id)
        if target:
            return stored if has_entry(target) else merged(stored, entry)
        has_merged = any(has_entry(i) for i in matching.merged_into(stored.id))
        return entry if self.file.whole and not has_merged else merged(stored, entry)

    def _moved(self, entry: Entry) -> tuple[Entry, int]:
        """Return the entry with ids here, and how many relations had to be left out."""
        if not self.matching.moved and all(self._leads(r.target_id) for r in entry.relations):
            return entry, 0
        id_of = self.matching.id_so_far
        translated = replace(
            entry,
            id=id_of("entry", entry.id),
            terms=tuple(_term(t, id_of("term", t.id)) for t in entry.terms),
            relations=tuple(r for r in entry.relations if self._leads(r.target_id)),
        )
        return pointed(translated, id_of), len(entry.relations) - len(translated.relations)

    def _late(self, record: Entry | Slip, *, known: bool) -> Late | None:
        """Return a record's references to records that have not come yet."""
        pointers = tuple(p for p in late_pointers(record) if not self.matching.has_come(p))
        return Late(pointers, known) if pointers else None

    def _leads(self, file_id: str) -> bool:
        """Whether the target of a relation is in the file or here."""
        if self.matching.is_here(self.matching.id_of("entry", file_id)):
            return True
        chosen = self.choice.entries
        return self.file.has_entry(file_id) and (chosen is None or file_id in chosen)

    def _slip(self, slip: Slip, by_id: Slip | None, place: str) -> SettledRecord[Slip]:
        translated = pointed(slip, self.matching.id_so_far) if self.matching.moved else slip
        stored = by_id or self._same_text.get((translated.text, translated.source_id, translated.term_id))
        alike = stored is not None and (
            stored.text == slip.text
            or (stored.source_id, stored.term_id) == (translated.source_id, translated.term_id)
        )
        late = self._late(slip, known=alike)
        if alike and stored is not None and not self.file.whole:
            translated, late = merged(stored, translated), None  # it refers to a record here
        result, known = self.matching.settle_record(translated, stored, alike=alike)
        state = _state(result, known)
        wanted = state is State.NEW or (state is State.CHANGED and self.choice.changed)
        return SettledRecord("slip", result, known, state, place, wanted, late)

    def rest(self, batch: list[IncomingRecord]) -> Iterator[SettledRecord[Record]]:
        """Yield slips without a term, pages, lines, trials and merged entries; each batch has one kind."""
        if not self.file.whole:
            texts = [r.record.text for r in batch if isinstance(r.record, Slip)]
            self._same_text = self.matching.slips_saying(texts) if texts else {}
        for place, slip, slip_here in self._each(Slip, batch):
            result = self._slip(slip, slip_here, place)
            wanted = result.wanted and self.choice.rest
            if wanted or result.stored is not None:
                self.matching.comes("slip", slip.id)
            yield replace(result, wanted=wanted)
        for place, page, page_here in self._each(Page, batch):
            yield self._page(page, page_here, place)
        for place, line, line_here in self._each(Line, batch):
            yield self._line(line, line_here, place)
        for place, trial, trial_here in self._each(Trial, batch):
            translated = pointed(trial, self.matching.id_of)
            alike = trial_here is not None and trial_here.entry_id == translated.entry_id
            settled_trial = self._other(
                translated, trial_here, place, alike=alike, wanted=self._leads(trial.entry_id)
            )
            if settled_trial.wanted or settled_trial.stored is not None:
                self.matching.comes("trial", trial.id)
            yield settled_trial
        for place, redirect, redirect_here in self._each(Redirect, batch):
            yield self._redirect(redirect, redirect_here, place)

    def _each(
        self, cls: type[Other], batch: list[IncomingRecord]
    ) -> Iterator[tuple[str, Other, Other | None]]:
        """Yield the records of a class with their place, each next to the one here with its id."""
        result = [(piece.place, piece.record) for piece in batch if isinstance(piece.record, cls)]
        stored = self.matching.here(cls, [record.id for _, record in result]) if result else {}
        yield from ((place, record, stored.get(record.id)) for place, record in result)

    def _redirect(self, record: Redirect, stored: Redirect | None, place: str) -> SettledRecord[Record]:
        """Settle a merged entry; it refers to many ids, so it is imported only if all of them are kept."""
        state = _state(record, stored)
        matching = self.matching
        kept = not matching.gave_new_ids and not matching.is_here(record.id) and self._leads(record.target_id)
        wanted = self.choice.rest and self.choice.entries is None and kept and state is State.NEW
        return SettledRecord("redirect", record, stored, state, place, wanted)

    def _page(self, record: Page, stored: Page | None, place: str) -> SettledRecord[Record]:
        translated = pointed(record, self.matching.id_of)
        entered = self.matching.page_at(translated.source_id, translated.number)
        if entered is not None and (entered.id != record.id or self.matching.new_ids):
            self._entered.add(record.id)
            return SettledRecord("page", record, entered, State.SAME, place, False)
        alike = stored is not None and stored.source_id == translated.source_id
        return self._other(translated, stored, place, alike=alike, wanted=self.choice.rest)

    def _line(self, record: Line, stored: Line | None, place: str) -> SettledRecord[Record]:
        if record.page_id in self._entered:  # that page has lines of its own here
            return SettledRecord("line", record, record, State.SAME, place, False)
        leading = tuple(i for i in record.entry_ids if self._leads(i))
        translated = pointed(replace(record, entry_ids=leading), self.matching.id_of)
        alike = stored is not None and stored.page_id == translated.page_id
        return self._other(translated, stored, place, alike=alike, wanted=self.choice.rest)

    def _other(
        self, translated: Other, stored: Other | None, place: str, *, alike: bool, wanted: bool
    ) -> SettledRecord[Record]:
        result, known = self.matching.settle_record(translated, stored, alike=alike)
        state = _state(result, known)
        changes = state is State.NEW or (state is State.CHANGED and self.choice.changed)
        return SettledRecord(kind_of(type(result)), result, known, state, place, wanted and changes)


def _term(term: Term, term_id: str) -> Term:
    return term if term.id == term_id else replace(term, id=term_id)


def _state(record: Made, stored: Made | None) -> State:
    """Return new, same or changed; the last editor, date and version do not count."""
    if stored is None:
        return State.NEW
    counted = {f.name: getattr(stored, f.name) for f in fields_of(type(record)) if f.counted}
    return State.SAME if changed_by(record, counted) == stored else State.CHANGED
