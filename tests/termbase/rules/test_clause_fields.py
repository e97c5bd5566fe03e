"""Every field of a clause has a question and a sentence, and is judged or listed as not judged."""

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

from termbase.fields.declarations import Count, DeclaredField, Flag, Lines, Members, fields_of
from termbase.rules.clauses import FAMILY_OF, Clause, Likeness
from termbase.rules.questions import QUESTIONS
from termbase.rules.sentences import sentence

JUDGING = Path(__file__).parents[3] / "termbase" / "judging"
COMMON = {field.name for field in fields_of(Clause)}
NOT_JUDGED = {
    "start hold, first": "Which hand takes hold first is over before a technique begins.",
    "fall, parts": "What counts as a fall breaks no technique.",
    "fall, number": "What counts as a fall breaks no technique.",
    "fall, together": "What counts as a fall breaks no technique.",
    "fall, other": "What counts as a fall breaks no technique.",
    "fall, part_falls": "What counts as a fall breaks no technique.",
}
FIELDS = [
    pytest.param(kind, field, id=f"{FAMILY_OF[kind]}, {field.name}")
    for kind in FAMILY_OF
    for field in fields_of(kind)
    if field.name not in COMMON
]
PARTS = [pytest.param(field, id=field.name) for field in fields_of(Likeness)]


def values(field: DeclaredField) -> list[Any]:
    """Return some values of a field that state something."""
    if field.within:
        return [Likeness(**{part.name: values(part)[0] for part in fields_of(Likeness)})]
    if isinstance(field.is_a, Flag):
        return [True, False] if field.optional else [True]
    if isinstance(field.is_a, Count):
        return [2]
    if isinstance(field.is_a, Members):
        return [(word,) for word in field.words] or [(True,)]
    if isinstance(field.is_a, Lines):
        return [("Hook away",)]
    return list(field.words) or ["as they agree"]


def filled(kind: type[Any]) -> Iterator[dict[str, Any]]:
    """Return clauses that state something in every field, each answer once, with the flags set and unset."""
    own = [field for field in fields_of(kind) if field.name not in COMMON]
    first = {field.name: values(field)[0] for field in own}
    plain = first | {field.name: False for field in own if isinstance(field.is_a, Flag)}
    for start in (first, plain):
        yield start
        for field in own:
            yield from (start | {field.name: value} for value in values(field))


@pytest.mark.parametrize(("kind", "field"), FIELDS)
def test_every_field_has_a_question(kind: type[Any], field: DeclaredField) -> None:
    asked = {question.path for question in QUESTIONS[FAMILY_OF[kind]]}
    wanted = {f"like.{part.name}" for part in fields_of(Likeness)} if field.within else {field.name}
    assert wanted <= asked


@pytest.mark.parametrize(("kind", "field"), FIELDS)
def test_every_field_is_in_the_sentence(kind: type[Any], field: DeclaredField) -> None:
    def text(answers: dict[str, Any]) -> str:
        return str(sentence(kind(id="1", **answers)))

    def without(answers: dict[str, Any]) -> Iterator[dict[str, Any]]:
        if field.has_default:
            yield {name: value for name, value in answers.items() if name != field.name}
        yield from (answers | {field.name: value} for value in values(field))

    assert any(text(answers) != text(other) for answers in filled(kind) for other in without(answers))


@pytest.mark.parametrize("field", PARTS)
def test_every_part_of_a_likeness_is_in_the_sentence(field: DeclaredField) -> None:
    def text(like: Likeness) -> str:
        return str(sentence(named(id="1", stance="barred", like=like)))

    (named,) = (kind for kind in FAMILY_OF if FAMILY_OF[kind] == "named")
    silent = text(Likeness())
    assert all(text(Likeness(**{field.name: value})) != silent for value in values(field))


@pytest.mark.parametrize(("kind", "field"), FIELDS)
def test_every_field_is_judged_or_listed_as_not_judged(
    kind: type[msgspec.Struct], field: DeclaredField
) -> None:
    read = {
        node.attr
        for path in JUDGING.glob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute)
    }
    listed = f"{FAMILY_OF[kind]}, {field.name}" in NOT_JUDGED
    assert (field.name in read) != listed, "judge it in termbase/judging, or state here why it is not"
