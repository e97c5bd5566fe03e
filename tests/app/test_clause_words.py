"""A clause says the same in every language, and never more than the clause or its source."""

from dataclasses import dataclass
from importlib.resources import files
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.catalogues import LANGUAGES, voice_of
from termbase.judging.deciding import judge
from termbase.rules.clauses import GroundRule, KeepRule, LegRule, RuleCode, StartHold
from termbase.rules.files import read_codes
from termbase.technique.profile import Hand, Profile, Stated
from tests.termbase.judging.strategies import clauses

OTHERS = tuple(tag for tag in LANGUAGES if tag != "en")


@dataclass(frozen=True)
class Pair:
    """Return a clause, and a copy with one field from another clause of its kind."""

    one: Any
    other: Any


@st.composite
def one_field_apart(draw: Any) -> Pair:
    one, lender = draw(clauses(st.just("1"))), draw(clauses(st.just("1")))
    if type(one) is not type(lender):
        return Pair(one, one)
    name = draw(st.sampled_from([f for f in one.__struct_fields__ if f not in {"id", "sources", "words"}]))
    return Pair(one, msgspec.structs.replace(one, **{name: getattr(lender, name)}))


@given(one_field_apart())
def test_clauses_that_differ_in_one_language_differ_in_all(pair: Pair) -> None:
    alike = {tag: voice_of(tag).clause(pair.one) == voice_of(tag).clause(pair.other) for tag in LANGUAGES}
    assert len(set(alike.values())) == 1, (pair, alike)


@pytest.fixture(scope="module")
def codes() -> dict[str, RuleCode]:
    text = (files("termbase.demo") / "rulecodes.toml").read_text("utf-8")
    return {code.id: code for code in read_codes(text, "rulecodes.toml")}


@pytest.mark.parametrize("touch", ["loses", "stops play", "costs a point", "nothing"])
def test_a_rule_about_the_thrower_does_not_apply_to_everyone(touch: Any) -> None:
    clause = GroundRule(id="1", touch=touch)
    assert "if the thrower is the first to touch" in voice_of("en").clause(clause).lower()
    assert "y taflwr" in voice_of("cy").clause(clause)
    assert "an caiteoir" in voice_of("ga").clause(clause)


def test_a_clause_is_printed_in_the_words_of_its_source_and_its_sentence_is_not_wider(
    codes: dict[str, RuleCode],
) -> None:
    by_id = {clause.id: clause for code in codes.values() for clause in code.clauses}
    assert all(clause.words for clause in by_id.values())
    say = voice_of("en").clause
    # he that throws, not anybody
    assert say(by_id["F9"]).startswith("If the thrower is the first")
    # the other way about only if his man consents
    assert "if the other man agrees" in say(by_id["Q1"])
    # along the belt to either side and to the back, not to the front; the strap hold not at all
    assert "The right hand must keep the start hold" in say(by_id["Q3"])
    assert "in front" not in say(by_id["Q3"])
    # below the knee
    assert "no higher than the shin" in say(by_id["Q5"])


def test_a_hand_that_must_stay_may_not_shift_within_the_zone_of_the_other() -> None:
    keep = KeepRule(id="2", keep="within a zone", zone=("belt near side", "belt back"), shifts="left")
    start = StartHold(id="1", right=("shoulder strap",), left=("belt near side",), left_handed="barred")
    code = RuleCode("r1", "Two hands", clauses=(start, keep))

    def word(right: str, left: str) -> str:
        held = [Hand(Stated((place,)), essential=Stated(True)) for place in (right, left)]
        return judge(Profile(right=held[0], left=held[1]), code).word

    assert word("shoulder strap", "belt back") == "fits"
    assert word("belt back", "belt near side") == "breaks the rules"
    assert word("shoulder strap", "belt front") == "breaks the rules"


def test_the_left_handed_form_by_consent_is_not_described_as_always_allowed() -> None:
    hold = StartHold(id="1", right=("collar",), left=("belt",), left_handed="by consent")
    free = msgspec.structs.replace(hold, left_handed="allowed")
    for tag in LANGUAGES:
        assert voice_of(tag).clause(hold) != voice_of(tag).clause(free)


def test_a_limit_of_a_leg_clause_is_described_as_a_limit() -> None:
    clause = LegRule(id="1", stance="allowed", uses=("any",), height="knee", feet_only=True)
    assert voice_of("en").clause(clause) == (
        "Every use of the leg except placing it beside his is allowed (the foot no higher than the knee)."
    )
