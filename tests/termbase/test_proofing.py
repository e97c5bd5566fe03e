"""Every check of the proof finds its fault, and finds nothing if there is none."""

import inspect
from collections.abc import Callable
from dataclasses import replace
from typing import get_type_hints

import pytest

from termbase.acts import entries as entry_acts
from termbase.acts import pages as page_acts
from termbase.overviews.articles import Library
from termbase.proofing import entries as of_entries
from termbase.proofing import termbase as of_whole
from termbase.proofing.checks import CHECKS, Finding, proof
from termbase.record.entries import (
    Definition,
    Entry,
    Figure,
    Gender,
    Origin,
    PartOfSpeech,
    Relation,
    RelationKind,
    Signature,
    Status,
    Term,
    Topic,
)
from termbase.record.pages import Line
from termbase.record.people import Image, Termbase
from termbase.record.sources import Certainty, Presence, Slip, SlipKind, Source, SourceKind
from termbase.record.trials import Outcome, Trial
from termbase.rules.clauses import Limits, NamedRule, RuleCode
from termbase.store.engine import Store
from termbase.store.writing import Act
from termbase.technique.profile import Hand, Profile, Stated
from termbase.wordlists.pattern_files import write_pattern
from termbase.wordlists.stock import STOCK

Build = Callable[[Act], object]

HEEL = Term("", "back-heel", "en", Origin.IN_USE)
SAWDL = Term("", "bachiad sawdl", "cy", Origin.IN_USE, gender=Gender.MASCULINE)
PAPER = Source("", "Lantern", SourceKind.NEWSPAPER, "The Quarry Lantern", issued="1870/1909", rights="Free.")
SIGNED = Signature("Nia", "2026-03-01")
PUSH = Profile(
    right=Hand(work=Stated("hold only")), left=Hand(work=Stated("hold only")),
    leg_use=Stated("none"), off_balance=Stated("backward"),
)  # fmt: skip
REAP = Profile(leg_use=Stated("reap"), his_side=Stated("right"), off_balance=Stated("right backward"))
BAN = NamedRule(id="1", stance="barred", names=("back-heel",))
LEAVE = NamedRule(id="2", stance="allowed", names=("back-heel",))
BAN_AT_THE_FAIR = NamedRule(id="1", stance="barred", names=("back-heel",), limits=Limits(place="fair"))
LEAVE_IN_THE_QUARRY = NamedRule(id="2", stance="allowed", names=("back-heel",), limits=Limits(place="quarry"))


@pytest.fixture
def database() -> str:
    """Run on SQLite only: findings do not depend on the database."""
    return "sqlite"


def entry(*terms: Term, **fields: object) -> Build:
    """Build an entry with these names."""

    def build(act: Act) -> Entry:
        made = replace(Entry("", terms=terms or (HEEL, SAWDL)), **fields)  # type: ignore[arg-type]
        return entry_acts.save(act, made)

    return build


def entries(*builds: Build) -> Build:
    """Run several builds one after another."""
    return lambda act: [build(act) for build in builds]


def with_broader(*links: tuple[str, str]) -> Build:
    """Build two entries with these broader relations, stored without checks."""

    def build(act: Act) -> None:
        for term in (HEEL, SAWDL):
            entry_acts.save(act, Entry("", terms=(term,)))
        act.flush()
        for entry_id, above in links:
            relations = (Relation(RelationKind.BROADER, above),)
            act.put(replace(act.get(Entry, entry_id), relations=relations))

    return build


def quoted(term: Term, source: Source = PAPER, **fields: object) -> Build:
    """Build an entry with one name, and a slip that is evidence for it."""

    def build(act: Act) -> Slip:
        paper = act.add(replace(source, id=act.new_id("source")))
        made = entry_acts.save(act, Entry("", terms=(term,)))
        slip = Slip(act.new_id("slip"), paper.id, f"thrown by {term.text}", term_id=made.terms[0].id)
        return act.add(replace(slip, **fields))  # type: ignore[arg-type]

    return build


def source(**fields: object) -> Build:
    return lambda act: act.add(replace(PAPER, id=act.new_id("source"), **fields))  # type: ignore[arg-type]


def unsorted(**fields: object) -> Build:
    def build(act: Act) -> Slip:
        paper = act.add(replace(PAPER, id=act.new_id("source")))
        return act.add(replace(Slip(act.new_id("slip"), paper.id, "a"), **fields))  # type: ignore[arg-type]

    return build


def code(*clauses: NamedRule, **fields: object) -> Build:
    def build(act: Act) -> RuleCode:
        made = RuleCode(act.new_id("code"), "Fair rules", clauses=clauses)
        return act.add(replace(made, **fields))  # type: ignore[arg-type]

    return build


def trial_under(outcome: Outcome, clause: NamedRule, date: str = "2026", **more: str) -> Build:
    """Build a trial of a technique under a rule code with this clause."""

    def build(act: Act) -> Trial:
        rules = act.add(RuleCode(act.new_id("code"), "Fair rules", clauses=(clause,)))
        made = entry_acts.save(act, Entry("", topic=Topic.TRIP, terms=(HEEL,), technique=REAP))
        return act.add(Trial(act.new_id("trial"), made.id, date, outcome, code_id=rules.id, **more))

    return build


def figure(rights: str) -> Build:
    def build(act: Act) -> Entry:
        act.add_image(Image("0" * 16, "image/png", 1, 1, b"png"))
        return entry_acts.save(
            act, Entry("", terms=(HEEL,), figures=(Figure("0" * 16, "A fall", rights=rights),))
        )

    return build


def page(work: Callable[[Act, str], object]) -> Build:
    """Build a page of one line, and work that line."""

    def build(act: Act) -> None:
        pattern = write_pattern(STOCK["pocket list"])
        paper = act.add(replace(PAPER, id=act.new_id("source"), kind=SourceKind.WORD_LIST, pattern=pattern))
        entered = page_acts.add_page(act, paper.id, "41", "back-heel, s. [strap] bachiad sawdl, m.\n")
        for line in act.all(Line, page_id=entered.id):
            work(act, line.id)

    return build


def termbase(**fields: object) -> Build:
    return lambda act: act.put(replace(act.get(Termbase, "termbase"), **fields))  # type: ignore[arg-type]


COINED = replace(SAWDL, origin=Origin.COINED)
ALIKE = (replace(HEEL, text="back-hael"), replace(SAWDL, text="bachiad sowdl"))
DEFINED = Definition("en", "His heel is hooked.")

FIXTURES: dict[str, tuple[Build, Build]] = {
    "no-topic": (entry(), entry(topic=Topic.TRIP)),
    "no-name": (entry(HEEL), entry(HEEL, SAWDL)),
    "no-definition": (entry(definitions=(Definition("cy", "Bachu."),)), entry(definitions=(DEFINED,))),
    "no-slip": (entry(HEEL), quoted(HEEL)),
    "use-unproved": (quoted(HEEL, certainty=Certainty.DOUBTFUL), quoted(HEEL)),
    "origin-contradicts": (
        quoted(replace(HEEL, origin=Origin.WORD_LIST)),
        quoted(replace(HEEL, origin=Origin.WORD_LIST), kind=SlipKind.HEADWORD),
    ),
    "origin-unstated": (entry(replace(HEEL, origin=Origin.NOT_STATED)), entry(HEEL)),
    "slip-without-name": (
        quoted(HEEL, text="thrown by a hook"),
        quoted(HEEL, text="thrown by the same", presence=Presence.DITTO),
    ),
    "no-preferred": (
        entry(HEEL, replace(HEEL, text="heel-hook")),
        entry(replace(HEEL, status=Status.PREFERRED), replace(HEEL, text="heel-hook")),
    ),
    "made-up-unsaid": (entry(COINED), entry(replace(COINED, usage_note="From bach and sawdl."))),
    "no-gender": (
        entry(replace(SAWDL, gender=None, part_of_speech=PartOfSpeech.NOUN)),
        entry(
            replace(SAWDL, part_of_speech=PartOfSpeech.NOUN), replace(HEEL, part_of_speech=PartOfSpeech.NOUN)
        ),
    ),
    "likely-duplicate": (
        entries(entry(), entry(*ALIKE)),
        entries(entry(), entry(ALIKE[0], replace(SAWDL, text="clun groes"))),
    ),
    "homonym": (entries(entry(HEEL), entry(HEEL)), entries(entry(HEEL), entry(replace(HEEL, language="cy")))),
    "broader-circle": (
        with_broader(("c0001", "c0002"), ("c0002", "c0001")),
        with_broader(("c0001", "c0002")),
    ),
    "no-technique": (entry(topic=Topic.TRIP), entry(topic=Topic.GARMENT)),
    "mechanics": (entry(topic=Topic.THROW, technique=PUSH), entry(topic=Topic.TRIP, technique=REAP)),
    "rests-on-missing": (
        entry(technique=Profile(facing=Stated("front", "slip", "q9999"))),
        entry(technique=Profile(facing=Stated("front", "analogue", "back-heel"), leg_use=Stated("hook"))),
    ),
    "open-verdict": (
        entries(code(), entry(technique=REAP)),
        entries(code(BAN), entry(technique=REAP)),
    ),
    "someone-hurt": (
        trial_under(Outcome.WORKS, BAN, injuries="Bruised rib."),
        trial_under(Outcome.WORKS, BAN, injuries="None."),
    ),
    "injuries-unsaid": (
        trial_under(Outcome.WORKS, BAN),
        trial_under(Outcome.WORKS, BAN, injuries="None.", safety="Mats."),
    ),
    "people-named": (
        trial_under(Outcome.WORKS, BAN, people="Ruth Ashbarrow, S.L."),
        trial_under(Outcome.WORKS, BAN, people="R.A., S.L."),
    ),
    "trial-contradicts": (trial_under(Outcome.WORKS, BAN), trial_under(Outcome.FAILS, BAN)),
    "code-contradicts": (code(BAN, LEAVE), code(BAN_AT_THE_FAIR, LEAVE_IN_THE_QUARRY)),
    "slip-out-of-time": (quoted(HEEL, date="1931"), quoted(HEEL, date="1889-08-03")),
    "date-fault": (unsorted(date="about 1898"), unsorted(date="1898~")),
    "tag-fault": (entry(replace(HEEL, language="gd")), entry()),
    "figure-rights": (figure(""), figure("Free.")),
    "unsorted-slip": (unsorted(), quoted(HEEL)),
    "source-gaps": (source(rights=""), source()),
    "lines-left": (page(lambda act, line_id: None), page(lambda act, line_id: page_acts.make(act, line_id))),
    "reading-open": (
        entry(language_reading=SIGNED),
        entry(language_reading=SIGNED, practice_reading=SIGNED),
    ),
}
"""For each check, a fault that it finds, and a similar record without the fault."""


def findings_of(store: Store, code: str, *builds: Build) -> list[Finding]:
    with store.act("Nia", "built it") as act:
        for build in builds:
            build(act)
    with store.read() as reader:
        return [finding for finding in proof(Library(reader)) if finding.check == code]


@pytest.mark.parametrize("code", [check.code for check in CHECKS])
def test_a_check_finds_its_fault_and_says_where_what_and_how_to_fix_it(store: Store, code: str) -> None:
    faulty, _ = FIXTURES[code]

    findings = findings_of(store, code, faulty)

    assert findings
    for finding in findings:
        assert finding.record_id
        assert finding.name
        assert finding.what.endswith((".", "?"))
        assert finding.fix.endswith(".")


@pytest.mark.parametrize("code", [check.code for check in CHECKS])
def test_a_check_is_silent_where_nothing_is_wrong(store: Store, code: str) -> None:
    _, clean = FIXTURES[code]

    assert findings_of(store, code, clean) == []


def test_every_check_code_is_used_once() -> None:
    codes = [check.code for check in CHECKS]

    assert len(codes) == len(set(codes))
    assert set(FIXTURES) == set(codes)


def test_every_check_function_is_in_the_table() -> None:
    written = {
        function
        for module in (of_entries, of_whole)
        for name, function in vars(module).items()
        if inspect.isfunction(function) and function.__module__ == module.__name__ and name[0] != "_"
        if Library in get_type_hints(function).values()
    }
    assert written == {f for c in CHECKS for f in (c.of_article, c.prepared, c.of_whole) if f}


@pytest.mark.parametrize(
    ("code", "build", "kind"),
    [
        ("no-topic", entry(), "entry"),
        ("unsorted-slip", unsorted(), "slip"),
        ("source-gaps", source(issued=""), "source"),
        ("lines-left", page(lambda act, line_id: None), "page"),
        ("code-contradicts", code(BAN, LEAVE), "code"),
        ("date-fault", source(issued="about 1898"), "source"),
        ("date-fault", unsorted(date="13th"), "slip"),
        ("date-fault", code(period="of old"), "code"),
        ("date-fault", quoted(HEEL, date="Tuesday"), "entry"),
        ("date-fault", trial_under(Outcome.WORKS, LEAVE, date="May"), "entry"),
        ("tag-fault", source(language="EN"), "source"),
        ("tag-fault", termbase(vernaculars=("w!",)), "termbase"),
    ],
)
def test_a_finding_leads_to_the_record_to_fix(store: Store, code: str, build: Build, kind: str) -> None:
    assert [finding.kind for finding in findings_of(store, code, build)] == [kind]


def test_invalid_years_of_a_clause_are_reported(store: Store) -> None:
    limits = Limits(years="long ago")
    ban = NamedRule(id="1", stance="barred", names=("a",), limits=limits)
    leave = NamedRule(id="2", stance="allowed", names=("a",), limits=limits)

    findings = findings_of(store, "code-contradicts", code(ban, leave))

    assert len(findings) == 1
    assert "long ago" in findings[0].what


@pytest.mark.parametrize(
    ("english", "welsh", "asked"),
    [
        ("back-heel", "bachiad sawdl", True),  # the same names
        ("back heel", "fachiad sawdl", True),  # another spelling, and a mutated form
        ("back-heil", "bachiad sawdl", True),  # one letter differs in one of the two
        ("back-heel", "clun groes", False),  # a homonym, which has its own check
        ("cross-buttock", "bachiad sawdl", False),
    ],
)
def test_entries_with_similar_names_in_both_languages_may_be_duplicates(
    store: Store, english: str, welsh: str, asked: bool
) -> None:
    second = entry(replace(HEEL, text=english), replace(SAWDL, text=welsh))

    findings = findings_of(store, "likely-duplicate", entry(), second)

    assert [(finding.record_id, "c0001" in finding.what) for finding in findings] == [("c0002", True)] * asked


def test_findings_are_in_the_order_of_the_table_then_of_creation(store: Store) -> None:
    with store.act("Nia", "built it") as act:
        entries(entry(SAWDL), entry(HEEL), entry(HEEL))(act)
    with store.read() as reader:
        findings = proof(Library(reader))

    order = [check.code for check in CHECKS]
    assert [order.index(f.check) for f in findings] == sorted(order.index(f.check) for f in findings)
    assert [f.record_id for f in findings if f.check == "no-topic"] == ["c0001", "c0002", "c0003"]


def test_progress_of_the_proof_is_reported_up_to_the_total(store: Store) -> None:
    reported: list[tuple[int, int]] = []
    with store.act("Nia", "built it") as act:
        for n in range(120):
            entry(replace(HEEL, text=f"hold {n}"))(act)
    with store.read() as reader:
        proof(Library(reader), lambda done, total: reported.append((done, total)))

    assert reported[0] == (0, 120)
    assert reported[-1] == (120, 120)
    assert reported == sorted(reported)


@pytest.mark.parametrize("origin", [Origin.REBUILT, Origin.COINED])
def test_a_made_up_name_that_is_recorded_is_reported(store: Store, origin: Origin) -> None:
    (finding,) = findings_of(store, "origin-contradicts", quoted(replace(HEEL, origin=origin)))

    assert origin.value in finding.what
    assert "in use by one witness" in finding.what


def test_a_word_list_name_without_a_headword_is_reported(store: Store) -> None:
    made = quoted(replace(HEEL, origin=Origin.WORD_LIST), kind=SlipKind.MENTION)

    assert [f.record_id for f in findings_of(store, "origin-contradicts", made)] == ["c0001"]


def test_a_quotation_that_only_mentions_a_name_does_not_prove_its_use(store: Store) -> None:
    assert findings_of(store, "use-unproved", quoted(HEEL, kind=SlipKind.RULE))
