"""TBX-Wordhold from one termbase into an empty one and out again: the same record and the same bytes."""

import importlib.util
import re
from collections.abc import Callable, Iterator
from dataclasses import fields, replace
from functools import lru_cache
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from types import ModuleType
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from lxml import etree, isoschematron

import exports.tbx
from exports.tbx import describing
from exports.tbx.reader import read_tbx
from exports.tbx.tags import FIELDS, OWN
from exports.tbx.validating import check_file
from exports.tbx.writer import write_tbx
from termbase.demo.loading import fill, load
from termbase.fields.declarations import fields_of
from termbase.fields.notes import CodedText as Why
from termbase.fields.notes import own_words
from termbase.importing.planning import plan
from termbase.importing.records import Choice, State
from termbase.importing.taking import import_file
from termbase.overviews.articles import Library
from termbase.record.entries import (
    Analogue,
    Definition,
    Entry,
    Figure,
    FoldedName,
    Gender,
    InflectedForm,
    Number,
    Origin,
    PartOfSpeech,
    PointedAt,
    Redirect,
    Register,
    Relation,
    RelationKind,
    Ruling,
    Signature,
    Term,
)
from termbase.record.foreign_notes import ForeignNote
from termbase.record.lines import ParsedLine, Sense
from termbase.record.pages import Line, LineState, Page
from termbase.record.people import Image, Person, Termbase
from termbase.record.sources import Slip, Source
from termbase.record.trials import Trial
from termbase.rules.clauses import KeepRule, LegRule, Likeness, Limits, NamedRule, RuleCode
from termbase.store.engine import Store
from termbase.store.reading import Reader
from termbase.technique.profile import Hand, Profile, Stated

SHARED = Path(__file__).parents[4] / "shared"
KINDS = (Person, Source, RuleCode, Image, Entry, Slip, Page, Line, Trial, Redirect)
_numbers = count(1)

# Everything that a database can hold: no NUL (PostgreSQL), no lone surrogates.
ODD = st.sampled_from([
    "", " ", "<&>\"'", "]]>", "\r\n\t x", "\x0b\x1f", "\ufffe\uffff", "␛", "␛b␛", "𐌰",
    "a\N{COMBINING GRAPHEME JOINER}b", "<!--", "&amp;", "\x85\u2028", "; ",
    "  two  spaces ", "n\N{COMBINING TILDE}",
])  # fmt: skip
TEXT = ODD | st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=8)
TONGUES = st.sampled_from(["en", "cy", "ga", "ga-Latg", "x-glan", "und"])  # names are sorted and found by it
TAGS = TONGUES | st.sampled_from(["old tongue", ""])
DATES = st.sampled_from(["", "1898", "1898-06-03", "189X~", "2024-02-29", "0000-01-01"])
SOURCES = st.sampled_from(["", "s1", "s2"])
BASIS = st.sampled_from(["slip", "trial", "analogue", "reading"])


def built(cls: type[Any], **known: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """Draw records of a class: any text in fields without a strategy of their own, any value of their type
    in others."""
    for field in fields_of(cls):
        if field.name not in known:
            known[field.name] = TEXT if field.hint is str else st.from_type(field.hint)
    return st.builds(cls, **known)


def stated(*values: Any) -> st.SearchStrategy[Any]:
    return st.none() | st.builds(Stated, st.sampled_from(values), BASIS, TEXT)


PLACES_OF_HANDS = stated(("belt",), ("collar", "lapel"), ())
HANDS = st.builds(
    Hand, places=PLACES_OF_HANDS, also=PLACES_OF_HANDS, work=stated("pull", "lift"),
    essential=stated(True, False), lets_go=stated(True, False),
)  # fmt: skip
PROFILES = st.none() | st.builds(
    Profile, right=HANDS, left=HANDS, leg_use=stated("hook", "none"), leg_when=stated("once he is off it"),
    limb=stated("heel"), limb_side=stated("right"), contact=stated(("heel", "calf"), ()),
    his_side=stated("both"),
    contact_inward=stated("inside"), contact_from=stated("behind"), facing=stated("back to him"),
    off_balance=stated("left backward"), first_down=stated("he"), falls_on_him=stated(True, False),
    pressure=stated("none"), ground=stated("standing"), left_form=stated("same"),
)  # fmt: skip
VERSIONS = st.integers(1, 3)
VALUES = TEXT | st.integers(-9, 9)
WHYS = st.recursive(
    st.builds(own_words, TEXT) | st.builds(Why, st.sampled_from(["a.code", "reading.reopened.changed"])),
    lambda inner: st.builds(
        Why, TEXT.filter(bool), st.dictionaries(TEXT, VALUES | inner.filter(bool), max_size=2)
    ),
    max_leaves=3,
)
NOTES = st.lists(built(ForeignNote), max_size=2).map(tuple)
TERMS = st.lists(
    built(
        Term, foreign_notes=NOTES, id=st.just(""), language=TONGUES, printed_language=TONGUES,
        forms=st.lists(st.builds(InflectedForm, TEXT, TEXT), max_size=2).map(tuple),
    ),
    max_size=4,
).map(tuple)  # fmt: skip
FIGURES = st.builds(Figure, st.just("0123456789abcdef"), TEXT, maker=TEXT, rights=TEXT, source_id=SOURCES)
ENTRIES = built(
    Entry, id=st.just(""), terms=TERMS, foreign_notes=NOTES, technique=PROFILES, version=VERSIONS,
    definitions=st.lists(st.builds(Definition, TAGS, TEXT, SOURCES), max_size=4).map(tuple),
    relations=st.lists(
        st.builds(Relation, st.sampled_from(RelationKind), st.sampled_from(["c0001", "c0002"])), max_size=2
    ).map(tuple),
    analogues=st.lists(st.builds(Analogue, TEXT, TAGS, TEXT, SOURCES), max_size=2).map(tuple),
    figures=st.lists(FIGURES, max_size=2)
    .map(tuple),
    rulings=st.lists(st.builds(Ruling, st.just("r1"), TEXT, TEXT, TEXT, TEXT), max_size=1).map(tuple),
    language_reading=st.builds(Signature, TEXT, TEXT, WHYS),
    practice_reading=st.builds(Signature, TEXT, TEXT, WHYS),
    created_on=DATES | TEXT, changed_on=DATES | TEXT,
)  # fmt: skip
SLIPS = built(
    Slip, id=st.just(""), source_id=st.sampled_from(["s1", "s2"]), version=VERSIONS, joined_to=st.just(""),
    image_id=st.sampled_from(["", "0123456789abcdef"]), term_id=st.just(""), date=DATES,
)  # fmt: skip
IMAGE = Image("0123456789abcdef", "image/png", 2, 1, bytes(range(256)))
PARSED = ParsedLine(headword="hook & <eye>", senses=(Sense(number="1", gloss="a\tb"),), rest="\x0b", layout=1)


@st.composite
def records(draw: st.DrawFn) -> tuple[Any, ...]:
    entries = []
    terms = count(1)
    for number, entry in enumerate(draw(st.lists(ENTRIES, min_size=2, max_size=3)), start=1):
        named = tuple(replace(t, id=f"t{next(terms)}") for t in entry.terms)
        entry_id = f"c{number:04}"
        # A circle of broader entries cannot be imported: see test_circles.
        related = tuple(
            r for r in entry.relations if r.kind is not RelationKind.BROADER or r.target_id < entry_id
        )
        entries.append(replace(entry, id=entry_id, terms=named, relations=related))
    ids = ["", *(t.id for e in entries for t in e.terms)]
    slips = [
        replace(s, id=f"q{n}", term_id=draw(st.sampled_from(ids)))
        for n, s in enumerate(draw(st.lists(SLIPS, max_size=4)), start=1)
    ]
    if len(slips) > 1:
        slips[0] = replace(slips[0], joined_to="q2")
    sources = [
        draw(built(Source, id=st.just(i), issued=DATES, label=st.just(f"{i} & <label>"), version=VERSIONS,
                   styles=st.lists(TEXT, max_size=2).map(tuple)))
        for i in ("s1", "s2")
    ]  # fmt: skip
    text = draw(TEXT)
    code = RuleCode(
        "r1", "Fair rules", "Glan", "1868", text, (
            KeepRule(id="1", words=text, keep="one hand", limits=Limits(years="1868/1884")),
            LegRule(id="2", stance="barred", uses=("kick", "trip"), feet_only=True),
            NamedRule(id="3", stance="unsettled", names=(text,), like=Likeness(falls_on_him=(True,))),
        ), ("s1", text), 2,
    )  # fmt: skip
    page = Page("w1", "s1", "12", text, image_id="0123456789abcdef", version=1)
    lines = (
        Line(
            "l1",
            "w1",
            1,
            text,
            first=1,
            parsed=PARSED,
            corrected=True,
            state=LineState.ATTACHED,
            reason=draw(WHYS),
            entry_ids=("c0002", "c0001"),
            version=2,
        ),
        Line("l2", "w1", 2, "x", first=2, parsed=None, version=1),
    )
    trial = draw(built(
        Trial, id=st.just("m1"), entry_id=st.just("c0002"), code_id=st.sampled_from(["", "r1"]), date=DATES,
        image_ids=st.lists(st.just("0123456789abcdef"), max_size=2).map(tuple), version=VERSIONS,
    ))  # fmt: skip
    people = [draw(built(Person, id=st.just(f"p{n}"), version=VERSIONS)) for n in (1, 2)]
    people[1] = replace(people[1], name=people[0].name + " the younger")
    base = draw(built(Termbase, id=st.just("termbase"), title=TEXT, working_language=TAGS, version=st.just(1),
                      vernaculars=st.lists(st.sampled_from(["cy", "ga-Latg"]), unique=True)
                      .map(tuple)))  # fmt: skip
    gone = Redirect(
        "c0009", "c0001", replace(entries[0], id="c0009"), entries[1], entries[0],
        folded=(FoldedName("t90", "t1", ("q1",)),), trial_ids=("m1",), line_ids=("l1",),
        pointed=(PointedAt("c0002", RelationKind.FOLLOWS),),
        redirect_ids=(), by="Nia", on="2026-03-01", version=1,
    )  # fmt: skip
    return (base, *people, *sources, code, IMAGE, *entries, *slips, page, *lines, trial, gone)


@lru_cache(maxsize=1)
def empty_termbase() -> bytes:
    with TemporaryDirectory() as folder:
        place = Path(folder) / "empty.db"
        Store.create(str(place), Termbase("empty"), by="Owain").close()
        return place.read_bytes()


def new_store(place: Path) -> Store:
    """Return an empty termbase; the tables are created only once, since that takes longer than everything
    else."""
    place.write_bytes(empty_termbase())
    return Store.open(str(place))


def filled(place: Path, found: tuple[Any, ...]) -> Store:
    """Return a termbase of exactly these records; the termbase itself is the first."""
    store = new_store(place)
    with store.act("Nia", "filled it") as act:
        act.relations_last = True
        act.put_known(act.termbase(), found[0])
        for record in found[1:]:
            if isinstance(record, Image):
                act.add_image(record)
            else:
                act.take(record)
    return store


def everything(reader: Reader) -> dict[type, tuple[Any, ...]]:
    return {Termbase: (replace(reader.termbase(), version=0),)} | {cls: reader.all(cls) for cls in KINDS}


def taken(path: Path, store: Store, choice: Choice | None = None) -> None:
    with store.act("Owain", "took it in") as act:
        import_file(act, read_tbx(path), choice)


def written(store: Store, path: Path) -> bytes:
    with store.read() as reader:
        write_tbx(Library(reader), path, dialect="wordhold")
    return path.read_bytes()


def check_round_trip(store: Store, folder: Path) -> Path:
    first = written(store, folder / "first.tbx")
    other = new_store(folder / "other.db")
    taken(folder / "first.tbx", other)
    with store.read() as ours, other.read() as theirs:
        assert everything(theirs) == everything(ours)
    assert written(other, folder / "second.tbx") == first
    with other.read() as reader:
        again = plan(reader, read_tbx(folder / "first.tbx"))
    assert {state for states in again.counts.values() for state in states} <= {State.SAME.value}
    other.close()
    return folder / "first.tbx"


@pytest.fixture(scope="module")
def demo_file(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Store, Path]]:
    folder = tmp_path_factory.mktemp("demo")
    store = fill(str(folder / "demo.db"), load())
    written(store, folder / "demo.tbx")
    yield store, folder / "demo.tbx"
    store.close()


@pytest.fixture(scope="module")
def published() -> ModuleType:
    tool = SHARED / "tools" / "tbx_check.py"
    if not tool.exists():
        pytest.skip("the published grammar is not on this machine")
    spec = importlib.util.spec_from_file_location("tbx_check", tool)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_demo_survives_a_round_trip(demo_file: tuple[Store, Path], tmp_path: Path) -> None:
    check_round_trip(demo_file[0], tmp_path)


def test_the_demo_can_be_imported_into_every_database(demo_file: tuple[Store, Path], store: Store) -> None:
    ours, path = demo_file
    taken(path, store)
    with ours.read() as expected, store.read() as found:
        assert everything(found) == everything(expected)


def test_another_termbases_file_gets_new_ids(demo_file: tuple[Store, Path], tmp_path: Path) -> None:
    _, path = demo_file
    twice = new_store(tmp_path / "twice.db")
    taken(path, twice)
    taken(path, twice, Choice(new_ids=True))
    with twice.read() as reader:
        entries, slips = reader.all(Entry), reader.all(Slip)
        assert len(entries) % 2 == 0
        first, second = entries[: len(entries) // 2], entries[len(entries) // 2 :]
        assert [[t.text for t in e.terms] for e in first] == [[t.text for t in e.terms] for e in second]
        apart = {e.id: n for n, e in enumerate(first)} | {e.id: n for n, e in enumerate(second)}
        for one, other in zip(first, second, strict=True):
            assert [apart[r.target_id] for r in one.relations] == [
                apart[r.target_id] for r in other.relations
            ]
        assert len({s.id for s in slips}) == len(slips)
        assert len({s.label for s in reader.all(Source)}) == len(reader.all(Source))
    twice.close()


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck), phases=(Phase.generate,))
@given(found=records())
def test_any_record_survives_a_round_trip(
    found: tuple[Any, ...], tmp_path_factory: pytest.TempPathFactory, rules: Callable[[Path], None]
) -> None:
    folder = tmp_path_factory.mktemp("any")
    store = filled(folder / "any.db", found)
    rules(check_round_trip(store, folder))
    store.close()


@pytest.fixture(scope="module")
def rules() -> Callable[[Path], None]:
    """Check a file against the rules that ship with the dialect, and the published core grammar."""
    shipped = isoschematron.Schematron(etree.parse(str(describing.FILES["rules"])))
    published = SHARED / "reference" / "tbx" / "core.rng"
    core = etree.RelaxNG(etree.parse(str(published))) if published.exists() else None

    def check(path: Path) -> None:
        document = etree.parse(str(path))
        assert shipped.validate(document)
        if core is not None:
            # The validator checks for duplicate ids itself; this tests the structure.
            assert core.validate(document), core.error_log

    return check


def test_a_record_with_every_field_leaves_none_out(tmp_path: Path) -> None:
    used = {f"{kind}.{f.name}" for kind, cls in RECORD_CLASSES.items() for f in fields(cls)}
    parts = {"entry.terms", "entry.definitions", "entry.relations", "entry.analogues", "entry.figures",
             "entry.rulings"}  # fmt: skip
    assert used - parts <= set(FIELDS)
    assert {p for p in used - parts if not FIELDS[p].tag} == {"termbase.id", "termbase.version"}


RECORD_CLASSES: dict[str, type[Any]] = {
    "termbase": Termbase, "person": Person, "source": Source, "code": RuleCode, "image": Image,
    "entry": Entry, "term": Term, "definition": Definition, "relation": Relation,
    "analogue": Analogue, "figure": Figure,
    "ruling": Ruling, "slip": Slip, "page": Page, "line": Line, "trial": Trial,
    "redirect": Redirect,
}  # fmt: skip


def test_the_loss_report_counts_what_is_in_the_file(demo_file: tuple[Store, Path], tmp_path: Path) -> None:
    store, _ = demo_file
    with store.read() as reader:
        report = write_tbx(Library(reader), tmp_path / "x.tbx", dialect="wordhold")
        carried = {f.path: f.carried for f in report.fields}
        slips = reader.all(Slip)
        terms = [t for e in reader.all(Entry) for t in e.terms]
        assert (report.entries, report.terms) == (reader.count(Entry), len(terms))
        assert carried["term.gender"] == sum(1 for t in terms if t.gender)
        assert carried["slip.id"] == len(slips)
        assert carried["slip.name"] == sum(1 for s in slips if s.name)
        assert carried["page.id"] == reader.count(Page)
    assert {f.path for f in report.losses} == {"termbase.id", "termbase.version", "history"}


def test_a_selection_of_entries_is_a_complete_file(demo_file: tuple[Store, Path], tmp_path: Path) -> None:
    store, _ = demo_file
    with store.read() as reader:
        chosen = [e.id for e in reader.all(Entry) if e.relations][:3]
        write_tbx(Library(reader), tmp_path / "three.tbx", dialect="wordhold", ids=chosen)
    other = Store.create(str(tmp_path / "other.db"), Termbase("empty"), by="Owain")
    taken(tmp_path / "three.tbx", other)
    with other.read() as reader:
        assert [e.id for e in reader.all(Entry)] == sorted(chosen)
    other.close()


def test_the_file_matches_the_published_core_grammar(
    demo_file: tuple[Store, Path], published: ModuleType
) -> None:
    assert list(published.faults(demo_file[1])) == []


def test_the_file_passes_our_own_check(demo_file: tuple[Store, Path]) -> None:
    check_file(demo_file[1], "wordhold")


@pytest.mark.parametrize("name", describing.FILES)
def test_the_generated_description_files_are_up_to_date(name: str) -> None:
    assert describing.FILES[name].read_text(encoding="utf-8") == describing.described()[name]


def test_the_module_description_matches_its_published_grammar() -> None:
    grammar = SHARED / "reference" / "tbx" / "tbxmd.rng"
    if not grammar.exists():
        pytest.skip("the published grammar is not on this machine")
    rules = etree.RelaxNG(etree.parse(str(grammar)))
    assert rules.validate(etree.parse(str(describing.FILES["description"]))), rules.error_log


def test_every_private_category_is_used() -> None:
    """Either a field uses it, or the code that writes or reads it contains its name."""
    rows = {field.tag.removeprefix("wh:") for field in FIELDS.values()}
    rows |= {field.in_full for field in FIELDS.values()}
    folder = Path(exports.tbx.__file__).parent
    source_code = "".join(
        p.read_text(encoding="utf-8") for p in folder.rglob("*.py") if p.name != "categories.py"
    )
    assert [n for n in OWN if n not in rows and not re.search(rf"wh:{n}\b|[\"']{n}[\"']", source_code)] == []


def test_closed_lists_are_complete() -> None:
    for name, kind in (("origin", Origin), ("wordClass", PartOfSpeech), ("gender", Gender),
                       ("grammaticalNumber", Number), ("register", Register)):  # fmt: skip
        assert set(OWN[name].values) == {member.value for member in kind}
