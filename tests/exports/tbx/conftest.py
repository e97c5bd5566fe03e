"""A record in memory that the real `Library` can read, and one record that uses every field."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import pytest

from termbase.fields.notes import own_words
from termbase.overviews.articles import Library
from termbase.record.entries import (
    Analogue,
    Definition,
    Entry,
    Figure,
    Gender,
    InflectedForm,
    Number,
    Origin,
    PartOfSpeech,
    Redirect,
    Register,
    Relation,
    RelationKind,
    Ruling,
    Signature,
    Status,
    Term,
    TermType,
    Topic,
)
from termbase.record.foreign_notes import ForeignNote
from termbase.record.pages import Line, Page
from termbase.record.people import Person, Role, Termbase
from termbase.record.sources import Certainty, Presence, Slip, SlipKind, Source, SourceKind
from termbase.record.trials import Outcome, Trial
from termbase.rules.clauses import KeepRule, LegRule, RuleCode
from termbase.technique.profile import Hand, Profile, Stated


@dataclass
class MemoryReader:
    """The parts of a reader that `Library` needs, answered from lists of records."""

    base: Termbase
    records: tuple[Any, ...] = ()
    by_class: dict[type, list[Any]] = field(init=False)

    def __post_init__(self) -> None:
        self.by_class = defaultdict(list)
        for record in self.records:
            self.by_class[type(record)].append(record)

    def termbase(self) -> Termbase:
        return self.base

    def all(self, cls: type) -> tuple[Any, ...]:
        return tuple(self.by_class[cls])

    def count(self, cls: type) -> int:
        return len(self.by_class[cls])

    def many(self, cls: type, ids: Iterable[str]) -> dict[str, Any]:
        found = {r.id: r for r in self.by_class[cls]}
        return {i: found[i] for i in ids if i in found}

    def entries(self, ids: Sequence[str] | None = None) -> Iterator[tuple[Entry, ...]]:
        wanted = [e.id for e in self.by_class[Entry]] if ids is None else ids
        yield tuple(self.many(Entry, wanted).values())

    def slips_of(self, entries: Iterable[Entry]) -> dict[str, tuple[Slip, ...]]:
        return self._grouped(Slip, "term_id")

    def by_entry(self, cls: type, entries: Iterable[Entry]) -> dict[str, tuple[Any, ...]]:
        return self._grouped(cls, "entry_id")

    def lines_of(self, entries: Iterable[Entry]) -> dict[str, tuple[Line, ...]]:
        found = defaultdict(list)
        for line in self.by_class[Line]:
            for entry_id in line.entry_ids:
                found[entry_id].append(line)
        return {i: tuple(lines) for i, lines in found.items()}

    def incoming(self, entries: Iterable[Entry]) -> dict[str, tuple[tuple[RelationKind, str], ...]]:
        found = defaultdict(list)
        for entry in self.by_class[Entry]:
            for relation in entry.relations:
                found[relation.target_id].append((relation.kind, entry.id))
        return {i: tuple(those) for i, those in found.items()}

    def _grouped(self, cls: type, name: str) -> dict[str, tuple[Any, ...]]:
        found = defaultdict(list)
        for record in self.by_class[cls]:
            found[getattr(record, name)].append(record)
        return {i: tuple(those) for i, those in found.items()}


@pytest.fixture(scope="session")
def library_of() -> Callable[..., Library]:
    """Return a library of records; the termbase comes first."""

    def make(base: Termbase, *records: object) -> Library:
        return Library(MemoryReader(base, records))

    return make


BASE = Termbase(
    title="Words of the Vale & its <wrestlers>",
    working_language="en",
    vernaculars=("cy", "ga"),
    licence="CC BY 4.0",
    rights="© the invented society",
    notice="Everything here is invented and is evidence of nothing.",
    version=3,
)
SOURCES = (
    Source(
        id="s1",
        label="Advertiser 1898",
        kind=SourceKind.NEWSPAPER,
        title="At the fair",
        author="A Walker",
        editor="B Printer",
        container="The Glanmorwen Advertiser",
        publisher="Printer & Son",
        place="Glanmorwen",
        issued="1898-06-04",
        pages="3",
        archive="Vale Archive",
        shelfmark="N 12",
        url="https://vale.example/1898?a=1&b=2",
        language="en",
        styles=("strap-hold", "open-hold"),
        rights="out of copyright",
        note="Torn at the foot.",
        pattern="[columns]",
        version=2,
    ),
    Source(
        id="s2",
        label="Word-List",
        kind=SourceKind.WORD_LIST,
        title="A Word-List",
        issued="189X~",
        language="cy",
    ),
)
CODE = RuleCode(
    id="r1",
    name="Fair rules",
    place="Glanmorwen",
    period="1868/1910",
    note="From the handbill.",
    sources=("s1",),
    clauses=(
        KeepRule(id="k1", sources=("s1",), words="The holds are kept.", keep="both hands"),
        LegRule(id="k2", sources=("s1",), words="No kicking.", stance="barred", uses=("kick",)),
    ),
)
FULL = Entry(
    id="c0001",
    topic=Topic.TRIP,
    terms=(
        Term(
            id="t1",
            text="bachiad",
            language="cy",
            origin=Origin.IN_USE,
            printed="bachiad Ꝺ",
            printed_language="cy-Latg",
            part_of_speech=PartOfSpeech.NOUN,
            gender=Gender.MASCULINE,
            number=Number.SINGULAR,
            forms=(InflectedForm("plural", "bachiadau"), InflectedForm("soft", "fachiad")),
            pronunciation="ˈbaxjad",
            register=Register.TECHNICAL,
            region="upper vale",
            usage_note="of the trip only",
            type=TermType.FULL,
            status=Status.PREFERRED,
            sort_text="bach\N{COMBINING GRAPHEME JOINER}iad",
        ),
        Term(
            id="t2",
            text="bachu",
            language="cy",
            origin=Origin.REBUILT,
            part_of_speech=PartOfSpeech.VERBAL_NOUN,
            gender=Gender.BOTH,
            type=TermType.VARIANT,
            status=Status.SUPERSEDED,
        ),
        Term(id="t3", text="hook", language="en", origin=Origin.COINED, part_of_speech=PartOfSpeech.OTHER),
        Term(id="t4", text=" ", language="en", origin=Origin.COINED),
    ),
    definitions=(
        Definition("en", "A trip with the heel behind his.", "s1"),
        Definition("cy", "Baglu â'r sawdl."),
        Definition("gd", "Cuir-leagail.", "s2"),
    ),
    technique=Profile(
        right=Hand(places=Stated(("shoulder strap",), "slip", "q1")),
        leg_use=Stated("hook", "reading"),
        falls_on_him=Stated(False),
    ),
    relations=(
        Relation(RelationKind.BROADER, "c0002"),
        Relation(RelationKind.SEE_ALSO, "c0003"),
    ),
    analogues=(Analogue("heel hook", "en", "open-hold", "s1"),),
    figures=(
        Figure("0123456789abcdef", "The hook from behind", maker="C Drawer", rights="CC0", source_id="s1"),
        Figure("https://vale.example/hook.png?x=1&y=2", "The hook"),
    ),
    rulings=(
        Ruling("r1", "open", "B Editor", "2026-01-02", "The heel is not a kick."),
        Ruling("r9", "fits", "B Editor", "2026-01-03", "By custom."),
    ),
    usage_note="Called at fairs.",
    editor_note="Ask again.",
    language_reading=Signature("Nia Speaker", "2026-02-01"),
    practice_reading=Signature(reopened=own_words("the profile was changed")),
    created_by="Nia Speaker",
    created_on="2026-01-01",
    changed_by="Somebody Else",
    changed_on="2026~",
    version=4,
)
SLIPS = (
    Slip(
        id="q1",
        source_id="s1",
        text="He threw him\nwith a BACHIAD.",
        name="BACHIAD",
        page="3",
        column="2",
        line="14",
        item="5",
        date="1898-06-03",
        place="Upper field",
        kind=SlipKind.MENTION,
        certainty=Certainty.PROBABLE,
        note="ink faint",
        image_id="0123456789abcdef",
        term_id="t1",
        joined_to="q2",
        apart=True,
        presence=Presence.BROKEN,
        version=1,
    ),
    Slip(id="q2", source_id="s2", text="Bachiad, n. a hook.", kind=SlipKind.HEADWORD, term_id="t1"),
    Slip(id="q3", source_id="s1", text="waits for a term"),
    Slip(id="q4", source_id="s1", text="bears witness to a blank", term_id="t4"),
)
TRIAL = Trial(
    id="m1",
    entry_id="c0001",
    date="2026-02-03",
    outcome=Outcome.WORKS_CHANGED,
    place="the hall",
    people="N, B",
    code_id="r1",
    holds="strap and belt",
    done="ten times",
    change="lower",
    safety="mats",
    injuries="none",
    image_ids=("fedcba9876543210",),
    version=1,
)
RECORDS = (
    Redirect("c0009", "c0001", FULL, FULL, FULL),
    *SOURCES,
    Person("p1", "Nia Speaker", roles=(Role.SPEAKER, Role.COACH), version=1),
    Person("p2", "B Editor"),
    CODE,
    FULL,
    Entry(
        id="c0002",
        terms=(
            Term(
                id="t5",
                text="trip",
                language="en",
                origin=Origin.IN_USE,
                foreign_notes=(
                    ForeignNote(
                        category="note",
                        text="Often.",
                        file="quay.tbx",
                        accepted_by="B Editor",
                        accepted_on="2026-01-04",
                    ),
                    ForeignNote(category="termLocation", text="menuItem", file="quay.tbx"),
                    ForeignNote(
                        category="gloss", text="a fall", file="quay.tbx", about="quotation", target="k9"
                    ),
                    ForeignNote(category="note", text="Origin: in use", file="quay.tbx"),
                ),
            ),
        ),
        foreign_notes=(
            ForeignNote(category="subjectField", text="harbour sports", file="quay.tbx"),
            ForeignNote(
                category="xGraphic",
                text="A trip",
                file="quay.tbx",
                target="https://quay.example/trip.png?a=1&b=2",
            ),
            ForeignNote(category="xGraphic", text="A drawing", file="quay.tbx", target="trip.png"),
            ForeignNote(category="note", text="Dweud.", file="quay.tbx", language="en", text_language="cy"),
        ),
    ),
    Entry(id="c0003", topic=Topic.FOUL, editor_note="no name yet"),
    *SLIPS,
    TRIAL,
    Page("w1", "s2", "17", "Bachiad, n. a hook."),
    Line("l1", "w1", 0, "Bachiad, n. a hook.", entry_ids=("c0001",)),
)


@pytest.fixture
def full_library(library_of: Callable[..., Library]) -> Library:
    """Return a termbase in which every field of every record has a value somewhere."""
    return library_of(BASE, *RECORDS)
