"""A file in terms of this termbase: every piece under its id here, beside what is here already.

Both ways of looking at a file read this stream: the plan, which only compares, and the taking in.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from termbase.entries import Analogue, Definition, Entry, Figure, Relation, RelationKind, Ruling, Term
from termbase.hierarchy import BroaderLinks, read_broader
from termbase.incoming.matching import Matching
from termbase.incoming.merging import merged, merged_named
from termbase.incoming.pieces import Choice, IncomingEntry, IncomingFile, IncomingRecord, State
from termbase.messages import joined, message
from termbase.pages import Line, Page
from termbase.people import Image, Person, Termbase
from termbase.redirects import Redirect
from termbase.rulecodes import RuleCode
from termbase.sources import Slip, Source
from termbase.trials import Trial

__all__ = ["Circled", "SettledEntry", "SettledRecord", "settled"]

BATCH = 400


@dataclass(frozen=True, slots=True)
class SettledRecord:
    """A record under its id here, beside what is here (None: nothing), and whether the choice takes it."""

    kind: str
    record: Any
    stored: Any
    state: State
    place: str
    wanted: bool


@dataclass(frozen=True, slots=True)
class SettledEntry:
    """An entry under its id here, with its slips, beside what is here.

    Attributes:
        file_id: its id in the file.
        entry: as it would be stored; its relations lead to entries that are here or come in too.
        stored: the entry here, if it is known.
        slips: its slips.
        state: of the entry with its slips.
        wanted: whether the choice takes it.
        dropped: relations left out because they lead to nothing that is here or comes in.
        circled: relations left out because they would close a circle of broader entries.
    """

    file_id: str
    entry: Entry
    stored: Entry | None
    slips: tuple[SettledRecord, ...]
    state: State
    place: str
    wanted: bool
    dropped: int
    circled: tuple["Circled", ...] = ()


@dataclass(frozen=True, slots=True)
class Circled:
    """A broader relation that was left out since it would close a circle; ids as they are here.

    Attributes:
        entry_id, name: the entry and its first name.
        broader_id: what it calls broader.
        place: line in the file.
    """

    entry_id: str
    name: str
    broader_id: str
    place: str

    def readable(self) -> str:
        """The relation that was left out, and why."""
        where = joined((self.place, joined((self.entry_id.removeprefix("+"), f"“{self.name}”"))), ", ")
        return message(
            "%(entry)s: its relation to %(broader)s as a broader entry was left out, since it closes a "
            "circle: each of them would be broader than itself.",
            entry=where,
            broader=self.broader_id.removeprefix("+"),
        )


def settled(
    file: IncomingFile,
    matching: Matching,
    choice: Choice,
    on_checked: Callable[[], None] | None = None,
) -> Iterator[list[SettledEntry] | SettledRecord]:
    """The pieces of a file: named records and pictures first, then entries in batches, then the rest.

    `on_checked` is called when the file was read through once, before the first new id is given.

    Raises:
        BadInput: the file cannot be taken.
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
) -> Iterator[list[SettledEntry] | SettledRecord]:
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


def _early(piece: IncomingRecord, file: IncomingFile, matching: Matching, choice: Choice) -> SettledRecord:
    record = piece.record
    if isinstance(record, Image):
        stored = matching.reader.find(Image, record.id)
        state = State.NEW if stored is None else State.SAME
        return SettledRecord(piece.kind, record, stored, state, piece.place, state is State.NEW)
    if isinstance(record, Termbase):
        here = matching.reader.termbase()
        state = _state(record, here)
        wanted = choice.rest and matching.fresh and state is not State.SAME
        return SettledRecord(piece.kind, record, here, state, piece.place, wanted)
    if isinstance(record, RuleCode):
        record = _with_sources(record, matching)
    found, stored_here = matching.settle_named(record)  # type: ignore[type-var]
    if not file.whole and isinstance(stored_here, Person | Source) and isinstance(found, Person | Source):
        found = merged_named(stored_here, found)
    state = _state(found, stored_here)
    wanted = state is State.NEW or (state is State.CHANGED and choice.changed)
    return SettledRecord(piece.kind, found, stored_here, state, piece.place, wanted)


def _with_sources(code: RuleCode, matching: Matching) -> RuleCode:
    """Sources of rule codes are labels or ids; those that are ids follow their source."""
    sources = tuple(matching.id_of("source", s) for s in code.sources)
    return code if sources == code.sources else replace(code, sources=sources)


class _Entries:
    """Makes settled entries, and what hangs on none."""

    def __init__(self, file: IncomingFile, matching: Matching, choice: Choice) -> None:
        self.file, self.matching, self.choice = file, matching, choice
        self._said: dict[tuple[str, str, str], Slip] = {}  # slips here that say what those of the batch say
        self._entered: set[str] = set()  # pages of the file that were entered here under another id

    def make(self, batch: list[IncomingEntry]) -> list[SettledEntry]:
        matching = self.matching
        here = matching.stored(batch)
        matching.settle_terms(batch, here)
        slips = matching.here(Slip, [s.id for e in batch for s in e.slips])
        if not self.file.whole:
            self._said = matching.slips_saying(s.text for e in batch for s in e.slips)
        return [self._entry(e, here.get(matching.id_of("entry", e.entry.id)), slips) for e in batch]

    def _entry(
        self, incoming: IncomingEntry, stored: Entry | None, slips_here: dict[str, Slip]
    ) -> SettledEntry:
        file_id = incoming.entry.id
        entry, dropped = self._moved(incoming.entry)
        if stored is not None:
            entry = self._beside(incoming.entry.id, entry, stored)
        entry, circled = self._without_circles(entry, stored, incoming.place)
        slips = tuple(self._slip(s, slips_here, incoming.place) for s in incoming.slips)
        state = _state(entry, stored)
        if state is State.SAME and any(s.state is not State.SAME for s in slips):
            state = State.CHANGED
        wanted = self.choice.wants(file_id, state)
        if wanted:
            for relation in entry.relations:
                if relation.kind is RelationKind.BROADER:
                    self._broader.add(entry.id, relation.target_id)
        return SettledEntry(file_id, entry, stored, slips, state, incoming.place, wanted, dropped, circled)

    def _without_circles(
        self, entry: Entry, stored: Entry | None, place: str
    ) -> tuple[Entry, tuple[Circled, ...]]:
        """The entry without those of its new relations that would close a circle of broader entries, beside
        what is here and what came in before it."""
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
        told = tuple(Circled(entry.id, name, relation.target_id, place) for relation in closing)
        return replace(entry, relations=tuple(r for r in entry.relations if r not in closing)), told

    @cached_property
    def _broader(self) -> BroaderLinks:
        return BroaderLinks(read_broader(self.matching.reader))

    def _beside(self, file_id: str, entry: Entry, stored: Entry) -> Entry:
        """What would be stored in place of the entry that is here. Where two entries were made one here, a
        file that still has them apart takes nothing away, and what went into the other is not taken twice."""
        matching, has_entry = self.matching, self.file.has_entry
        target = matching.leads_to(file_id)
        if target:
            return stored if has_entry(target) else merged(stored, entry)
        apart = any(has_entry(i) for i in matching.merged_into(stored.id))
        return entry if self.file.whole and not apart else merged(stored, entry)

    def _moved(self, entry: Entry) -> tuple[Entry, int]:
        """The entry with every id that of here; and how many relations had to be left out."""
        if not self.matching.moved and all(self._leads(r.target_id) for r in entry.relations):
            return entry, 0
        id_of = self.matching.id_of

        def source(part: Any) -> Any:
            return replace(part, source_id=id_of("source", part.source_id)) if part.source_id else part

        relations = tuple(
            Relation(r.kind, id_of("entry", r.target_id)) for r in entry.relations if self._leads(r.target_id)
        )
        moved = replace(
            entry,
            id=id_of("entry", entry.id),
            terms=tuple(_term(t, id_of("term", t.id)) for t in entry.terms),
            definitions=tuple[Definition, ...](source(d) for d in entry.definitions),
            relations=relations,
            analogues=tuple[Analogue, ...](source(a) for a in entry.analogues),
            figures=tuple[Figure, ...](source(f) for f in entry.figures),
            rulings=tuple(_ruling(r, id_of("code", r.code_id)) for r in entry.rulings),
        )
        return moved, len(entry.relations) - len(relations)

    def _leads(self, file_id: str) -> bool:
        """Whether a relation to an entry of the file, or of here, will lead somewhere."""
        if self.matching.is_here(self.matching.id_of("entry", file_id)):
            return True
        chosen = self.choice.entries
        return self.file.has_entry(file_id) and (chosen is None or file_id in chosen)

    def _slip(self, slip: Slip, here: dict[str, Slip], place: str) -> SettledRecord:
        id_of = self.matching.id_of
        moved = slip
        if self.matching.moved:
            moved = replace(
                slip,
                source_id=id_of("source", slip.source_id),
                term_id=id_of("term", slip.term_id) if slip.term_id else "",
                joined_to=id_of("slip", slip.joined_to) if slip.joined_to else "",
            )
        stored = here.get(slip.id) or self._said.get((moved.text, moved.source_id, moved.term_id))
        alike = stored is not None and (
            stored.text == slip.text or (stored.source_id, stored.term_id) == (moved.source_id, moved.term_id)
        )
        if alike and stored is not None and not self.file.whole:
            moved = replace(stored, text=slip.text)
        found, known = self.matching.settle_record(moved, stored, alike=alike)
        state = _state(found, known)
        wanted = state is State.NEW or (state is State.CHANGED and self.choice.changed)
        return SettledRecord("slip", found, known, state, place, wanted)

    def rest(self, batch: list[IncomingRecord]) -> Iterable[SettledRecord]:
        """Slips without a term, pages, lines and trials."""
        cls = type(batch[0].record)
        here = self.matching.here(cls, [str(r.record.id) for r in batch])  # type: ignore[type-var]
        if not self.file.whole:
            texts = [r.record.text for r in batch if isinstance(r.record, Slip)]
            self._said = self.matching.slips_saying(texts) if texts else {}
        for piece in batch:
            record = piece.record
            if isinstance(record, Slip):
                found = self._slip(record, here, piece.place)  # type: ignore[arg-type]
                yield replace(found, wanted=found.wanted and self.choice.rest)
            elif isinstance(record, Redirect):
                yield self._redirect(record, here.get(record.id), piece.place)
            elif isinstance(record, Page | Line | Trial):
                yield self._other(piece, record, here.get(record.id))

    def _redirect(self, record: Redirect, stored: Any, place: str) -> SettledRecord:
        """Where the id of a merged entry leads; it names many ids, so it comes in only if all are kept."""
        state = _state(record, stored)
        matching = self.matching
        kept = not matching.gave_new_ids and not matching.is_here(record.id) and self._leads(record.target_id)
        wanted = self.choice.rest and self.choice.entries is None and kept and state is State.NEW
        return SettledRecord("redirect", record, stored, state, place, wanted)

    def _other(self, piece: IncomingRecord, record: Page | Line | Trial, stored: Any) -> SettledRecord:
        id_of, choice = self.matching.id_of, self.choice
        moved: Any
        wanted = choice.rest
        if isinstance(record, Page):
            moved = replace(record, source_id=id_of("source", record.source_id))
            entered = self.matching.page_at(moved.source_id, moved.number)
            if entered is not None and (entered.id != record.id or self.matching.new_ids):
                self._entered.add(record.id)
                return SettledRecord("page", record, entered, State.SAME, piece.place, False)
            alike = stored is not None and stored.source_id == moved.source_id
        elif isinstance(record, Line):
            entries = tuple(id_of("entry", i) for i in record.entry_ids if self._leads(i))
            if record.page_id in self._entered:  # that page has lines of its own here
                return SettledRecord("line", record, record, State.SAME, piece.place, False)
            moved = replace(record, page_id=id_of("page", record.page_id), entry_ids=entries)
            alike = stored is not None and stored.page_id == moved.page_id
        else:
            moved = replace(
                record, entry_id=id_of("entry", record.entry_id), code_id=id_of("code", record.code_id)
            )
            alike = stored is not None and stored.entry_id == moved.entry_id
            wanted = self._leads(record.entry_id)
        found, known = self.matching.settle_record(moved, stored, alike=alike)
        state = _state(found, known)
        takes = state is State.NEW or (state is State.CHANGED and choice.changed)
        return SettledRecord(piece.kind, found, known, state, piece.place, wanted and takes)


def _term(term: Term, term_id: str) -> Term:
    return term if term.id == term_id else replace(term, id=term_id)


def _ruling(ruling: Ruling, code_id: str) -> Ruling:
    return ruling if ruling.code_id == code_id else replace(ruling, code_id=code_id)


_BOOKKEEPING = {"version": 0}
_OF_ENTRIES = {"changed_by": "", "changed_on": "", "created_by": "", "created_on": ""}


def _state(record: Any, stored: Any) -> State:
    """New, same or changed; who wrote it last, when, and how often does not count."""
    if stored is None:
        return State.NEW
    more = {**_BOOKKEEPING, **(_OF_ENTRIES if isinstance(record, Entry) else {})}
    return State.SAME if replace(record, **more) == replace(stored, **more) else State.CHANGED
