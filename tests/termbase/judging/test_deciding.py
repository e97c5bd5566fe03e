"""Judging by example: the invented codes of Glanmorwen and techniques judged under them."""

from dataclasses import replace
from typing import Any

import pytest

from termbase.judging.changes import smallest_change
from termbase.judging.deciding import judge, judge_many
from termbase.judging.verdict import Circumstances
from termbase.judging.wording import to_words
from termbase.rules.clauses import (
    GripRule,
    GroundRule,
    KeepRule,
    LegRule,
    Likeness,
    Limits,
    NamedRule,
    PressureRule,
    RuleCode,
    StartHold,
)
from termbase.technique.profile import Hand, NamedProfile, Profile, Stated

START = StartHold(id="1", right=("shoulder strap",), left=("belt near side",), sources=("Fair rules 1868",))
KEEP = KeepRule(id="2", keep="both hands", loss="the fall", sources=("Fair rules 1868",))
NO_KICKS = LegRule(id="3", stance="barred", uses=("kick",), sources=("Fair rules 1868",))
TRIPS = LegRule(id="4", stance="allowed", uses=("trip",))
GROUND = GroundRule(id="5", touch="loses", both="wrestled again")
FAIR = RuleCode("r01", "Fair rules", period="1868", clauses=(START, KEEP, NO_KICKS, TRIPS, GROUND))

STRAP = Hand(
    places=Stated(("shoulder strap",), "slip", "s1"),
    work=Stated("pull"),
    essential=Stated(False, "trial", "t1"),
)
BELT = Hand(places=Stated(("belt near side",), "slip", "s1"), work=Stated("lift"), essential=Stated(False))
HEEL = Profile(
    right=STRAP,
    left=BELT,
    leg_use=Stated("hook", "slip", "s1"),
    contact=Stated(("heel",)),
    first_down=Stated("he"),
    ground=Stated("standing"),
    pressure=Stated("none"),
)


def under(profile: Profile, *clauses: Any, **bout: Any) -> str:
    return judge(profile, RuleCode("r", "R", clauses=clauses), Circumstances(**bout)).word


def test_a_back_heel_that_keeps_the_holds_fits_with_reasons() -> None:
    verdict = judge(HEEL, FAIR)
    assert verdict.word == "fits"
    first = verdict.reasons[0]
    assert (first.clauses, first.sources, first.attribute) == (
        ("1", "2"),
        ("Fair rules 1868",),
        "right.places",
    )
    assert (first.basis, first.ref) == ("slip", "s1")
    assert to_words(first) == "The right hand is on the shoulder strap, on the hold that is kept."


def test_every_breach_is_listed_and_the_smallest_change_is_offered() -> None:
    profile = replace(
        HEEL,
        left=Hand(places=Stated(("wrist",)), essential=Stated(True)),
        leg_use=Stated("kick"),
        first_down=Stated("thrower"),
    )
    verdict = judge(profile, FAIR)
    assert verdict.word == "breaks the rules"
    assert [reason.attribute for reason in verdict.breaches] == ["left.places", "leg_use", "first_down"]
    change = smallest_change(profile, FAIR)
    assert change is not None
    assert [edit.attribute for edit in change.edits] == ["left.places", "leg_use", "first_down"]


def test_one_grip_off_its_hold_is_one_change_away() -> None:
    change = smallest_change(
        replace(HEEL, left=Hand(places=Stated(("wrist",)), essential=Stated(True))), FAIR
    )
    assert change is not None
    assert to_words(change) == "It would fit if the left hand could be on the belt at the near hip."


def test_a_grip_can_be_replaced_by_one_of_the_same_kind_that_the_code_keeps() -> None:
    verdict = judge(replace(HEEL, right=replace(STRAP, places=Stated(("lapel",)))), FAIR)
    assert verdict.word == "fits with a changed grip"
    assert [to_words(grip) for grip in verdict.grips] == ["Move the right hand: on the shoulder strap."]


def test_an_essential_grip_cannot_be_replaced() -> None:
    essential = replace(STRAP, places=Stated(("lapel",)), essential=Stated(True))
    assert judge(replace(HEEL, right=essential), FAIR).word == "breaks the rules"
    on_record = replace(essential, also=Stated(("shoulder strap",), "trial", "t2"))
    assert judge(replace(HEEL, right=on_record), FAIR).word == "fits with a changed grip"


def test_only_a_trial_shows_whether_another_kind_of_hold_does_the_work() -> None:
    verdict = judge(replace(HEEL, left=replace(BELT, places=Stated(("round the body",)))), FAIR)
    assert verdict.word == "open"
    assert [to_words(missing) for missing in verdict.missing] == [
        "Find out where else the left hand could hold and do the same work: a trial would show it."
    ]


def test_a_hold_that_is_let_go_too_early_only_needs_to_be_kept() -> None:
    verdict = judge(replace(HEEL, right=replace(STRAP, lets_go=Stated(True))), FAIR)
    assert verdict.word == "fits with a changed grip"
    assert to_words(verdict.grips[0]) == "Keep the right hand on its hold until he is down."


def test_an_unstated_attribute_that_decides_is_asked_for() -> None:
    verdict = judge(replace(HEEL, first_down=None), FAIR)
    assert verdict.word == "open"
    assert [(gap.kind, gap.subject, gap.clause) for gap in verdict.missing] == [
        ("attribute", "first_down", "5")
    ]
    assert to_words(verdict.missing[0]) == "Find out who touches the ground first."


def test_silence_neither_allows_nor_bars() -> None:
    verdict = judge(replace(HEEL, leg_use=Stated("lift")), FAIR)
    assert verdict.word == "open"
    assert (
        to_words(verdict.missing[0]) == "Find a source that says what the rules were on lifting with the leg."
    )


CROSSED = replace(HEEL, right=BELT, left=STRAP)


@pytest.mark.parametrize(
    ("form", "left_handed", "word"),
    [
        ("same", None, "fits"),
        ("none", "allowed", "fits"),
        (None, None, "open"),
        ("none", "barred", "fits with a changed grip"),
    ],
)
def test_a_left_handed_form_fits_if_the_technique_or_the_code_has_one(
    form: Any, left_handed: Any, word: str
) -> None:
    own = Hand(places=Stated(("belt near side",)), also=Stated(("shoulder strap",)), essential=Stated(False))
    other = Hand(
        places=Stated(("shoulder strap",)), also=Stated(("belt near side",)), essential=Stated(False)
    )
    start = StartHold(id="1", right=("shoulder strap",), left=("belt near side",), left_handed=left_handed)
    profile = replace(HEEL, right=own, left=other, left_form=form and Stated(form))
    if word == "open":
        essential = Stated(True)
        profile = replace(
            profile, right=replace(BELT, essential=essential), left=replace(STRAP, essential=essential)
        )
    verdict = judge(profile, RuleCode("r", "R", clauses=(start, KEEP, TRIPS)))
    assert verdict.word == word
    assert verdict.left_handed == (word == "fits")


@pytest.mark.parametrize(
    ("keep", "places", "word"),
    [
        ({"keep": "free"}, "collar", "fits"),
        ({"keep": "free"}, "thigh", "breaks the rules"),
        ({"keep": "within a zone", "zone": ("collar",)}, "collar", "fits"),
        ({"keep": "within a zone", "zone": ("collar",)}, "thigh", "breaks the rules"),
        ({"keep": "both hands"}, "collar", "breaks the rules"),
        ({"keep": "one hand"}, "collar", "fits"),
        ({"keep": "both hands", "loss": "nothing"}, "collar", "fits"),
        ({}, "collar", "open"),
    ],
)
def test_keeping_the_hold_decides_where_a_hand_may_go(keep: Any, places: Any, word: str) -> None:
    grips = GripRule(id="9", allowed=("above the waist",), barred=("below the waist",))
    profile = replace(HEEL, right=Hand(places=Stated((places,)), essential=Stated(True)))
    assert under(profile, START, KeepRule(id="2", **keep), grips, TRIPS) == word


@pytest.mark.parametrize(
    ("place", "work", "word"),
    [
        ("collar", "pull", "fits"),
        ("neck", "pull", "breaks the rules"),
        ("neck", "push", "fits"),
        ("neck", None, "open"),
        ("thigh", "push", "breaks the rules"),
    ],
)
def test_a_flat_hand_may_go_where_a_grip_may_not(place: Any, work: Any, word: str) -> None:
    hand = Hand(places=Stated((place,)), essential=Stated(True), work=work and Stated(work))
    jacket = GripRule(id="1", allowed=("jacket",), rest="barred", flat_hand="allowed")
    assert under(Profile(right=hand, left=Hand(places=Stated(("collar",)))), jacket) == word


@pytest.mark.parametrize(
    ("use", "contact", "when", "word"),
    [
        ("hook", "heel", None, "fits"),
        ("hook", "thigh", None, "breaks the rules"),
        ("hook", "leg", None, "open"),
        ("hook", None, None, "open"),
        ("kick", "shin", None, "breaks the rules"),
        ("stroke", "shin", None, "open"),
        ("trip", "shin", None, "fits"),
        ("lift", "thigh", "once he is off it", "fits"),
        ("lift", "thigh", None, "open"),
        ("lift", "thigh", "with him on the ground", "open"),
        ("placed", None, None, "fits"),
        ("none", None, None, "fits"),
        (None, None, None, "open"),
    ],
)
def test_legs_are_judged_by_use_height_and_moment(use: Any, contact: Any, when: Any, word: str) -> None:
    profile = Profile(
        leg_use=use and Stated(use), contact=contact and Stated((contact,)), leg_when=when and Stated(when)
    )
    trips = LegRule(id="1", stance="allowed", uses=("trip",), height="knee")
    lifts = LegRule(id="2", stance="allowed", uses=("lift",), when="once he is off it")
    assert under(profile, trips, lifts, NO_KICKS) == word


@pytest.mark.parametrize(
    ("pressure", "word"),
    [
        ("elbow", "fits"),
        ("knee", "breaks the rules"),
        ("joint", "open"),
        ("throat", "open"),
        ("none", "fits"),
        (None, "open"),
    ],
)
def test_a_named_joint_outweighs_joints_in_general(pressure: Any, word: str) -> None:
    rule = PressureRule(id="1", allowed=("elbow",), barred=("joint",), unsettled=("throat",))
    assert under(Profile(pressure=pressure and Stated(pressure)), rule) == word


@pytest.mark.parametrize(
    ("first", "rule", "word"),
    [
        ("thrower", {"touch": "loses"}, "breaks the rules"),
        ("thrower", {"touch": "stops play"}, "breaks the rules"),
        ("thrower", {"touch": "costs a point"}, "fits"),
        ("thrower", {"touch": "nothing"}, "fits"),
        ("thrower", {"work": "allowed"}, "fits"),
        ("thrower", {"work": "barred"}, "open"),
        ("both", {"touch": "loses", "both": "wrestled again"}, "open"),
        ("both", {"touch": "loses", "both": "counts"}, "fits"),
        ("both", {"both": "loses"}, "breaks the rules"),
        ("he", {"touch": "loses"}, "fits"),
        (None, {"touch": "loses"}, "open"),
        (None, {"fall_on_him": "allowed"}, "fits"),
    ],
)
def test_who_touches_first_is_judged_by_what_it_costs(first: Any, rule: Any, word: str) -> None:
    profile = Profile(first_down=first and Stated(first), ground=Stated("standing"))
    assert under(profile, GroundRule(id="1", **rule)) == word


@pytest.mark.parametrize(
    ("rule", "word"),
    [
        ({"work": "allowed"}, "fits"),
        ({"work": "barred"}, "breaks the rules"),
        ({"touch": "loses"}, "breaks the rules"),
        ({"fall_on_him": "allowed"}, "open"),
    ],
)
def test_wrestling_on_the_ground_ends_if_touching_ends_the_bout(rule: Any, word: str) -> None:
    assert under(Profile(ground=Stated("on the ground")), GroundRule(id="1", **rule)) == word


HANK = NamedRule(
    id="1",
    stance="barred",
    names=("hank",),
    like=Likeness(leg_use=("hook",), facing=("same way",), falls_on_him=(True,)),
)


@pytest.mark.parametrize(
    ("profile", "names", "word"),
    [
        (Profile(leg_use=Stated("none")), ("Hank",), "breaks the rules"),
        (
            Profile(leg_use=Stated("hook"), facing=Stated("same way"), falls_on_him=Stated(True)),
            (),
            "breaks the rules",
        ),
        (Profile(leg_use=Stated("trip"), facing=Stated("same way"), falls_on_him=Stated(True)), (), "open"),
        (Profile(leg_use=Stated("none"), facing=Stated("same way")), (), "fits"),
    ],
)
def test_a_ban_by_name_matches_its_likeness_under_another_name(
    profile: Profile, names: tuple[str, ...], word: str
) -> None:
    code = RuleCode("r", "R", clauses=(HANK, LegRule(id="2", stance="allowed")))
    assert judge(profile, code, names=names).word == word


def test_a_permission_by_name_settles_silence_but_overrides_no_ban_of_another_family() -> None:
    leave = NamedRule(id="2", stance="allowed", names=("back heel",))
    code = RuleCode("r", "R", clauses=(leave, PressureRule(id="3", barred=("throat",))))
    assert judge(HEEL, code, names=("Back heel",)).word == "fits"
    strangled = replace(HEEL, pressure=Stated("throat"))
    assert judge(strangled, code, names=("back heel",)).word == "breaks the rules"


def test_two_men_may_bar_a_technique_for_one_bout() -> None:
    code = RuleCode("r", "R", clauses=(NamedRule(id="1", stance="barred", by_consent=True), TRIPS))
    agreed = Circumstances(barred_by_consent=("Back heel",))
    assert judge(HEEL, code, names=("back heel",)).word == "fits"
    assert judge(HEEL, code, agreed, names=("back heel",)).word == "breaks the rules"


@pytest.mark.parametrize(
    ("bout", "word"),
    [
        ({}, "open"),
        ({"year": 1880}, "breaks the rules"),
        ({"year": 1890}, "fits"),
        ({"year": 1880, "wrestlers": "men"}, "fits"),
    ],
)
def test_a_limited_clause_applies_only_within_its_limits(bout: Any, word: str) -> None:
    limits = Limits(years="1868/1884", wrestlers="boys" if "wrestlers" in bout else "")
    ban = LegRule(id="1", stance="barred", limits=limits)
    assert under(HEEL, ban, LegRule(id="2", stance="allowed", uses=("trip",)), **bout) in {word, "fits"}
    general = LegRule(id="3", stance="allowed")
    assert under(HEEL, LegRule(id="1", stance="barred", limits=limits), general, **bout) == word


def test_a_clause_that_spans_the_whole_period_of_its_code_needs_no_year() -> None:
    ban = LegRule(id="1", stance="barred", limits=Limits(years="1860/1890"))
    code = RuleCode("r", "R", period="1868/1884", clauses=(ban,))
    assert judge(HEEL, code).word == "breaks the rules"


def test_a_matrix_gives_the_same_verdicts_as_one_by_one() -> None:
    heel = NamedProfile("c1", "back heel", profile=HEEL)
    other = NamedProfile("c2", "click", profile=CROSSED)
    codes = (FAIR, RuleCode("r02", "Free"))
    matrix = list(judge_many((heel, other), codes))
    assert [(named.id, code.id) for named, code, _ in matrix] == [
        ("c1", "r01"),
        ("c1", "r02"),
        ("c2", "r01"),
        ("c2", "r02"),
    ]
    assert all(verdict == judge(named.profile, code, names=(named.name,)) for named, code, verdict in matrix)


def test_each_profile_shows_its_own_provenance() -> None:
    reasons = judge(HEEL, FAIR).reasons
    other = judge(replace(HEEL, leg_use=Stated("hook", "trial", "t9")), FAIR).reasons
    assert [reason.ref for reason in reasons if reason.attribute == "leg_use"] == ["s1"]
    assert [reason.ref for reason in other if reason.attribute == "leg_use"] == ["t9"]


SHIN_KICK = replace(HEEL, leg_use=Stated("kick"), limb=Stated("foot"), contact=Stated(("shin",)))
IN_STOCKINGS = LegRule(id="6", stance="allowed", uses=("kick",), height="shin", footwear="stockinged")


@pytest.mark.parametrize(
    ("clauses", "bout", "word"),
    [
        ((IN_STOCKINGS,), {}, "open"),
        ((IN_STOCKINGS,), {"footwear": "stockinged"}, "fits"),
        ((IN_STOCKINGS,), {"footwear": "shod"}, "open"),
        ((NO_KICKS, IN_STOCKINGS), {"footwear": "stockinged"}, "fits"),
        ((NO_KICKS, IN_STOCKINGS), {"footwear": "shod"}, "breaks the rules"),
        ((NO_KICKS, IN_STOCKINGS), {}, "open"),
        ((IN_STOCKINGS, GripRule(id="7", worn=("stockings",))), {}, "fits"),
        ((NO_KICKS, IN_STOCKINGS, GripRule(id="7", worn=("shoes",))), {}, "breaks the rules"),
        ((IN_STOCKINGS, GripRule(id="7", worn=("shoes",))), {"footwear": "stockinged"}, "fits"),
        (
            (
                NO_KICKS,
                LegRule(id="8", stance="allowed", uses=("kick",), footwear="barefoot"),
                GripRule(id="7", not_worn=("shoes", "stockings")),
            ),
            {},
            "fits",
        ),
    ],
)
def test_a_clause_for_certain_footwear_applies_only_with_it(
    clauses: tuple[Any, ...], bout: dict[str, Any], word: str
) -> None:
    assert under(SHIN_KICK, *clauses, **bout) == word


def test_footwear_is_asked_for_if_it_decides() -> None:
    verdict = judge(SHIN_KICK, RuleCode("r", "R", clauses=(NO_KICKS, IN_STOCKINGS)))
    assert [to_words(gap) for gap in verdict.missing] == [
        "State what is on the feet: a clause is limited to stockinged."
    ]


def test_a_garment_that_is_not_worn_cannot_be_held() -> None:
    bare = GripRule(id="7", allowed=("anywhere",), not_worn=("belt",), sources=("Lantern 1902",))
    essential = replace(HEEL, left=replace(BELT, essential=Stated(True)), right=STRAP)
    verdict = judge(essential, RuleCode("r", "R", clauses=(bare, TRIPS)))
    assert verdict.word == "breaks the rules"
    (breach,) = verdict.breaches
    assert (breach.attribute, breach.sources) == ("left.places", ("Lantern 1902",))
    assert to_words(breach) == "The left hand is on the belt at the near hip, but no such garment is worn."


def test_footwear_alone_says_nothing_about_the_hands() -> None:
    assert under(replace(HEEL, left=Hand()), TRIPS, GripRule(id="7", worn=("stockings",))) == "fits"


def test_the_change_of_a_kick_to_another_use_is_offered_in_a_sentence() -> None:
    code = RuleCode("r", "R", clauses=(NO_KICKS, TRIPS))
    change = smallest_change(SHIN_KICK, code)
    assert change is not None
    assert to_words(change) == "It would fit if the leg blocked him."


def test_a_technique_named_but_not_settled_by_the_sources_is_asked_for_by_name() -> None:
    code = RuleCode("r", "R", clauses=(TRIPS, NamedRule(id="9", stance="unsettled", names=("hang",))))
    verdict = judge(HEEL, code, names=("Hang",))
    assert [to_words(gap) for gap in verdict.missing] == [
        "Find a source that settles whether this is allowed: hang."
    ]
