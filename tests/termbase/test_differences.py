"""What changed between two states of a record, in words."""

from dataclasses import replace

import pytest

from termbase.differences import Difference, differences
from termbase.entries import Definition, Entry, Gender, Origin, Relation, RelationKind, Signature, Term, Topic
from termbase.store.reading import as_json
from termbase.technique import Hand, Profile, Said

HANK = Term("t1", "hank", "en", Origin.IN_USE)
CLICIED = Term("t2", "clicied", "cy", Origin.REBUILT)
BEFORE = Entry("c0001", Topic.TRIP, (HANK, CLICIED), definitions=(Definition("en", "A trip."),), version=1)
PROFILE = Profile(right=Hand(places=Said(("belt",), "slip", "q1")))

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
def test_a_change_is_told_field_by_field(case: str) -> None:
    after, told = CASES[case]

    found = differences(as_json(BEFORE), as_json(after))

    if told is None:
        assert [d.field for d in found] == ["technique"]
        assert "belt (slip q1)" in found[0].after
    else:
        assert [(d.field, d.before, d.after) for d in found] == told


def test_a_statement_that_changes_is_told_with_what_it_rests_on() -> None:
    before = replace(BEFORE, technique=PROFILE)
    after = replace(BEFORE, technique=replace(PROFILE, right=Hand(places=Said(("arm",), "reading"))))

    assert differences(as_json(before), as_json(after)) == (
        Difference("technique, right, places", "belt (slip q1)", "arm (reading)"),
    )


@pytest.mark.parametrize("made", [True, False], ids=["made", "taken away"])
def test_a_record_made_or_taken_away_is_told_whole(made: bool) -> None:
    state = as_json(BEFORE)

    found = differences(None, state) if made else differences(state, None)

    assert [d.field for d in found] == ["topic", "name “hank”", "name “clicied”", "definition “A trip.”"]
    assert all(bool(d.before) is not made and bool(d.after) is made for d in found)
