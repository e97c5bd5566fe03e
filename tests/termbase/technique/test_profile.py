"""The mechanical profile: its vocabulary and its words."""

from itertools import chain

import pytest
from hypothesis import given

from termbase.technique.profile import (
    KINDS,
    NOT_STATED,
    PLACES,
    USE_KINDS,
    Hand,
    Profile,
    Stated,
    kinds_of,
    mirror,
)
from termbase.technique.words import PLACE_PHRASES, describe
from tests.termbase.judging.strategies import PROFILES


def test_the_demo_hold_is_described_as_in_the_rule_book() -> None:
    profile = Profile(
        right=Hand(places=Stated(("shoulder strap",)), work=Stated("pull")),
        leg_use=Stated("block"),
        limb=Stated("foot"),
        limb_side=Stated("left"),
        contact=Stated(("heel",)),
        his_side=Stated("right"),
        contact_inward=Stated("outside"),
        off_balance=Stated("backward"),
    )
    assert describe(profile) == (
        "Right hand on the shoulder strap, pulling; left foot blocks his right heel from outside;"
        " he falls backward."
    )


@pytest.mark.parametrize(
    ("profile", "sentence"),
    [
        (NOT_STATED, "How it is done is not stated."),
        (Profile(leg_use=Stated("none")), "No leg is used."),
        (Profile(ground=Stated("on the ground")), "It is done on the ground."),
        (
            Profile(right=Hand(places=Stated(("belt",))), left=Hand(places=Stated(("belt",)))),
            "Both hands on the belt.",
        ),
        (
            Profile(leg_use=Stated("reap"), limb_side=Stated("both"), contact=Stated(("knee",))),
            "Both legs reap his knee.",
        ),
        (
            Profile(
                right=Hand(places=Stated(("collar", "lapel", "round the body"))), first_down=Stated("thrower")
            ),
            "Right hand on the collar, lapel or round the body; the thrower goes down first.",
        ),
        (
            Profile(
                ground=Stated("on the ground"),
                pressure=Stated("fingers"),
                left=Hand(places=Stated(("free",))),
            ),
            "On the ground: left hand free; the fingers are bent.",
        ),
    ],
)
def test_only_stated_attributes_are_described(profile: Profile, sentence: str) -> None:
    assert describe(profile) == sentence


def test_the_shoulder_strap_is_a_place_of_the_shoulder_cloth_and_so_of_the_jacket() -> None:
    assert "shoulder strap" in kinds_of("shoulder cloth")
    assert "shoulder strap" in kinds_of("jacket")


def test_every_place_has_a_phrase_and_every_kind_is_in_the_vocabulary() -> None:
    assert set(PLACE_PHRASES) == set(PLACES)
    assert set(chain(*KINDS.values())) < set(PLACES)
    assert set(USE_KINDS["stroke"]) == {"sweep", "kick"}


def test_not_stated_differs_from_none() -> None:
    assert Profile().leg_use is None
    assert Profile(leg_use=Stated("none")) != Profile()


@given(PROFILES)
def test_a_sentence_begins_with_a_capital_and_ends_with_a_full_stop(profile: Profile) -> None:
    text = describe(profile)
    assert text[0].isupper()
    assert text.endswith(".")
    assert "None" not in text


def test_a_mirror_changes_hands_sides_and_directions() -> None:
    profile = Profile(
        right=Hand(places=Stated(("collar",), "slip", "s1")),
        limb_side=Stated("left"),
        his_side=Stated("both"),
        off_balance=Stated("right backward"),
    )
    turned = mirror(profile)
    assert turned.left == profile.right
    assert turned.limb_side == Stated("right")
    assert turned.his_side == Stated("both")
    assert turned.off_balance == Stated("left backward")
