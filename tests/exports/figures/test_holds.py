"""Where the hands are in a figure: at the place that the profile names, on the correct side of the
opponent."""

from math import hypot
from typing import get_args
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from exports.figures.body import place_of
from exports.figures.scene import scene_of
from exports.figures.technique import draw_technique
from termbase.demo.loading import load
from termbase.record.entries import Entry
from termbase.technique.profile import PLACES, Facing, Hand, Place, Profile, Stated

SVG = "{http://www.w3.org/2000/svg}"
MOVED = 0.3
"""How far a hand may be from its place, in lengths of a foot: two that hide each other are moved apart."""
HELD = [place for place in PLACES if place_of(place, 1) is not None]
DEMO: list[Entry] = [entry for entry in load().entries if entry.technique]


def hand_on_him(profile: Profile, name: str) -> tuple[float, float]:
    """Return where a hand ends, in his frame: to his right, forward."""
    tree = ElementTree.fromstring(draw_technique(profile))
    (group,) = [g for g in tree.iter(f"{SVG}g") if f"fig-{name}" in g.get("class", "").split()]
    (hand,) = [c for c in group.iter(f"{SVG}circle") if c.get("class", "").startswith("fig-hold")]
    return scene_of(profile).him.seen((float(hand.get("cx", "")), float(hand.get("cy", ""))))


def check(profile: Profile, name: str, place: Place) -> None:
    behind = profile.facing is not None and profile.facing.value == "behind him"
    # holds are taken face to face and kept: the right hand is on his left, unless the thrower is behind him
    side = (1 if name == "right" else -1) * (1 if behind else -1)
    wanted = place_of(place, side)
    assert wanted is not None
    x, y = hand_on_him(profile, name)
    assert hypot(x - wanted[0], y - wanted[1]) <= MOVED, (name, place, (x, y), wanted)


@pytest.mark.parametrize("entry", DEMO, ids=lambda entry: entry.terms[0].text)
def test_the_hands_in_the_demo_are_where_the_profile_says(entry: Entry) -> None:
    profile = entry.technique
    assert profile is not None
    for name, hand in (("right", profile.right), ("left", profile.left)):
        if hand.places and hand.places.value[0] in HELD:
            check(profile, name, hand.places.value[0])


@pytest.mark.parametrize("name", ["cross-buttock", "over-shoulder throw"])
def test_a_thrower_who_turns_his_back_keeps_the_hold(name: str) -> None:
    entry = next(e for e in DEMO if name in [term.text for term in e.terms])
    assert entry.technique is not None
    x, _ = hand_on_him(entry.technique, "right")
    assert x < 0, "the right hand is on the strap of his left shoulder"


@given(
    st.sampled_from(HELD), st.sampled_from(HELD), st.none() | st.sampled_from(get_args(Facing)).map(Stated)
)
def test_a_hand_is_at_its_place_in_every_stance(right: Place, left: Place, facing: Stated[Facing]) -> None:
    profile = Profile(right=Hand(places=Stated((right,))), left=Hand(places=Stated((left,))), facing=facing)
    check(profile, "right", right)
    check(profile, "left", left)


def test_the_opponent_lying_is_an_outline_and_the_thrower_on_him_is_shaded() -> None:
    profile = Profile(off_balance=Stated("backward"), falls_on_him=Stated(True), facing=Stated("front"))
    tree = ElementTree.fromstring(draw_technique(profile))
    fallen, upon = [p for p in tree.iter(f"{SVG}path") if "fig-fall" in p.get("class", "").split()]
    assert "fig-upon" in upon.get("class", "")
    assert fallen.get("fill") == "none"
    (his,) = [p for p in tree.iter(f"{SVG}path") if p.get("class") == "fig-he trunk"]
    (own,) = [p for p in tree.iter(f"{SVG}path") if p.get("class") == "fig-thrower trunk"]
    assert his.get("fill") == "none"
    assert (upon.get("fill"), upon.get("fill-opacity")) == (own.get("fill"), own.get("fill-opacity"))
