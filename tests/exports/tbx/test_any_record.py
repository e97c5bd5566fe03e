"""A file contains whatever is in the record, and passes our own check and the published rules where
available."""

import importlib.util
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import etree

from exports.tbx.writer import write_tbx
from exports.tbx.xmltext import REPLACEMENT
from termbase.codes.deeds import Reopened
from termbase.fields.declarations import fields_of
from termbase.fields.notes import own_words
from termbase.overviews.articles import Library
from termbase.record.entries import (
    Analogue,
    Definition,
    Entry,
    Figure,
    InflectedForm,
    Origin,
    Relation,
    Ruling,
    Signature,
    Term,
)
from termbase.record.foreign_notes import ForeignNote
from termbase.record.people import Person, Termbase
from termbase.record.sources import Slip, Source
from termbase.record.trials import Trial

TOOL = Path(__file__).parents[4] / "shared" / "tools" / "tbx_check.py"
ODD = st.sampled_from([
    "", " ", "<&>\"'", "]]>", "\r\n\t", "\x00\x0b\x1f", "\ufffe\uffff", "\ud800", "𐌰",
    "a\N{COMBINING GRAPHEME JOINER}b",
    "<!--", "&amp;", "\x85\u2028", "2026~", "https://vale.example/a?b&c", "n\N{COMBINING TILDE}",
])  # fmt: skip
TEXT = st.one_of(ODD, st.text(max_size=12), st.text(st.characters(), max_size=4))
TAGS = st.sampled_from(
    ["en", "cy", "ga", "ga-Latg", "x-glan", "i-klingon", "", "old tongue", " cy", "de-x", "en-GB"]
)
DATES = st.sampled_from(["", "1898", "1898-06-03", "189X~", "2024-02-29"])
STAMPS = st.one_of(DATES, st.sampled_from(["0000-01-01", "2023-02-30", "2024-02-29T10:00:00"]), ODD)
PERSON_NAMES = st.sampled_from(["", "Nia", "Ifan & Co", "p1", "nobody"])
NAMES = st.sampled_from(["", "s1", "s2", "s<3>", "nothing"])
LANGUAGES = {
    "language": TAGS,
    "printed_language": TAGS,
    "working_language": TAGS,
    "vernaculars": st.lists(TAGS, max_size=2).map(tuple),
}


def strategy(cls: type[Any], **known: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """Draw records of a class with any text in every field without a strategy of its own."""
    free = {f.name: TEXT for f in fields_of(cls) if f.hint is str and f.name not in known}
    for field in fields_of(cls):
        name = field.name
        if name not in known and name not in free and field.hint not in (int, bool):
            known.setdefault(name, st.from_type(field.hint))
    return st.builds(cls, **free, **known)


def languages(*names: str) -> dict[str, st.SearchStrategy[Any]]:
    return {name: LANGUAGES[name] for name in names}


TERMS = st.lists(
    strategy(
        Term, **languages("language", "printed_language"), id=st.just(""),
        forms=st.lists(strategy(InflectedForm), max_size=2).map(tuple),
    ),
    max_size=3,
)  # fmt: skip
READINGS = strategy(Signature, reopened=st.builds(own_words, TEXT) | st.just(Reopened.PARTED(entry="c1")))
ENTRIES = strategy(
    Entry,
    id=st.just(""),
    terms=TERMS.map(tuple),
    definitions=st.lists(strategy(Definition, language=TAGS, source_id=NAMES), max_size=2).map(tuple),
    technique=st.none(),
    relations=st.lists(
        strategy(Relation, target_id=st.sampled_from(["c1", "c2", "c3", "c9"])), max_size=2
    ).map(tuple),
    analogues=st.lists(strategy(Analogue, source_id=NAMES), max_size=1).map(tuple),
    figures=st.lists(strategy(Figure, source_id=NAMES), max_size=1).map(tuple),
    rulings=st.lists(strategy(Ruling), max_size=1).map(tuple),
    language_reading=READINGS,
    practice_reading=READINGS,
    created_by=PERSON_NAMES,
    created_on=STAMPS,
    changed_by=PERSON_NAMES,
    changed_on=STAMPS,
)
SLIPS = strategy(
    Slip,
    id=st.just(""),
    source_id=NAMES,
    term_id=st.sampled_from(["t1.1", "t2.1", ""]),
    date=DATES,
    joined_to=TEXT,
)
BASES = strategy(Termbase, **languages("working_language", "vernaculars"), id=st.just("termbase"))
PEOPLE = [Person("p1", "Nia"), Person("p2", "Ifan & Co"), Person("p3", "Nia")]


@st.composite
def records(draw: st.DrawFn) -> tuple[object, ...]:
    entries = []
    for number, entry in enumerate(draw(st.lists(ENTRIES, max_size=3)), start=1):
        terms = [draw(st.just(_with(t, id=f"t{number}.{k}"))) for k, t in enumerate(entry.terms, start=1)]
        entries.append(_with(entry, id=f"c{number}", terms=tuple(terms)))
    slips = [_with(s, id=f"q{n}") for n, s in enumerate(draw(st.lists(SLIPS, max_size=3)))]
    sources = [
        draw(strategy(Source, id=st.just(i), issued=DATES, styles=st.just(("a",))))
        for i in ("s1", "s2", "s<3>")
    ]
    trials = draw(st.lists(strategy(Trial, entry_id=st.just("c1"), date=DATES), max_size=1))
    return (draw(BASES), *PEOPLE, *sources, *entries, *slips, *trials)


def _with(record: Any, **changes: object) -> Any:
    return type(record)(**{name: getattr(record, name) for name in record.__dataclass_fields__} | changes)


@pytest.fixture(scope="module")
def published_faults() -> Callable[[Path], Any]:
    if not TOOL.exists():
        return lambda path: ()
    spec = importlib.util.spec_from_file_location("tbx_check", TOOL)
    assert spec
    assert spec.loader
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    return tool.faults  # type: ignore[no-any-return]


def test_a_note_language_with_spaces_around_it_gives_a_valid_file(
    library_of: Callable[..., Library], tmp_path: Path
) -> None:
    note = ForeignNote(category="note", text="Of the quay.", text_language="gd ")
    entry = Entry("c1", None, terms=(Term("t1.1", "trip", "en", Origin.IN_USE),), foreign_notes=(note,))
    write_tbx(library_of(Termbase("Quay"), entry), tmp_path / "one.tbx")
    assert '<note xml:lang="gd">Of the quay.' in (tmp_path / "one.tbx").read_text(encoding="utf-8")


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(found=records(), dialect=st.sampled_from(["basic-dca", "basic-dct"]))
def test_any_record_gives_a_valid_file_with_every_term(
    found: tuple[object, ...],
    dialect: Any,
    library_of: Callable[..., Library],
    published_faults: Callable[[Path], Any],
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    path = tmp_path_factory.mktemp("any") / "any.tbx"
    report = write_tbx(library_of(*found), path, dialect=dialect)
    assert list(published_faults(path)) == []
    tree = etree.parse(str(path))
    written = [e.text for e in tree.iter("{*}term") if e.getparent().get("id")]
    entries = [r for r in found if isinstance(r, Entry)]
    terms = [t.text for e in entries for t in e.terms if t.text and not t.text.isspace()]
    assert sorted(filter(None, written)) == sorted(map(_as_xml, terms))
    assert report.terms == len(terms)
    assert report.entries == len(list(tree.iter("{*}conceptEntry")))
    counted = {f.path: f.carried + f.noted + f.left_out for f in report.fields}
    assert counted.get("term.text", 0) == sum(len(e.terms) for e in entries)
    slips = [r for r in found if isinstance(r, Slip)]
    assert counted.get("slip.text", 0) + counted.get("slip.unsorted", 0) == len(slips)


def _as_xml(text: str) -> str:
    allowed = (
        c in "\t\n\r" or " " <= c <= "\ud7ff" or "\ue000" <= c <= "\ufffd" or c >= "\U00010000" for c in text
    )
    return "".join(c if good else REPLACEMENT for c, good in zip(text, allowed, strict=True))
