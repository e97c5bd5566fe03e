"""Merging two entries, each field as declared: nothing of either is lost, and they can be separated again."""

from collections.abc import Iterator
from dataclasses import KW_ONLY, dataclass, replace
from typing import Annotated

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from termbase.acts import entries as acts
from termbase.acts import merging
from termbase.fields.declarations import Block, Line, Nested, changed_by, fields_of, records_within, rule_of
from termbase.record.entries import Entry, Origin, Signature, Status, Term
from termbase.record.merging import RULES, Merging, merge_entries, separate_entries
from termbase.store.engine import Store
from termbase.store.rows import KINDS
from termbase.technique.profile import Profile, Stated
from tests.termbase.record.strategies import entries, records

THIS, OTHER = entries("c0001"), entries("c0002")
NAME = records(Term, text=st.just("hank"), language=st.just("en"))
ANSWER = st.sampled_from(("this", "other", "both"))


@dataclass(frozen=True)
class WideTerm(Term):
    """A name with one more text field."""

    _: KW_ONLY
    story: Annotated[str, Line()] = ""


@dataclass(frozen=True)
class WideEntry(Entry):
    """An entry with more text fields."""

    _: KW_ONLY
    history: Annotated[str, Block("what is told of it")] = ""
    remark: Annotated[str, Block(merge="lines", back="lines")] = ""
    first_seen: Annotated[str, Block(merge="ask both")] = ""


def answered(this: Entry, other: Entry, answer: str) -> Merging:
    """Merge two entries with this answer to every question, or `this` if the answer is not possible."""
    questions = merge_entries(this, other).questions
    choices = {q.key: answer if answer in q.answers else "this" for q in questions}
    while True:  # one question may only come up after another has been answered
        result = merge_entries(this, other, choices)
        if not result.unanswered:
            return result
        choices |= {q.key: answer if answer in q.answers else "this" for q in result.unanswered}


def lost(first: object, second: object, merged: object, answer: str) -> Iterator[str]:
    """Yield the fields with a value that the merged record lost although nobody chose the other one."""
    for field in fields_of(type(merged)):
        value, other_value, merged_value = (getattr(record, field.name) for record in (first, second, merged))
        match field.is_a.merge:
            case "unite":
                kept = {*value, *other_value} == set(merged_value)
            case "lines":
                kept = all(text in merged_value for text in (value, other_value))
            case "ask" | "ask both" if isinstance(field.is_a, Nested) and value and other_value:
                kept = not list(lost(value, other_value, merged_value, answer))
            case "ask" | "ask both":
                chosen = other_value if answer == "other" else value
                kept = merged_value == (chosen or value or other_value) or (
                    answer == "both" and chosen in merged_value
                )
                kept = kept or (
                    isinstance(merged_value, Stated)
                    and value.value == other_value.value == merged_value.value
                )
            case _:
                continue
        if not kept:
            yield field.name


@given(this=THIS, other=OTHER, answer=ANSWER)
def test_the_merged_entry_has_the_content_of_both(this: Entry, other: Entry, answer: str) -> None:
    result = answered(this, other, answer)

    assert not list(lost(this, other, result.entry, answer))
    assert {(t.text, t.language) for t in (*this.terms, *other.terms)} == {
        (t.text, t.language) for t in result.entry.terms
    }
    if answer != "other":
        assert set(this.definitions) <= set(result.entry.definitions)
    if answer != "this":
        assert set(other.definitions) <= set(result.entry.definitions)
    assert {r.code_id for r in result.entry.rulings} == {r.code_id for r in (*this.rulings, *other.rulings)}
    assert {n.says() for n in result.entry.foreign_notes} == {
        n.says() for n in (*this.foreign_notes, *other.foreign_notes)
    }
    inner = {this.id, other.id}
    assert set(result.entry.relations) == {
        r for r in (*this.relations, *other.relations) if r.target_id not in inner
    }


@given(pair=st.tuples(NAME, NAME), answer=ANSWER)
def test_the_merged_name_has_the_content_of_both(pair: tuple[Term, Term], answer: str) -> None:
    mine, theirs = replace(pair[0], id="t1"), replace(pair[1], id="t2")
    result = answered(Entry("c0001", terms=(mine,)), Entry("c0002", terms=(theirs,)), answer)

    (merged, *second) = result.entry.terms
    if second:
        assert answer == "both"
        assert [replace(t, status=None) for t in result.entry.terms] == [
            replace(t, status=None) for t in (mine, theirs)
        ]
        return
    assert merged.id == "t1"
    assert not list(lost(mine, theirs, merged, answer if result.questions else "this"))
    assert Origin.IN_USE not in (mine.origin, theirs.origin) or merged.origin is Origin.IN_USE
    spelling = {t.printed: t.printed_language for t in (mine, theirs) if t.printed_language}
    assert spelling.get(merged.printed, "") == "" or merged.printed_language
    assert {n.says() for n in merged.foreign_notes} == {
        n.says() for n in (*mine.foreign_notes, *theirs.foreign_notes)
    }


@given(this=THIS, other=OTHER, answer=ANSWER)
def test_separating_at_once_restores_the_entry(this: Entry, other: Entry, answer: str) -> None:
    made = answered(this, other, answer).entry

    assert unread(separate_entries(made, made, this)) == unread(this)


def unread(entry: Entry) -> Entry:
    """Return the entry without readings: a reading signed before the merge stays open."""
    return replace(entry, language_reading=Signature(), practice_reading=Signature())


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(this=THIS, other=OTHER, answer=ANSWER)
def test_merging_and_separating_at_once_restores_both_entries(
    store: Store, this: Entry, other: Entry, answer: str
) -> None:
    with store.act("Nia", "kept") as act:
        kept = [acts.save(act, bare(entry)) for entry in (this, other)]
    first, second = kept[0].id, kept[1].id
    questions = answered(kept[0], kept[1], answer).questions
    with store.act("Nia", "merged") as act:
        merging.merge(act, first, second, {q.key: q.chosen for q in questions})
    with store.act("Nia", "separated") as act:
        merging.separate(act, second)

    with store.read() as reader:
        separated = [reader.get(Entry, i) for i in (first, second)]
    assert [unread(replace(e, version=0)) for e in separated] == [unread(replace(e, version=0)) for e in kept]


def bare(entry: Entry) -> Entry:
    """Return a new entry that can be stored alone: without references, with one preferred name."""
    first = next((t.id for t in entry.terms if t.status is Status.PREFERRED), "")
    terms = (
        t if t.id == first or t.status is not Status.PREFERRED else replace(t, status=None)
        for t in entry.terms
    )
    return replace(
        entry,
        id="",
        terms=tuple(replace(t, id="") for t in terms),
        definitions=tuple(replace(d, source_id="") for d in entry.definitions),
        analogues=tuple(replace(a, source_id="") for a in entry.analogues),
        relations=(),
        figures=(),
        rulings=(),
    )


def test_every_special_field_has_a_rule_and_every_rule_a_field() -> None:
    merged = {Entry, Term, *records_within(Profile)}
    special = {(cls, f.name) for cls in merged for f in fields_of(cls) if f.is_a.merge == "special"}

    assert special == set(RULES)
    others = {cls for kind in KINDS.values() for cls in records_within(kind.cls)} - merged
    assert not [(c, f.name) for c in others for f in fields_of(c) if f.is_a.merge == "special"]


def test_a_special_field_without_a_rule_is_refused() -> None:
    with pytest.raises(TypeError, match=r"no rule for Term\.text"):
        rule_of(RULES, Term, "text")


def wide(entry_id: str, story: str, **more: str) -> WideEntry:
    term = WideTerm(f"t{entry_id}", "hank", "en", Origin.IN_USE, story=story)
    return changed_by(WideEntry(entry_id, terms=(term,)), more)


def test_a_new_text_field_is_merged_and_separated() -> None:
    this = wide("c1", "", remark="Seen.", history="Old.")
    other = wide("c2", "Of the quay.", remark="Heard.", first_seen="1898")

    result = merge_entries(this, other)

    assert not result.questions
    assert result.entry == replace(
        this,
        terms=(changed_by(this.terms[0], {"story": "Of the quay."}),),
        remark="Seen.\nHeard.",
        first_seen="1898",
    )
    assert separate_entries(result.entry, result.entry, this) == this
    since = replace(result.entry, first_seen="1897")
    assert separate_entries(since, result.entry, this) == replace(this, first_seen="1897")


@pytest.mark.parametrize(
    ("key", "answers", "subject"),
    [
        ("name tc2", {"this": "Old.", "other": "New.", "both": "Old."}, "the name “hank”"),
        ("history", {"this": "Old.", "other": "New."}, "the what is told of it"),
        ("first seen", {"this": "Old.", "other": "New.", "both": "Old.\nNew."}, "the first seen"),
    ],
)
def test_a_new_text_field_is_asked_about(key: str, answers: dict[str, str], subject: str) -> None:
    field = key.replace(" ", "_")
    this, other = (
        wide(i, text) if key.startswith("name") else wide(i, "", **{field: text})
        for i, text in (("c1", "Old."), ("c2", "New."))
    )

    (question,) = merge_entries(this, other).unanswered

    assert (question.key, question.answers, question.about) == (key, tuple(answers), subject)
    for answer, expected in answers.items():
        merged = merge_entries(this, other, {key: answer}).entry
        (*_, value) = (getattr(merged.terms[0], "story", ""), getattr(merged, field, ""))
        assert (value or getattr(merged.terms[0], "story", "")) == expected
        assert len(merged.terms) == (2 if key.startswith("name") and answer == "both" else 1)


def test_one_printed_spelling_in_two_languages_is_asked_about() -> None:
    this, other = (
        Entry(
            f"c{n}",
            terms=(Term(f"t{n}", "tuisle", "ga", Origin.IN_USE, printed="ꞇuisle", printed_language=tag),),
        )
        for n, tag in ((1, "ga"), (2, "ga-Latg"))
    )

    (question,) = merge_entries(this, other).unanswered

    assert question.key == "name t2"
    assert merge_entries(this, other, {"name t2": "other"}).entry.terms[0].printed_language == "ga-Latg"


def test_the_language_of_one_printed_spelling_is_filled_in() -> None:
    term = Term("t1", "tuisle", "ga", Origin.IN_USE, printed="ꞇuisle")
    this, other = (
        Entry("c1", terms=(term,)),
        Entry("c2", terms=(replace(term, id="t2", printed_language="ga-Latg"),)),
    )

    assert merge_entries(this, other).entry.terms == (replace(term, printed_language="ga-Latg"),)
