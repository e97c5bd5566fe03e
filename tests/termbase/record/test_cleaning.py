"""Cleaning records: texts are normalised, and all faults are reported at once with their place."""

import contextlib
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Annotated, Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from termbase.dates import edtf
from termbase.errors import BadInput
from termbase.fields.declarations import (
    LONGEST,
    Block,
    Date,
    DeclaredField,
    Items,
    Language,
    Line,
    Lines,
    Member,
    Members,
    Nested,
    Path,
    Text,
    fields_of,
    path_words,
    records_within,
)
from termbase.fields.notes import own_words
from termbase.languages import tags
from termbase.record.cleaning import cleaned
from termbase.record.entries import (
    Definition,
    Entry,
    Figure,
    InflectedForm,
    Origin,
    Relation,
    RelationKind,
    Ruling,
    Signature,
    Term,
)
from termbase.record.foreign_notes import ForeignNote
from termbase.record.limits import check_lengths
from termbase.record.people import Termbase
from termbase.record.sources import Source, SourceKind
from termbase.record.validation import clean_entry, clean_source, clean_termbase
from termbase.rules.clauses import LegRule, Limits, RuleCode
from termbase.store.rows import KINDS
from termbase.technique.profile import Hand, Profile, Stated
from tests.termbase.record.untidy import records

TERM = Term("t1", "hank", "en", Origin.COINED)
ENTRY = Entry("c0001", terms=(TERM,))
RECORD_CLASSES = {cls for kind in KINDS.values() for cls in records_within(kind.cls)}
CLASSES = sorted(RECORD_CLASSES, key=lambda cls: cls.__name__)
ANY = settings(suppress_health_check=list(HealthCheck), max_examples=25)


def fields_within(record: object) -> Iterator[tuple[DeclaredField, Any]]:
    """Yield every field of a record and its nested records, with its value."""
    for field in fields_of(type(record)):
        value = getattr(record, field.name)
        yield field, value
        if isinstance(field.is_a, Items | Nested) and value is not None:
            for part in value if isinstance(value, tuple) else (value,):
                yield from fields_within(part)


@pytest.mark.parametrize("cls", CLASSES, ids=lambda cls: cls.__name__)
@ANY
@given(data=st.data())
def test_a_clean_record_is_unchanged(cls: type[Any], data: st.DataObject) -> None:
    try:
        once = cleaned(data.draw(records(cls, right=True)))
    except BadInput:
        assume(False)
    assert cleaned(once) is once


@pytest.mark.parametrize("cls", CLASSES, ids=lambda cls: cls.__name__)
@ANY
@given(data=st.data())
def test_every_field_has_its_declared_type(cls: type[Any], data: st.DataObject) -> None:
    try:
        record = cleaned(data.draw(records(cls, right=True)))
    except BadInput:
        assume(False)
    for field, value in fields_within(record):
        kind = field.is_a
        assert value or not kind.needed
        if isinstance(kind, Text):
            assert len(value) <= LONGEST[kind.length]
            assert unicodedata.is_normalized("NFC", value)
            assert "\r" not in value
        if isinstance(kind, Block | Line):
            assert value == value.strip()
            assert not {"\u200b", "\u00ad", "\ufeff"} & set(value)
        if isinstance(kind, Line):
            assert value == " ".join(value.split())
            assert kind.parted or "\u034f" not in value
        if isinstance(kind, Language) and value:
            assert tags.canonical(value) == value
        if isinstance(kind, Date) and value and not kind.bookkeeping:
            edtf.parse(value)
        if isinstance(kind, Lines):
            assert all(value)
            assert len(set(value)) == len(value)
        if isinstance(kind, Member | Members) and field.words:
            assert set(value if isinstance(value, tuple) else (value,)) - {None} <= set(field.words)


@pytest.mark.parametrize("cls", CLASSES, ids=lambda cls: cls.__name__)
@ANY
@given(data=st.data())
def test_every_fault_is_reported_with_its_path(cls: type[Any], data: st.DataObject) -> None:
    record = data.draw(records(cls))
    faults: tuple[BadInput, ...] = ()
    try:
        cleaned(record)
    except BadInput as caught:
        faults = caught.every
    assert len({fault.path for fault in faults}) == len(faults)
    for fault in faults:
        assert fault.where == path_words(record, fault.path)
        place: Any = record
        for step in fault.path:
            place = place[step] if isinstance(step, int) else getattr(place, step)
        assert fault.what


@ANY
@given(data=st.data())
def test_a_cleaned_entry_is_unchanged_by_cleaning(data: st.DataObject) -> None:
    entry = data.draw(records(Entry, right=True))
    cleaned_entry = None
    with contextlib.suppress(BadInput):
        cleaned_entry = clean_entry(replace(entry, terms=tuple(replace(t, status=None) for t in entry.terms)))
    assume(cleaned_entry is not None)
    assert cleaned_entry is not None
    assert clean_entry(cleaned_entry) == cleaned_entry


def test_faults_in_a_record_are_reported_with_their_path() -> None:
    wrong = Term("", " ", "not a tag", Origin.COINED, printed="x", printed_language="no tag either")
    figure = Figure("i1", "x" * (LONGEST["note"] + 1))
    with pytest.raises(BadInput) as caught:
        clean_entry(
            Entry("", terms=(TERM, wrong), definitions=(Definition("?", "Held."),), figures=(figure,))
        )
    assert {error.path: error.where for error in caught.value.every} == {
        ("terms", 1, "text"): "name 2, text",
        ("terms", 1, "language"): "name 2, language",
        ("terms", 1, "printed_language"): "name 2, printed language",
        ("definitions", 0, "language"): "definition 1, language",
        ("figures", 0, "caption"): "figure 1, caption",
    }


def test_faults_in_a_clause_name_it_by_its_number() -> None:
    code = RuleCode("r1", "Fair", clauses=(LegRule(id="4a", stance="barred", limits=Limits(years="once")),))
    with pytest.raises(BadInput) as caught:
        cleaned(code)
    assert caught.value.path == ("clauses", 0, "limits", "years")
    assert caught.value.where == "clause 4a, limits, years"


def test_all_texts_are_cleaned() -> None:
    """Captions, creators, rulings, references of statements and rules used to be stored uncleaned."""
    figure = Figure("i1", " A hold\u200b ", maker=" Nia\n Wyn ", rights=" ours ")
    ruling = Ruling("r1", "fits", " N.\u200bW. ", " 2026 ", " As seen. \n")
    technique = Profile(right=Hand(work=Stated("pull", "slip", " q1 ")))
    entry = cleaned(replace(ENTRY, figures=(figure,), rulings=(ruling,), technique=technique))
    assert entry.figures == (Figure("i1", "A hold", maker="Nia Wyn", rights="ours"),)
    assert entry.rulings == (Ruling("r1", "fits", "N.W.", "2026", "As seen."),)
    assert entry.technique == Profile(right=Hand(work=Stated("pull", "slip", "q1")))
    clause = LegRule(id=" 1 ", stance="barred", words=" No  kicking.\r\n ", limits=Limits(place=" Glan\n"))
    code = cleaned(RuleCode("r1", "Fair", note=" x ", clauses=(clause,)))
    assert code.clauses == (
        LegRule(id="1", stance="barred", words="No  kicking.", limits=Limits(place="Glan")),
    )
    assert code.note == "x"


def test_own_words_of_a_reason_are_one_line_and_limited() -> None:
    reading = Signature(reopened=own_words(" by\n mis\u200btake "))
    assert cleaned(reading) == Signature(reopened=own_words("by mistake"))
    wrong = replace(ENTRY, language_reading=Signature(reopened=own_words("x" * (LONGEST["line"] + 1))))
    for check in (cleaned, check_lengths):
        with pytest.raises(BadInput, match="at most 2,000") as caught:
            check(wrong)
        assert caught.value.path == ("language_reading", "reopened")
    with pytest.raises(BadInput, match="NUL"):
        cleaned(Signature(reopened=own_words("a\0b")))


def test_the_letter_separator_is_kept_only_in_sort_forms() -> None:
    term = cleaned(replace(TERM, text="Ban\u034fgor", sort_text=" Ban\u034fgor\u200b "))
    assert (term.text, term.sort_text) == ("Bangor", "Ban\u034fgor")


@pytest.mark.parametrize(
    ("record", "path"),
    [
        (replace(ENTRY, topic="dance"), ("topic",)),
        (replace(ENTRY, terms=(replace(TERM, origin=None),)), ("terms", 0, "origin")),
        (replace(ENTRY, terms=(replace(TERM, gender=""),)), ("terms", 0, "gender")),
        (replace(ENTRY, technique=Profile(limb=Stated("wing"))), ("technique", "limb")),  # type: ignore[arg-type]
        (RuleCode("r1", "A", clauses=(LegRule(id="1", stance="so so"),)), ("clauses", 0, "stance")),
        (
            RuleCode("r1", "A", clauses=(LegRule(id="1", stance="barred", uses=("any", "bite")),)),
            ("clauses", 0, "uses"),
        ),
    ],
)
def test_a_value_that_is_not_in_its_closed_list_is_refused(record: object, path: Path) -> None:
    with pytest.raises(BadInput) as caught:
        cleaned(record)
    assert [one.path for one in caught.value.every] == [path]
    assert "not one of the options" in caught.value.what


def test_empty_parts_are_dropped_from_an_entry() -> None:
    empty = ForeignNote(category="note", text=" \u200b")
    term = replace(
        TERM,
        printed=" ",
        printed_language="no tag",
        forms=(InflectedForm("plural", " "),),
        foreign_notes=(empty,),
    )
    see = Relation(RelationKind.SEE_ALSO, "c0002")
    entry = replace(
        ENTRY,
        terms=(term,),
        definitions=(Definition("no tag", " \u200b"),),
        relations=(see, Relation(RelationKind.BROADER, "c0001"), see),
        foreign_notes=(empty,),
    )
    assert clean_entry(entry) == replace(ENTRY, relations=(see,))


def test_languages_and_styles_are_kept_once() -> None:
    assert clean_termbase(Termbase("Glan", vernaculars=("CY", "cy", "ga"))).vernaculars == ("cy", "ga")
    source = Source("s1", "Lantern", SourceKind.OTHER, "The Lantern", styles=("glan", " glan ", ""))
    assert clean_source(source).styles == ("glan",)
    with pytest.raises(BadInput) as caught:
        clean_termbase(Termbase("Glan", working_language="CY", vernaculars=("cy",)))
    assert caught.value.path == ("vernaculars",)


@dataclass(frozen=True)
class Peg:
    """A record class unknown to all modules."""

    name: Annotated[str, Line(needed=True, length="name")]
    hung: Annotated[str, Date()] = ""
    marks: Annotated[tuple[str, ...], Lines()] = ()


@dataclass(frozen=True)
class Rack:
    """A record class that nests such records."""

    pegs: Annotated[tuple[Peg, ...], Items("peg", needed=True)]


def test_a_field_is_cleaned_and_limited_by_its_declaration_alone() -> None:
    rack = Rack((Peg(" oak \u200b peg ", " 1898 ", (" a ", "a", " ")),))
    assert cleaned(rack) == Rack((Peg("oak peg", "1898", ("a",)),))
    with pytest.raises(BadInput) as caught:
        cleaned(Rack((Peg(" "), Peg("x" * 501, "long ago"))))
    assert [one.where for one in caught.value.every] == ["peg 1, name", "peg 2, name", "peg 2, hung"]
    with pytest.raises(BadInput, match="peg 1, name"):
        check_lengths(Rack((Peg("x" * 501),)))
    with pytest.raises(BadInput, match="This field is required"):
        cleaned(Rack(()))
