"""The cautions for a technique, and notices of injuries."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.record.cautions import OWN_CAUTIONS, caution_kinds, hurt_notices, injury_of, own_cautions
from termbase.record.entries import Topic
from termbase.record.trials import Outcome, Trial
from termbase.technique.profile import Hand, Profile, Stated, mirror
from tests.termbase.judging.strategies import WIDE_PROFILES

TOPICS = st.none() | st.sampled_from(Topic)


def trial(injuries: str) -> Trial:
    return Trial("m1", "c0001", "2025-05-03", Outcome.WORKS, injuries=injuries)


@pytest.mark.parametrize(
    ("topic", "profile", "kinds"),
    [
        (Topic.KICK, None, ("kick", "young")),
        (Topic.LIFT, None, ("lift", "young")),
        (Topic.TRIP, Profile(leg_use=Stated("stroke")), ("kick", "young")),
        (Topic.TRIP, Profile(leg_use=Stated("hook")), ("young",)),
        (Topic.HOLD, Profile(pressure=Stated("joint")), ("joint", "young")),
        (Topic.HOLD, Profile(pressure=Stated("pain")), ("joint", "young")),
        (Topic.HOLD, Profile(pressure=Stated("spine")), ("spine", "young")),
        (None, Profile(pressure=Stated("neck"), off_balance=Stated("up")), ("lift", "neck", "young")),
        # a hand that lifts, without a stated direction
        (Topic.THROW, Profile(left=Hand(work=Stated("lift"))), ("lift", "young")),
        # a hand that takes his weight while he is broken forward: no lift-off
        (
            Topic.TRIP,
            Profile(left=Hand(work=Stated("lift")), off_balance=Stated("right forward")),
            ("young",),
        ),
        (
            Topic.TRIP,
            Profile(
                leg_use=Stated("lift"), leg_when=Stated("with him on the ground"), off_balance=Stated("left")
            ),
            ("young",),
        ),
        (
            Topic.THROW,
            Profile(limb=Stated("back"), facing=Stated("back to him"), off_balance=Stated("forward")),
            ("overhead", "young"),
        ),
        (
            Topic.THROW,
            Profile(leg_use=Stated("foot on the body"), first_down=Stated("thrower")),
            ("overhead", "young"),
        ),
        (Topic.TRIP, Profile(falls_on_him=Stated(True)), ("on him", "young")),
        (Topic.TRIP, Profile(first_down=Stated("both")), ("on him", "young")),
        (Topic.TRIP, Profile(first_down=Stated("both"), falls_on_him=Stated(False)), ("young",)),
        (Topic.TRIP, Profile(right=Hand(places=Stated(("neck",)))), ("held neck", "young")),
        (Topic.GARMENT, None, ()),
        (None, None, ()),
    ],
)
def test_each_kind_of_danger_has_its_caution(
    topic: Topic | None, profile: Profile | None, kinds: tuple[str, ...]
) -> None:
    assert own_cautions(topic, profile) == tuple(OWN_CAUTIONS[kind] for kind in kinds)  # type: ignore[index]


@given(TOPICS, WIDE_PROFILES)
def test_cautions_appear_once_in_order_with_young_people_last(topic: Topic | None, profile: Profile) -> None:
    kinds = caution_kinds(topic, profile)
    assert kinds == tuple(kind for kind in OWN_CAUTIONS if kind in kinds)
    assert kinds[-1] == "young"


@given(TOPICS, WIDE_PROFILES)
def test_either_side_is_as_dangerous_as_the_other(topic: Topic | None, profile: Profile) -> None:
    assert caution_kinds(topic, mirror(profile)) == caution_kinds(topic, profile)


@given(st.sampled_from([t for t in Topic if t is not Topic.LIFT]), WIDE_PROFILES)
def test_the_lift_caution_appears_only_if_he_may_leave_the_ground(topic: Topic, profile: Profile) -> None:
    on_the_ground = replace(
        profile, off_balance=Stated("backward"), leg_when=Stated("with him on the ground")
    )
    assert "lift" not in caution_kinds(topic, on_the_ground)
    for lifted in (
        replace(profile, off_balance=Stated("up")),
        replace(profile, leg_when=Stated("once he is off it")),
    ):
        assert "lift" in caution_kinds(topic, lifted)


@given(TOPICS, WIDE_PROFILES)
def test_a_stated_danger_always_has_its_caution(topic: Topic | None, profile: Profile) -> None:
    def kinds(**stated: object) -> tuple[str, ...]:
        return caution_kinds(topic, replace(profile, **stated))

    assert "on him" in kinds(falls_on_him=Stated(True))
    assert "kick" in kinds(leg_use=Stated("kick"))
    assert "neck" in kinds(pressure=Stated("throat"))
    assert "joint" in kinds(pressure=Stated("elbow"))
    assert "held neck" in kinds(right=Hand(places=Stated(("belt", "head"))))
    assert "overhead" in kinds(
        limb=Stated("shoulder"), facing=Stated("back to him"), off_balance=Stated("forward"), leg_use=None
    )


@given(TOPICS, WIDE_PROFILES)
def test_stating_less_about_a_lift_never_removes_its_caution(topic: Topic | None, profile: Profile) -> None:
    stated_up = profile.off_balance is not None and profile.off_balance.value == "up"
    if "lift" in caution_kinds(topic, profile) and not stated_up:
        assert "lift" in caution_kinds(topic, replace(profile, off_balance=None))


def test_no_caution_ever_calls_anything_safe() -> None:
    assert not [line for line in OWN_CAUTIONS.values() if "safe" in line.casefold()]


@pytest.mark.parametrize("told", ["", "None", "none.", " NONE ", "Dim.", "Ní raibh", "–", "Nobody was hurt."])
def test_nobody_was_hurt(told: str) -> None:
    assert injury_of(trial(told)) == ""
    assert hurt_notices([trial(told)]) == ()


@pytest.mark.parametrize(
    "told", ["Bruised rib, D.P., four days.", "None, but a stiff neck.", "?", "a little"]
)
def test_whatever_else_is_written_counts_as_an_injury(told: str) -> None:
    (notice,) = hurt_notices([trial("None."), trial(told)])
    assert notice == f"Someone was hurt when this was tried: {told.rstrip('.')}."
