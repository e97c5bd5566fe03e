"""Properties of every profile under every code."""

from dataclasses import replace
from functools import lru_cache
from typing import Any

import msgspec
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from termbase.judging.changes import smallest_change
from termbase.judging.deciding import judge
from termbase.judging.verdict import UNKNOWN, Circumstances, Missing, Verdict
from termbase.judging.wording import to_words
from termbase.rules.clauses import (
    GripRule,
    GroundRule,
    KeepRule,
    LegRule,
    NamedRule,
    PressureRule,
    RuleCode,
    StartHold,
)
from termbase.technique.profile import KINDS, PLACES, USE_KINDS, Profile, Stated, mirror
from tests.termbase.judging.strategies import ATTRIBUTES, CODES, HAND, PROFILES, clauses

SWAP = {"right": "left", "left": "right"}


def mirrored(code: RuleCode) -> RuleCode:
    clauses: list[Any] = []
    for clause in code.clauses:
        if isinstance(clause, StartHold):
            first = SWAP.get(clause.first or "", clause.first)
            clause = structs.replace(clause, right=clause.left, left=clause.right, first=first)
        elif isinstance(clause, NamedRule) and clause.like:
            swapped = lambda word: " ".join(SWAP.get(part, part) for part in word.split())  # noqa: E731
            like = structs.replace(
                clause.like,
                limb_side=tuple(swapped(side) for side in clause.like.limb_side),
                off_balance=tuple(swapped(way) for way in clause.like.off_balance),
            )
            clause = structs.replace(clause, like=like)
        clauses.append(clause)
    return replace(code, clauses=tuple(clauses))


@given(PROFILES, CODES)
def test_a_mirrored_technique_under_a_mirrored_code_gets_the_same_verdict(
    profile: Profile, code: RuleCode
) -> None:
    assert judge(mirror(profile), mirrored(code)).word == judge(profile, code).word


@given(PROFILES)
def test_mirroring_twice_changes_nothing(profile: Profile) -> None:
    assert mirror(mirror(profile)) == profile


@given(PROFILES, CODES, st.randoms())
def test_the_order_of_clauses_does_not_matter(profile: Profile, code: RuleCode, random: Any) -> None:
    shuffled = list(code.clauses)
    random.shuffle(shuffled)
    assert judge(profile, replace(code, clauses=tuple(shuffled))) == judge(profile, code)


@given(PROFILES, CODES, st.data())
def test_stating_an_attribute_turns_fits_into_breaks_only_by_that_attribute(
    profile: Profile, code: RuleCode, data: st.DataObject
) -> None:
    before = judge(profile, code)
    unstated = [name for name in ATTRIBUTES if getattr(profile, name) is None]
    unstated += [
        f"{side}.{name}" for side in SWAP for name in HAND if getattr(getattr(profile, side), name) is None
    ]
    if not before.word.startswith("fits") or not unstated:
        return
    added = data.draw(st.sampled_from(unstated))
    after = judge(stated(profile, added, data.draw({**ATTRIBUTES, **HAND}[added.split(".")[-1]])), code)
    if after.word == "breaks the rules":
        stem = added.split(".")[0]
        assert any(reason.attribute.split(".")[0] == stem for reason in after.breaches)


OPEN_ENDED = {"lets_go", "also"}
"""Attributes that count as not so if they are not stated: a hand lets go, another place is on record."""


@settings(max_examples=300)
@given(PROFILES, CODES, st.data())
def test_a_decided_verdict_holds_whatever_is_found_out_later(
    profile: Profile, code: RuleCode, data: st.DataObject
) -> None:
    """Stating an unstated attribute never turns *fits* into *breaks* or *breaks* into *fits*."""
    before = judge(profile, code).word
    unstated = [name for name in ATTRIBUTES if getattr(profile, name) is None]
    unstated += [
        f"{side}.{name}"
        for side in SWAP
        for name in HAND
        if name not in OPEN_ENDED and getattr(getattr(profile, side), name) is None
    ]
    if before == "open" or not unstated:
        return
    added = data.draw(st.sampled_from(unstated))
    after = judge(stated(profile, added, data.draw({**ATTRIBUTES, **HAND}[added.split(".")[-1]])), code).word
    assert after == "open" or after.startswith("fits") == before.startswith("fits")


BOUTS = st.builds(
    Circumstances,
    place=st.sampled_from(("", "Upper vale", "Lower vale")),
    year=st.none() | st.sampled_from((1868, 1880, 1884, 1890)),
    wrestlers=st.sampled_from(("", "boys", "men")),
    footwear=st.none() | st.sampled_from(("barefoot", "stockinged", "shod")),
)


@settings(max_examples=300)
@given(PROFILES, CODES, BOUTS)
def test_a_verdict_for_an_unknown_bout_holds_for_every_bout(
    profile: Profile, code: RuleCode, bout: Circumstances
) -> None:
    worn = any(isinstance(clause, GripRule) and (clause.worn or clause.not_worn) for clause in code.clauses)
    before = judge(profile, code).word
    after = judge(profile, code, replace(bout, footwear=None) if worn else bout).word
    assert before in ("open", after)


@given(PROFILES, CODES)
def test_a_missing_clause_is_not_a_permission(profile: Profile, code: RuleCode) -> None:
    use, pressed = profile.leg_use, profile.pressure
    bare = replace(code, clauses=tuple(c for c in code.clauses if isinstance(c, GroundRule)))
    silent = (use and use.value not in ("none", "placed")) or (pressed and pressed.value != "none")
    assert not (silent and judge(profile, bare).word.startswith("fits"))


@given(PROFILES, CODES, clauses(st.just("new")))
def test_adding_a_clause_turns_fits_into_breaks_only_by_that_clause(
    profile: Profile, code: RuleCode, clause: Any
) -> None:
    before = judge(profile, code)
    after = judge(profile, replace(code, clauses=(*code.clauses, clause)))
    if before.word.startswith("fits") and after.word == "breaks the rules":
        assert any("new" in reason.clauses for reason in after.breaches)


@settings(deadline=None)
@given(PROFILES, CODES, st.data())
def test_an_open_verdict_resolves_once_its_questions_are_answered(
    profile: Profile, code: RuleCode, data: st.DataObject
) -> None:
    bout = UNKNOWN
    for step in range(60):
        verdict = judge(profile, code, bout)
        if verdict.word != "open":
            assert step == 0 or verdict.missing == () or verdict.word == "fits with a changed grip"
            return
        assert verdict.missing, verdict
        profile, code, bout = answered(verdict.missing[0], profile, code, bout, data)
    raise AssertionError(f"still open: {verdict.missing}")


@given(PROFILES, CODES)
def test_a_verdict_survives_json_and_every_part_has_a_sentence(profile: Profile, code: RuleCode) -> None:
    verdict = judge(profile, code)
    assert msgspec.json.decode(msgspec.json.encode(verdict), type=Verdict) == verdict
    for part in (verdict, *verdict.reasons, *verdict.missing, *verdict.grips):
        assert to_words(part).endswith((".", "wrestler."))
        assert "{" not in to_words(part)
    assert (verdict.word == "open") <= bool(verdict.missing)
    assert (verdict.word == "breaks the rules") <= bool(verdict.breaches)
    assert (verdict.word == "fits with a changed grip") == bool(verdict.grips)


@given(PROFILES, CODES)
def test_profiles_and_codes_can_be_keys_of_a_cache(profile: Profile, code: RuleCode) -> None:
    cached = lru_cache(judge)
    again = msgspec.json.decode(msgspec.json.encode(profile), type=Profile)
    same = msgspec.json.decode(msgspec.json.encode(code), type=RuleCode)
    assert (again, same) == (profile, code)
    assert cached(profile, code) is cached(again, same)


@settings(max_examples=25, deadline=None)
@given(PROFILES, CODES)
def test_the_smallest_change_makes_it_fit_and_has_a_sentence(profile: Profile, code: RuleCode) -> None:
    change = smallest_change(profile, code)
    if change is None:
        return
    assert judge(profile, code).word == "breaks the rules"
    assert change.word.startswith("fits")
    assert 1 <= len(change.edits) <= 4
    begun = "It would fit if " if change.word == "fits" else "It would fit with a changed grip if "
    assert to_words(change).startswith(begun)


def stated(profile: Profile, path: str, value: Stated[Any]) -> Profile:
    stem, _, field = path.rpartition(".")
    if not stem:
        return replace(profile, **{field: value})
    return replace(profile, **{stem: replace(getattr(profile, stem), **{field: value})})


PRECISE = {
    "contact": [("heel",), ("knee",), ("hip",), ("neck",)],
    "limb": ["heel", "thigh"],
    "first_down": ["he", "thrower"],
    "leg_use": ["none", "kick", "hook", "sweep"],
    "places": [(place,) for place in PLACES if place not in KINDS],
    "pressure": ["none", "elbow", "neck"],
}


def answered(
    missing: Missing, profile: Profile, code: RuleCode, bout: Circumstances, data: st.DataObject
) -> tuple[Profile, RuleCode, Circumstances]:
    """Return an answer to a question, as somebody might find it."""
    topic, _, thing = missing.subject.partition(": ")
    if missing.kind == "attribute":
        field = topic.split(".")[-1]
        values = PRECISE.get(field)
        if missing.template == "ask.trip":
            values = list(USE_KINDS["trip"])
        if missing.template == "ask.joint":
            values = ["elbow", "knee"]
        value = (
            Stated(data.draw(st.sampled_from(values))) if values else data.draw({**ATTRIBUTES, **HAND}[field])
        )
        return stated(profile, topic, value), code, bout
    if missing.kind == "circumstance":
        answers = {"place": "Upper vale", "year": 1880, "wrestlers": "boys", "footwear": "shod"}
        return profile, code, replace(bout, **{topic: answers[topic]})
    if missing.kind == "unsettled":
        settled = tuple(clause for clause in code.clauses if clause.id != missing.clause)
        return profile, replace(code, clauses=settled), bout
    stance = data.draw(st.sampled_from(("allowed", "barred")))
    name = f"z{len(code.clauses)}{thing}"
    if topic == "start hold":
        held = tuple(
            structs.replace(clause, left_handed=stance) if clause.id == missing.clause else clause
            for clause in code.clauses
        )
        return profile, replace(code, clauses=held), bout
    made: dict[str, Any] = {
        "keeping": KeepRule(id=name, keep="free"),
        "grips": GripRule(id=name, **{stance: (thing,)}),
        "legs": LegRule(id=name, stance=stance, uses=(thing,)),
        "pressure": PressureRule(id=name, **{stance: (thing,)}),
        "ground": GroundRule(id=name, work=stance)
        if thing == "work"
        else GroundRule(id=name, touch="nothing", both="counts"),
    }
    return profile, replace(code, clauses=(*code.clauses, made[topic])), bout
