"""Merging what comes back from another system, field by field, and translating references."""

from collections.abc import Iterator
from dataclasses import KW_ONLY, dataclass, is_dataclass, replace
from typing import Annotated

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.fields.declarations import Line, Lines, Reference, fields_of, records_within, rule_of
from termbase.importing.merging import RULES, merged
from termbase.importing.records import pointed
from termbase.record.entries import Definition, Entry, Origin, Status, Term
from termbase.record.people import Person, Role
from termbase.record.sources import Certainty, Slip, SlipKind, Source, SourceKind
from termbase.record.trials import Trial
from termbase.store.rows import KINDS
from tests.termbase.record.strategies import entries, records

HERE, COMES = entries("c0001"), entries("c0001")


@dataclass(frozen=True)
class WideTerm(Term):
    """A name with extra text fields."""

    _: KW_ONLY
    story: Annotated[str, Line()] = ""
    shelf: Annotated[str, Line(back="stays")] = ""


@given(stored=HERE, incoming=COMES)
def test_an_import_only_replaces_what_differs(stored: Entry, incoming: Entry) -> None:
    result = merged(stored, incoming)

    for field in fields_of(Entry):
        here, comes, now = (getattr(entry, field.name) for entry in (stored, incoming, result))
        match field.is_a.back:
            case "stays":
                assert now == here
            case "replaces":
                assert now == (comes or here)
            case "unites":
                assert set(now) == {*here, *comes}
            case "lines":
                assert set(now.splitlines()) == {*here.splitlines(), *comes.splitlines()}
    assert [t.id for t in result.terms[: len(stored.terms)]] == [t.id for t in stored.terms]
    assert {t.id for t in result.terms} == {t.id for t in (*stored.terms, *incoming.terms)}
    assert {d.language for d in result.definitions} == {
        d.language for d in (*stored.definitions, *incoming.definitions)
    }
    assert {(d.language, d.text) for d in incoming.definitions if d.text} <= {
        (d.language, d.text) for d in result.definitions
    }
    assert {n.says() for n in result.foreign_notes} == {
        n.says() for n in (*stored.foreign_notes, *incoming.foreign_notes)
    }


@given(stored=HERE)
def test_an_unchanged_entry_changes_nothing(stored: Entry) -> None:
    once = merged(stored, stored)

    assert once == merged(once, stored)
    assert [replace(t, foreign_notes=()) for t in once.terms] == [
        replace(t, foreign_notes=()) for t in stored.terms
    ]


def test_a_new_text_field_of_a_name_comes_back() -> None:
    stored = WideTerm("t1", "hank", "en", Origin.IN_USE, story="Old.", shelf="Here.")
    incoming = WideTerm("t1", "hank", "en", Origin.NOT_STATED, story="New.", shelf="There.")

    assert merged(stored, incoming) == replace(stored, story="New.")
    assert merged(stored, replace(incoming, story="")) == stored


def test_a_changed_name_is_not_sorted_like_the_old_one() -> None:
    stored = Term("t1", "llong", "cy", Origin.IN_USE, sort_text="l͏long")

    assert merged(stored, replace(stored, sort_text="", status=Status.ADMITTED)).sort_text == "l͏long"
    assert merged(stored, replace(stored, sort_text="", text="lleng")).sort_text == ""


def test_a_source_keeps_what_the_other_system_cannot_express() -> None:
    stored = Source("s1", "Mail", SourceKind.NEWSPAPER, "The Mail", place="Quay", styles=("glan",))
    incoming = Source("s1", "Mail", SourceKind.OTHER, "The Upland Mail")

    assert merged(stored, incoming) == replace(stored, title="The Upland Mail")
    assert merged(stored, replace(incoming, kind=SourceKind.MANUSCRIPT)).kind is SourceKind.MANUSCRIPT
    assert merged(Person("p1", "Nia", roles=(Role.COACH,)), Person("p1", "Nia")).roles == (Role.COACH,)


def test_only_the_text_of_a_quotation_is_imported() -> None:
    stored = Slip("q1", "s1", "a hank", page="3", kind=SlipKind.USE, certainty=Certainty.SECURE, note="Ours.")
    incoming = Slip("q1", "s1", "a fair hank", kind=SlipKind.NOT_STATED, note="Of the file.", presence="gap")  # type: ignore[arg-type]

    assert merged(stored, incoming) == replace(stored, text="a fair hank")


def test_a_changed_definition_keeps_its_source() -> None:
    stored = Entry("c1", definitions=(Definition("en", "A hold.", source_id="s1"),))
    incoming = Entry("c1", definitions=(Definition("en", "A hold of the leg."),))

    assert merged(stored, incoming).definitions == (Definition("en", "A hold of the leg.", source_id="s1"),)


def test_every_special_field_has_a_rule_and_every_rule_a_field() -> None:
    every = {cls for kind in KINDS.values() for cls in records_within(kind.cls)}

    assert {(cls, f.name) for cls in every for f in fields_of(cls) if f.is_a.back == "special"} == set(RULES)
    with pytest.raises(TypeError, match=r"no rule for Term\.text"):
        rule_of(RULES, Term, "text")


def ids_in(record: object) -> Iterator[tuple[str, str]]:
    """Yield the kind and id of everything that a record refers to."""
    assert is_dataclass(record)
    for field in fields_of(type(record)):
        value = getattr(record, field.name)
        if isinstance(field.is_a, Reference | Lines) and field.is_a.to:
            yield from ((field.is_a.to, i) for i in (value if isinstance(value, tuple) else (value,)) if i)
        elif field.of and value and is_dataclass(field.of):
            for inner in value if isinstance(value, tuple) else (value,):
                yield from ids_in(inner)


@given(record=st.one_of(HERE, records(Slip), records(Trial)))
def test_every_reference_is_translated_to_ids_here(record: Entry | Slip | Trial) -> None:
    result = pointed(record, lambda kind, file_id: f"{kind} {file_id}")

    assert set(ids_in(result)) == {(kind, f"{kind} {file_id}") for kind, file_id in ids_in(record)}
    assert pointed(record, lambda _kind, file_id: file_id) is record
