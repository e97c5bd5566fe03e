"""Rule codes: their clauses in words, their years, their contradictions."""

from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.errors import BadInput
from termbase.rules.clauses import (
    FallRule,
    GripRule,
    GroundRule,
    KeepRule,
    LegRule,
    Limits,
    NamedRule,
    PressureRule,
    RuleCode,
    StartHold,
    family,
    years_of,
)
from termbase.rules.consistency import contradictions
from termbase.rules.sentences import sentence
from tests.termbase.judging.strategies import CODES, clauses


@pytest.mark.parametrize(
    ("clause", "words"),
    [
        (
            StartHold(id="1", right=("shoulder strap",), left=("belt near side",)),
            "The right hand starts on the shoulder strap; the left hand starts on the belt at the near hip.",
        ),
        (
            KeepRule(id="1", keep="both hands", loss="the fall"),
            "Both hands must keep their hold until a man is down; losing the hold costs the fall.",
        ),
        (
            GripRule(id="1", allowed=("jacket",), rest="barred", flat_hand="allowed"),
            "Holds are allowed on the jacket; every other hold is barred;"
            " a flat hand that pushes or steers without gripping is allowed above the waist.",
        ),
        (
            LegRule(
                id="1",
                stance="allowed",
                uses=("kick",),
                height="shin",
                footwear="stockinged",
                limits=Limits(years="1884/.."),
            ),
            "Kicking is allowed (in stockinged feet; no higher than the shin) (in 1884 or later).",
        ),
        (
            PressureRule(id="1", allowed=("elbow",), barred=("joint",)),
            "Pressure on the elbow is allowed; bending a joint is barred.",
        ),
        (
            GroundRule(id="1", touch="loses", both="wrestled again"),
            "If the thrower is the first to touch the ground with anything but the feet, he loses;"
            " if both go down together, they wrestle again.",
        ),
        (NamedRule(id="1", stance="barred", names=("hank",)), "Barred by name: hank."),
        (
            FallRule(id="1", parts=("shoulder", "hip"), number=3, together=True),
            "A fall is any 3 of these on the ground: both shoulders and both hips (at the same time).",
        ),
        (
            FallRule(id="1", parts=("shoulder", "shoulder", "hip"), number=3),
            "A fall is both shoulders and a hip on the ground.",
        ),
        (
            FallRule(id="1", parts=("back", "side"), number=1),
            "A fall is any 1 of these on the ground: the back and a side.",
        ),
        (
            PressureRule(id="1", barred=("neck", "throat"), unsettled=("spine",)),
            "Pressure on the neck and pressure on the throat are barred;"
            " pressure on the spine is mentioned, but the sources do not settle whether it is allowed.",
        ),
        (
            NamedRule(id="1", stance="unsettled", names=("hang",)),
            "Named, but the sources do not settle whether it is allowed: hang.",
        ),
        (
            GripRule(id="1", worn=("belt", "stockings"), not_worn=("shoes",)),
            "Worn: belt and stockings; not worn: shoes.",
        ),
        (KeepRule(id="1"), "Says nothing definite."),
    ],
    ids=lambda value: family(value) if not isinstance(value, str) else "",
)
def test_a_clause_says_in_plain_words_what_it_states(clause: Any, words: str) -> None:
    assert sentence(clause) == words


@given(clauses(st.just("1")))
def test_every_clause_has_a_sentence(clause: Any) -> None:
    text = sentence(clause)
    assert text.endswith(".")
    assert "None" not in text


@given(CODES)
def test_a_code_survives_json(code: RuleCode) -> None:
    again = msgspec.json.decode(msgspec.json.encode(code), type=RuleCode)
    assert again == code
    assert hash(again) == hash(code)


@pytest.mark.parametrize(
    ("edtf", "span"),
    [
        ("", (None, None)),
        ("1868", (1868, 1868)),
        ("1868-08~", (1868, 1868)),
        ("186X", (1860, 1869)),
        ("18XX", (1800, 1899)),
        ("1868/1884", (1868, 1884)),
        ("2013/..", (2013, None)),
        ("../1868", (None, 1868)),
    ],
)
def test_years_are_read_from_edtf(edtf: str, span: tuple[int | None, int | None]) -> None:
    assert years_of(edtf) == span


def test_an_invalid_year_is_refused_with_a_fix() -> None:
    with pytest.raises(BadInput, match="“about 1868”") as caught:
        years_of("about 1868")
    assert "1868/1884" in caught.value.fix


def code_of(*clauses: Any) -> RuleCode:
    return RuleCode("r01", "Fair rules", clauses=clauses)


def test_contradicting_clauses_are_named_with_both_sources() -> None:
    code = code_of(
        LegRule(id="4", stance="barred", uses=("kick",), sources=("Fair rules 1868",)),
        LegRule(id="9", stance="allowed", uses=("hook", "kick"), sources=("Lantern 1871",)),
    )
    (contradiction,) = contradictions(code)
    assert (contradiction.first, contradiction.second, contradiction.subject) == ("4", "9", "legs: kick")
    assert contradiction.sources == (("Fair rules 1868",), ("Lantern 1871",))
    assert contradiction.sentence == (
        "On legs: kick, clause 4 (Fair rules 1868) says barred and clause 9 (Lantern 1871) says allowed."
    )


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (KeepRule(id="1", keep="both hands"), KeepRule(id="2", keep="free")),
        (GripRule(id="1", allowed=("belt",)), GripRule(id="2", barred=("belt",))),
        (GripRule(id="1", rest="allowed"), GripRule(id="2", rest="barred")),
        (GroundRule(id="1", touch="loses"), GroundRule(id="2", touch="nothing")),
        (PressureRule(id="1", allowed=("neck",)), PressureRule(id="2", barred=("neck",))),
        (
            NamedRule(id="1", stance="allowed", names=("Hank",)),
            NamedRule(id="2", stance="barred", names=("hank",)),
        ),
        (
            StartHold(id="1", right=("collar",), left_handed="allowed"),
            StartHold(id="2", right=("collar",), left_handed="barred"),
        ),
    ],
)
def test_each_family_can_contradict_itself(one: Any, other: Any) -> None:
    assert len(contradictions(code_of(one, other))) == 1


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (LegRule(id="1", stance="barred"), LegRule(id="2", stance="allowed", uses=("hook",))),
        (
            LegRule(id="1", stance="barred", height="knee"),
            LegRule(id="2", stance="allowed", height="knee"),
        ),
        (
            LegRule(id="1", stance="barred", limits=Limits(years="1868/1883")),
            LegRule(id="2", stance="allowed", limits=Limits(years="1884/..")),
        ),
        (
            LegRule(id="1", stance="barred", limits=Limits(wrestlers="boys")),
            LegRule(id="2", stance="allowed", limits=Limits(wrestlers="men")),
        ),
        (LegRule(id="1", stance="unsettled"), LegRule(id="2", stance="allowed")),
    ],
    ids=["more specific", "one line", "other years", "other class", "unsettled"],
)
def test_compatible_clauses_do_not_contradict(one: Any, other: Any) -> None:
    assert contradictions(code_of(one, other)) == ()


@pytest.mark.parametrize(
    ("clause", "subject"),
    [
        (GripRule(id="1", allowed=("belt",), barred=("belt",)), "holding: belt"),
        (GripRule(id="1", worn=("shoes",), not_worn=("shoes",)), "wearing: shoes"),
        (PressureRule(id="1", allowed=("neck",), barred=("neck",)), "pressure: neck"),
    ],
)
def test_a_clause_can_contradict_itself(clause: Any, subject: str) -> None:
    (contradiction,) = contradictions(code_of(clause))
    assert (contradiction.first, contradiction.second, contradiction.subject) == ("1", "1", subject)


def test_two_heights_for_one_use_contradict_each_other() -> None:
    knee = LegRule(id="1", stance="allowed", uses=("kick",), height="knee", sources=("Fair rules 1868",))
    shin = LegRule(id="2", stance="allowed", uses=("kick",), height="shin", sources=("Lantern 1871",))
    (contradiction,) = contradictions(code_of(knee, shin))
    assert contradiction.says == ("knee", "shin")
    assert (
        contradictions(
            code_of(knee, LegRule(id="2", stance="allowed", uses=("kick",), height="shin", footwear="shod"))
        )
        == ()
    )


def test_years_that_end_before_they_begin_are_refused() -> None:
    with pytest.raises(BadInput, match="ends before it begins") as caught:
        years_of("1884/1868")
    assert "1868/1884" in caught.value.fix
