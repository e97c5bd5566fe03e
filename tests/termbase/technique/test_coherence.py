"""The mechanics check. It is based on common practice, no source."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.technique.coherence import FEET, check_mechanics, margin, support_polygon
from termbase.technique.profile import Hand, Profile, Stated, mirror
from tests.termbase.judging.strategies import PROFILES

SQUARE = ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0))


def test_a_square_supports_its_middle_but_nothing_beyond_its_edge() -> None:
    polygon = support_polygon((SQUARE,))
    assert set(polygon) == set(SQUARE)
    assert margin((1, 1), polygon) == pytest.approx(1)
    assert margin((2, 1), polygon) == pytest.approx(0)
    assert margin((3, 1), polygon) == pytest.approx(-1)


def test_without_a_foot_on_the_ground_nothing_is_supported() -> None:
    assert margin((0, 0), support_polygon(())) == -math.inf


def test_two_feet_support_him_between_them_and_one_does_not() -> None:
    assert margin((0, 0), support_polygon(tuple(FEET.values()))) > 0
    assert margin((0, 0), support_polygon((FEET["right"],))) < 0


@given(st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=3, max_size=12, unique=True))
def test_every_corner_of_a_foot_is_inside_its_support(points: list[tuple[float, float]]) -> None:
    polygon = support_polygon((points,))
    if len(polygon) >= 3:
        assert all(margin(point, polygon) >= -1e-9 for point in points)


PULL = Hand(work=Stated("pull"))
HOLD = Hand(work=Stated("hold only"))


@pytest.mark.parametrize(
    ("profile", "attribute"),
    [
        (
            Profile(leg_use=Stated("sweep"), his_side=Stated("right"), off_balance=Stated("left backward")),
            "his_side",
        ),
        (Profile(leg_use=Stated("block"), his_side=Stated("left"), off_balance=Stated("right")), "his_side"),
        (
            Profile(leg_use=Stated("block"), contact_from=Stated("front"), off_balance=Stated("backward")),
            "contact_from",
        ),
        (Profile(right=PULL, left=PULL, leg_use=Stated("none"), off_balance=Stated("forward")), "leg_use"),
        (Profile(right=PULL, left=PULL, off_balance=Stated("up")), "off_balance"),
        (
            Profile(
                right=PULL,
                left=PULL,
                leg_use=Stated("hook"),
                leg_when=Stated("once he is off it"),
                off_balance=Stated("backward"),
            ),
            "leg_when",
        ),
    ],
)
def test_an_incoherent_profile_raises_a_question(profile: Profile, attribute: str) -> None:
    (question,) = check_mechanics(profile)
    assert question.attribute == attribute
    assert question.text.endswith("?")


def test_a_fall_without_a_cause_raises_a_question() -> None:
    profile = Profile(right=HOLD, left=HOLD, leg_use=Stated("none"), off_balance=Stated("forward"))
    assert [question.attribute for question in check_mechanics(profile)] == ["off_balance", "leg_use"]


@pytest.mark.parametrize(
    "profile",
    [
        Profile(),
        Profile(leg_use=Stated("sweep"), his_side=Stated("right"), off_balance=Stated("right backward")),
        Profile(leg_use=Stated("block"), his_side=Stated("right"), off_balance=Stated("right forward")),
        Profile(leg_use=Stated("block"), contact_from=Stated("behind"), off_balance=Stated("backward")),
        Profile(leg_use=Stated("none"), limb=Stated("hip"), off_balance=Stated("forward")),
        Profile(right=Hand(work=Stated("lift")), off_balance=Stated("up")),
        Profile(ground=Stated("on the ground"), leg_use=Stated("none"), off_balance=Stated("forward")),
    ],
)
def test_a_coherent_or_unstated_profile_raises_no_question(profile: Profile) -> None:
    assert check_mechanics(profile) == ()


@given(PROFILES)
def test_the_other_side_raises_the_same_questions(profile: Profile) -> None:
    here = [question.attribute for question in check_mechanics(profile)]
    assert [question.attribute for question in check_mechanics(mirror(profile))] == here
