"""Two entries as one, each field as it declares: nothing that either says is lost, and they part again."""

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
    """A name with a text field more."""

    _: KW_ONLY
    story: Annotated[str, Line()] = ""


@dataclass(frozen=True)
class WideEntry(Entry):
    """An entry with text fields more."""

    _: KW_ONLY
    history: Annotated[str, Block("what is told of it")] = ""
    remark: Annotated[str, Block(merge="lines", back="lines")] = ""
    first_seen: Annotated[str, Block(merge="ask both")] = ""


def answered(this: Entry, other: Entry, answer: str) -> Merging:
    """The two as one, each question answered so, or else as `this` has it."""
    asked = merge_entries(this, other).questions
    choices = {q.key: answer if answer in q.answers else "this" for q in asked}
    while True:  # what is preferred may be asked only once another question is answered
        found = merge_entries(this, other, choices)
        if not found.unanswered:
            return found
        choices |= {q.key: answer if answer in q.answers else "this" for q in found.unanswered}


def lost(first: object, second: object, one: object, answer: str) -> Iterator[str]:
    """The fields of which a value is not in the one record, though nobody chose the other."""
    for field in fields_of(type(one)):
        mine, theirs, now = (getattr(record, field.name) for record in (first, second, one))
        match field.is_a.merge:
            case "unite":
                kept = {*mine, *theirs} == set(now)
            case "lines":
                kept = all(text in now for text in (mine, theirs))
            case "ask" | "ask both" if isinstance(field.is_a, Nested) and mine and theirs:
                kept = not list(lost(mine, theirs, now, answer))
            case "ask" | "ask both":
                chosen = theirs if answer == "other" else mine
                kept = now == (chosen or mine or theirs) or (answer == "both" and chosen in now)
                kept = kept or (isinstance(now, Stated) and mine.value == theirs.value == now.value)
            case _:
                continue
        if not kept:
            yield field.name


@given(this=THIS, other=OTHER, answer=ANSWER)
def test_what_either_entry_says_is_in_the_one(this: Entry, other: Entry, answer: str) -> None:
    one = answered(this, other, answer)

    assert not list(lost(this, other, one.entry, answer))
    assert {(t.text, t.language) for t in (*this.terms, *other.terms)} == {
        (t.text, t.language) for t in one.entry.terms
    }
    if answer != "other":
        assert set(this.definitions) <= set(one.entry.definitions)
    if answer != "this":
        assert set(other.definitions) <= set(one.entry.definitions)
    assert {r.code_id for r in one.entry.rulings} == {r.code_id for r in (*this.rulings, *other.rulings)}
    assert {n.says() for n in one.entry.foreign_notes} == {
        n.says() for n in (*this.foreign_notes, *other.foreign_notes)
    }
    inner = {this.id, other.id}
    assert set(one.entry.relations) == {
        r for r in (*this.relations, *other.relations) if r.target_id not in inner
    }


@given(pair=st.tuples(NAME, NAME), answer=ANSWER)
def test_what_either_name_says_is_in_the_one_name(pair: tuple[Term, Term], answer: str) -> None:
    mine, theirs = replace(pair[0], id="t1"), replace(pair[1], id="t2")
    one = answered(Entry("c0001", terms=(mine,)), Entry("c0002", terms=(theirs,)), answer)

    (now, *second) = one.entry.terms
    if second:
        assert answer == "both"
        assert [replace(t, status=None) for t in one.entry.terms] == [
            replace(t, status=None) for t in (mine, theirs)
        ]
        return
    assert now.id == "t1"
    assert not list(lost(mine, theirs, now, answer if one.questions else "this"))
    assert Origin.IN_USE not in (mine.origin, theirs.origin) or now.origin is Origin.IN_USE
    spelling = {t.printed: t.printed_language for t in (mine, theirs) if t.printed_language}
    assert spelling.get(now.printed, "") == "" or now.printed_language
    assert {n.says() for n in now.foreign_notes} == {
        n.says() for n in (*mine.foreign_notes, *theirs.foreign_notes)
    }


@given(this=THIS, other=OTHER, answer=ANSWER)
def test_parting_at_once_gives_the_entry_back(this: Entry, other: Entry, answer: str) -> None:
    made = answered(this, other, answer).entry

    assert unread(separate_entries(made, made, this)) == unread(this)


def unread(entry: Entry) -> Entry:
    """Without the readings: one that was signed stays open, it was read before the merging."""
    return replace(entry, language_reading=Signature(), practice_reading=Signature())


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(this=THIS, other=OTHER, answer=ANSWER)
def test_merging_and_parting_at_once_leaves_both_as_they_were(
    store: Store, this: Entry, other: Entry, answer: str
) -> None:
    with store.act("Nia", "kept") as act:
        kept = [acts.save(act, bare(entry)) for entry in (this, other)]
    first, second = kept[0].id, kept[1].id
    asked = answered(kept[0], kept[1], answer).questions
    with store.act("Nia", "merged") as act:
        merging.merge(act, first, second, {q.key: q.chosen for q in asked})
    with store.act("Nia", "parted") as act:
        merging.separate(act, second)

    with store.read() as reader:
        found = [reader.get(Entry, i) for i in (first, second)]
    assert [unread(replace(e, version=0)) for e in found] == [unread(replace(e, version=0)) for e in kept]


def bare(entry: Entry) -> Entry:
    """The entry as one that can be kept alone: a new one that points at nothing, with one preferred name."""
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


def test_a_new_text_field_is_merged_and_parted() -> None:
    this = wide("c1", "", remark="Seen.", history="Old.")
    other = wide("c2", "Of the quay.", remark="Heard.", first_seen="1898")

    one = merge_entries(this, other)

    assert not one.questions
    assert one.entry == replace(
        this,
        terms=(changed_by(this.terms[0], {"story": "Of the quay."}),),
        remark="Seen.\nHeard.",
        first_seen="1898",
    )
    assert separate_entries(one.entry, one.entry, this) == this
    since = replace(one.entry, first_seen="1897")
    assert separate_entries(since, one.entry, this) == replace(this, first_seen="1897")


@pytest.mark.parametrize(
    ("key", "answers", "told"),
    [
        ("name tc2", {"this": "Old.", "other": "New.", "both": "Old."}, "the name “hank”"),
        ("history", {"this": "Old.", "other": "New."}, "the what is told of it"),
        ("first seen", {"this": "Old.", "other": "New.", "both": "Old.\nNew."}, "the first seen"),
    ],
)
def test_a_new_text_field_is_asked_about(key: str, answers: dict[str, str], told: str) -> None:
    field = key.replace(" ", "_")
    this, other = (
        wide(i, text) if key.startswith("name") else wide(i, "", **{field: text})
        for i, text in (("c1", "Old."), ("c2", "New."))
    )

    (question,) = merge_entries(this, other).unanswered

    assert (question.key, question.answers, question.about) == (key, tuple(answers), told)
    for answer, said in answers.items():
        one = merge_entries(this, other, {key: answer}).entry
        (*_, found) = (getattr(one.terms[0], "story", ""), getattr(one, field, ""))
        assert (found or getattr(one.terms[0], "story", "")) == said
        assert len(one.terms) == (2 if key.startswith("name") and answer == "both" else 1)


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
