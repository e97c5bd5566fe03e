"""The description of a technique says the same in every language, with every value of the English one."""

from dataclasses import fields, replace
from importlib.resources import files
from itertools import combinations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.catalogues import LANGUAGES, voice_of
from termbase.rules.files import read_profiles
from termbase.technique.profile import NamedProfile, Profile, Stated
from tests.termbase.judging.strategies import ATTRIBUTES, HAND, WIDE_PROFILES

OTHERS = tuple(tag for tag in LANGUAGES if tag != "en")


@pytest.fixture(scope="module")
def techniques() -> tuple[NamedProfile, ...]:
    return read_profiles((files("termbase.demo") / "techniques.toml").read_text("utf-8"), "techniques.toml")


@st.composite
def one_value_apart(draw: Any) -> tuple[Profile, Profile]:
    """Return two profiles that differ in one attribute, which either may leave out."""
    profile: Profile = draw(WIDE_PROFILES)
    name = draw(st.sampled_from([*ATTRIBUTES, *(f"right.{each}" for each in HAND)]))
    hand, _, field = name.rpartition(".")
    value: Stated[Any] | None = draw(st.none() | (HAND if hand else ATTRIBUTES)[field])
    if hand:
        return profile, replace(profile, right=replace(profile.right, **{field: value}))
    return profile, replace(profile, **{field: value})


@given(one_value_apart())
def test_what_differs_in_english_differs_in_every_language(pair: tuple[Profile, Profile]) -> None:
    english = [voice_of("en").profile(profile) for profile in pair]
    for tag in OTHERS:
        descriptions = [voice_of(tag).profile(profile) for profile in pair]
        assert (descriptions[0] == descriptions[1]) <= (english[0] == english[1]), (
            tag,
            descriptions[0],
            english,
        )


@given(one_value_apart())
def test_english_has_every_side_and_direction_that_another_language_has(
    pair: tuple[Profile, Profile],
) -> None:
    changed = {f.name for f in fields(Profile) if getattr(pair[0], f.name) != getattr(pair[1], f.name)}
    if changed <= {"contact_inward", "contact_from", "his_side", "limb_side"}:
        descriptions = [[voice_of(tag).profile(profile) for profile in pair] for tag in ("en", *OTHERS)]
        assert len({first == second for first, second in descriptions}) == 1, descriptions


def test_no_two_techniques_of_the_demo_read_alike_in_one_language_only(
    techniques: tuple[NamedProfile, ...],
) -> None:
    for a, b in combinations(techniques, 2):
        alike = {
            tag: voice_of(tag).profile(a.profile) == voice_of(tag).profile(b.profile) for tag in LANGUAGES
        }
        assert len(set(alike.values())) == 1, (a.name, b.name, alike)


@pytest.mark.parametrize(
    ("tag", "back", "inside"),
    [
        ("cy", ("ar ei ochr dde, o'r tu allan, o'r tu ôl", "i'w dde"), ("ar ei ochr chwith, o'r tu mewn",)),
        ("ga", ("ar a thaobh deas, ón taobh amuigh, ón taobh thiar",), ("ar a thaobh clé, ón taobh istigh",)),
        (
            "en",
            ("his right heel from outside and from behind",),
            ("his left heel from inside and from behind",),
        ),
    ],
)
def test_back_heel_and_inside_heel_are_described_differently(
    techniques: tuple[NamedProfile, ...], tag: str, back: tuple[str, ...], inside: tuple[str, ...]
) -> None:
    descriptions = {t.name: voice_of(tag).profile(t.profile) for t in techniques}
    assert [part for part in back if part not in descriptions["back-heel"]] == []
    assert [part for part in inside if part not in descriptions["inside heel"]] == []


def test_every_value_stated_in_the_demo_is_described_in_welsh_and_irish(
    techniques: tuple[NamedProfile, ...],
) -> None:
    names = (
        "limb",
        "limb_side",
        "contact",
        "his_side",
        "contact_inward",
        "contact_from",
        "facing",
        "off_balance",
    )
    for technique in techniques:
        for tag in OTHERS:
            whole = voice_of(tag).profile(technique.profile)
            for name in names:
                if getattr(technique.profile, name) is not None:
                    without = replace(technique.profile, **{name: None})
                    assert voice_of(tag).profile(without) != whole, (tag, technique.name, name)


def test_a_changed_grip_is_not_worded_as_an_agreement() -> None:
    words = voice_of("cy").word("fits with a changed grip")
    assert "newid" in words
    assert "cydymffurfio â" not in words
