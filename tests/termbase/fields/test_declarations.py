"""Each record field is declared once, next to the field."""

from dataclasses import dataclass
from typing import Annotated, Literal

import msgspec
import pytest

from termbase.fields.declarations import Field, Line, Member, field_of, fields_of, path_words, records_within
from termbase.record.entries import Definition, Entry, Gender, Term
from termbase.rules.clauses import AnyClause, LegRule
from termbase.store.rows import KINDS


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_of_every_record_is_declared(kind: str) -> None:
    for record in records_within(KINDS[kind].cls):
        assert all(isinstance(field.is_a, Field) for field in fields_of(record))


def test_an_undeclared_field_is_refused() -> None:
    @dataclass(frozen=True)
    class Bare:
        name: Annotated[str, Line()]
        place: str = ""

    with pytest.raises(TypeError, match=r"Bare\.place is not declared"):
        fields_of(Bare)


def test_a_class_that_is_not_a_record_is_refused() -> None:
    with pytest.raises(TypeError, match="int is not a record class"):
        fields_of(int)


def test_the_type_of_a_field_determines_its_words_and_records() -> None:
    gender, definitions = field_of(Term, "gender"), field_of(Entry, "definitions")
    assert (gender.members, gender.optional, gender.words[0]) == (Gender, True, "masculine")
    assert (definitions.of, definitions.optional) == (Definition, False)
    assert field_of(Entry, "technique").optional


def test_the_words_of_a_literal_are_a_closed_list() -> None:
    class Ruled(msgspec.Struct):
        stance: Annotated[Literal["allowed", "barred"] | None, Member()] = None

    (field,) = fields_of(Ruled)
    assert (field.words, field.optional, field.has_default) == (("allowed", "barred"), True, True)
    assert "kick" in field_of(LegRule, "uses").words


def test_clauses_of_every_family_are_found_within_a_code() -> None:
    assert set(AnyClause.__args__) <= set(records_within(KINDS["code"].cls))


@pytest.mark.parametrize(
    ("path", "words"),
    [
        (("terms", 1, "language"), "name 2, language"),
        (("definitions", 0), "definition 1"),
        (("usage_note",), "usage note"),
        (("terms", 0, "forms", 2, "text"), "name 1, form 3, text"),
        (("terms", 0, "unknown"), "name 1, unknown"),
    ],
)
def test_a_path_in_a_record_is_shown_in_words(path: tuple[str | int, ...], words: str) -> None:
    assert path_words(Entry, path) == words
