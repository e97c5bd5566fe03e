"""What changed between two states of a record, in words."""

import json
from dataclasses import replace

import pytest
from msgspec import Struct, structs

from termbase.fields.declarations import (
    Count,
    DeclaredField,
    Flag,
    Id,
    Items,
    Lines,
    Member,
    Members,
    Part,
    Reason,
    Statement,
    fields_of,
    records_within,
)
from termbase.fields.notes import own_words
from termbase.messages import Message
from termbase.record.differences import Difference, differences
from termbase.record.entries import (
    Definition,
    Entry,
    Gender,
    Origin,
    Relation,
    RelationKind,
    Signature,
    Term,
    Topic,
)
from termbase.record.pages import Line
from termbase.rules.clauses import LegRule, RuleCode
from termbase.store.reading import as_json
from termbase.store.rows import KINDS
from termbase.technique.profile import Hand, Profile, Stated

HANK = Term("t1", "hank", "en", Origin.IN_USE)
CLICIED = Term("t2", "clicied", "cy", Origin.REBUILT)
BEFORE = Entry("c0001", Topic.TRIP, (HANK, CLICIED), definitions=(Definition("en", "A trip."),), version=1)
PROFILE = Profile(right=Hand(places=Stated(("belt",), "slip", "q1")))

CASES = {
    "a plain field": (replace(BEFORE, topic=Topic.HOLD), [("topic", "trip", "hold")]),
    "a field of a name": (
        replace(BEFORE, terms=(HANK, replace(CLICIED, gender=Gender.FEMININE))),
        [("name “clicied”, gender", "", "feminine")],
    ),
    "a name more": (
        replace(BEFORE, terms=(HANK, CLICIED, Term("t3", "bach", "cy", Origin.IN_USE))),
        [("name “bach”", "", "text: bach; language: cy; origin: in use")],
    ),
    "a name less": (
        replace(BEFORE, terms=(HANK,)),
        [("name “clicied”", "text: clicied; language: cy; origin: rebuilt", "")],
    ),
    "names in another order": (
        replace(BEFORE, terms=(CLICIED, HANK)),
        [("name, order", "“hank”, “clicied”", "“clicied”, “hank”")],
    ),
    "a definition": (
        replace(BEFORE, definitions=(Definition("en", "A trip of the leg."),)),
        [("definition “A trip.”, text", "A trip.", "A trip of the leg.")],
    ),
    "a statement of the technique": (
        replace(BEFORE, technique=PROFILE),
        None,
    ),
    "a relation": (
        replace(BEFORE, relations=(Relation(RelationKind.SEE_ALSO, "c0002"),)),
        [("relation “see also”", "", "kind: see also; to: c0002")],
    ),
    "a reading": (
        replace(BEFORE, language_reading=Signature("Nia", "2026-03-01")),
        [("language reading, by", "", "Nia"), ("language reading, on", "", "2026-03-01")],
    ),
    "bookkeeping only": (replace(BEFORE, version=2, changed_by="Ifan"), []),
}


@pytest.mark.parametrize("case", CASES)
def test_a_change_is_shown_field_by_field(case: str) -> None:
    after, expected = CASES[case]

    shown = differences(as_json(BEFORE), as_json(after), Entry)

    if expected is None:
        assert [d.field for d in shown] == ["technique"]
        assert "belt (slip q1)" in shown[0].after
    else:
        assert [(d.field, d.before, d.after) for d in shown] == expected


def sample(field: DeclaredField, name: str) -> object:
    """Return a field value as the history stores it; `name` makes it distinct."""
    words = [word for word in field.words if word]
    one: object = words[0 if name == "a" else -1] if words else name == "a"
    match field.is_a:
        case Statement():
            value = one
            several = "tuple" in str(field.hint)
            return {"value": [value] if several else value, "basis": "slip", "ref": name}
        case Member():
            return one
        case Members():
            return [one]
        case Flag():
            return name == "a"
        case Count():
            return len(name) + (name == "a")
        case Lines():
            return [name]
        case Reason():
            return {"text": name}
        case Part():
            return ["headword" if name == "a" else "note"]
    return name


def tag(cls: type) -> dict[str, object]:
    """Return what distinguishes a record of one class in a mixed list."""
    if not issubclass(cls, Struct) or not cls.__struct_config__.tag_field:
        return {}
    return {cls.__struct_config__.tag_field: cls.__struct_config__.tag}


CLASSES = {cls for kind in KINDS.values() for cls in records_within(kind.cls)}
FIELDS = [
    pytest.param(cls, field, id=f"{cls.__module__}.{cls.__name__}.{field.name}")
    for cls in sorted(CLASSES, key=lambda cls: (cls.__module__, cls.__name__))
    for field in fields_of(cls)
]


@pytest.mark.parametrize(("cls", "field"), FIELDS)
def test_every_declared_field_except_bookkeeping_is_shown_when_it_changes(
    cls: type, field: DeclaredField
) -> None:
    states: list[dict[str, object]] = [{field.name: sample(field, name)} for name in "ab"]
    if field.within:
        cls_within = field.within[0]
        inner = next(
            f for f in fields_of(cls_within) if not (f.within or f.is_a.bookkeeping or isinstance(f.is_a, Id))
        )
        for state, name in zip(states, "ab", strict=True):
            within = {inner.name: sample(inner, name), **tag(cls_within)}
            state[field.name] = [within] if isinstance(field.is_a, Items) else within
    before, after = map(json.dumps, states)

    shown = differences(before, after, cls)

    if field.is_a.bookkeeping or isinstance(field.is_a, Id):
        assert shown == ()
        return
    (difference,) = shown
    assert difference.field.startswith(field.word)
    assert difference.before
    assert difference.before != difference.after


def test_unknown_keys_are_shown_by_their_own_name() -> None:
    shown = differences('{"shade": "dark", "parts": [{"own_hue": "red"}]}', '{"parts": []}', Entry)

    assert shown == (Difference("shade", "dark", ""), Difference("parts", "own hue: red", ""))
    assert differences('{"a": 1}', '{"a": 2}', None) == (Difference("a", "1", "2"),)


def test_a_word_of_a_closed_list_is_translated_and_an_equal_text_is_not() -> None:
    (topic, note) = differences("{}", '{"topic": "trip", "editor_note": "trip"}', Entry)

    assert isinstance(topic.after, Message)
    assert not isinstance(note.after, Message)


def test_an_empty_reason_is_not_shown() -> None:
    made = Line("l1", "w1", 1, "hank, a trip.")

    assert "reason" not in {d.field for d in differences(None, as_json(made), Line)}
    with_reason = replace(made, reason=own_words("illegible"))
    assert differences(as_json(made), as_json(with_reason), Line) == (Difference("reason", "", "illegible"),)


def test_an_unreadable_reason_is_shown_raw() -> None:
    shown = differences("{}", '{"reason": {"code": "line.aside.repeated", "text": "seen"}}', Line)

    assert shown == (Difference("reason", "", "code: line.aside.repeated; text: seen"),)


def test_a_clause_is_named_by_its_id_and_described_by_its_fields() -> None:
    before = RuleCode("r1", "Fair rules", clauses=(LegRule(id="no kick", stance="barred", uses=("kick",)),))
    after = replace(before, clauses=(structs.replace(before.clauses[0], stance="allowed"),))

    assert differences(as_json(before), as_json(after), RuleCode) == (
        Difference("clause “no kick”, stance", "barred", "allowed"),
    )
    (gone,) = differences(as_json(before), as_json(replace(before, clauses=())), RuleCode)
    assert gone.before == "kind: legs; stance: barred; uses: kick"


def test_a_changed_statement_is_shown_with_its_basis() -> None:
    before = replace(BEFORE, technique=PROFILE)
    after = replace(BEFORE, technique=replace(PROFILE, right=Hand(places=Stated(("arm",), "reading"))))

    assert differences(as_json(before), as_json(after), Entry) == (
        Difference("technique, right, places", "belt (slip q1)", "arm (reading)"),
    )


@pytest.mark.parametrize("made", [True, False], ids=["created", "deleted"])
def test_a_created_or_deleted_record_is_shown_with_all_its_fields(made: bool) -> None:
    state = as_json(BEFORE)

    shown = differences(None, state, Entry) if made else differences(state, None, Entry)

    assert [d.field for d in shown] == ["topic", "name “hank”", "name “clicied”", "definition “A trip.”"]
    assert all(bool(d.before) is not made and bool(d.after) is made for d in shown)
