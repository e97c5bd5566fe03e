"""The figure of a technique: what is drawn, what is struck through, and that it is complete in itself."""

from collections.abc import Iterator
from dataclasses import replace
from typing import get_args
from xml.etree import ElementTree

import pytest
import typst
from hypothesis import given
from hypothesis import strategies as st

from exports.figures.hands import STRUCK
from exports.figures.technique import draw_technique
from termbase.demo.loading import load
from termbase.judging.deciding import judge
from termbase.judging.verdict import Reason, Verdict, VerdictWord
from termbase.technique.profile import (
    CONTACTS,
    DIRECTIONS,
    LEG_USES,
    LIMBS,
    NOT_STATED,
    PLACES,
    PRESSURES,
    WORKS,
    Facing,
    Hand,
    Profile,
    Stated,
)
from termbase.technique.words import ATTRIBUTES, StatementText, describe, profile_of

SVG = "{http://www.w3.org/2000/svg}"
HELD = Profile(
    right=Hand(places=Stated(("shoulder strap",)), work=Stated("pull")),
    left=Hand(places=Stated(("belt near side",))),
    facing=Stated("front"),
)


def classes(svg: str) -> set[str]:
    return {c for e in ElementTree.fromstring(svg).iter() for c in e.get("class", "").split()}


def count(svg: str, name: str) -> int:
    return sum(name in e.get("class", "").split() for e in ElementTree.fromstring(svg).iter())


def statements() -> st.SearchStrategy[Profile]:
    def one(attribute: object) -> st.SearchStrategy[StatementText]:
        values, several = attribute.values, attribute.several  # type: ignore[attr-defined]
        return st.lists(st.sampled_from(values), max_size=3 if several else 1, unique=True).map(
            lambda chosen: StatementText(tuple(chosen))
        )

    return st.fixed_dictionaries({a.path: one(a) for a in ATTRIBUTES}).map(profile_of)


@given(statements())
def test_any_profile_gives_a_well_formed_figure_with_a_description(profile: Profile) -> None:
    root = ElementTree.fromstring(draw_technique(profile))
    assert root.get("role") == "img"
    assert root.findtext(f"{SVG}desc") == describe(profile)
    assert all(
        e.get("style") is None for e in root.iter()
    )  # the content policy of the web pages forbids them


@given(statements())
def test_the_same_profile_gives_the_same_bytes_within_the_sheet(profile: Profile) -> None:
    svg = draw_technique(profile)
    assert svg == draw_technique(profile)
    root = ElementTree.fromstring(svg)
    left, top, width, height = (float(n) for n in root.get("viewBox", "").split())
    for circle in root.iter(f"{SVG}circle"):
        x, y, r = (float(circle.get(name, "")) for name in ("cx", "cy", "r"))
        assert left <= x - r
        assert x + r <= left + width
        assert top <= y - r
        assert y + r <= top + height
    assert width >= 320


def test_an_empty_profile_draws_no_hold_no_leg_and_no_fall() -> None:
    found = classes(draw_technique(NOT_STATED))
    assert "unsaid" in found
    assert not found & {"holds", "fig-limb", "fig-off", "fig-fall", "fig-work"}


def test_two_holds_are_two_discs_with_their_letters() -> None:
    root = ElementTree.fromstring(draw_technique(HELD))
    letters = [e.text for e in root.iter(f"{SVG}text") if "fig-letter" in e.get("class", "")]
    assert sorted(letters, key=str) == ["L", "R"]
    assert count(draw_technique(HELD), "fig-hold") == 2


def test_an_alternative_place_is_a_small_ring() -> None:
    more = replace(HELD, right=Hand(places=Stated(("collar", "lapel", "sleeve"))))
    assert count(draw_technique(more), "fig-or") == 2


@pytest.mark.parametrize("use", LEG_USES)
def test_every_use_of_the_leg_but_none_is_drawn(use: str) -> None:
    profile = replace(HELD, leg_use=Stated(use), contact=Stated(("heel",)))  # type: ignore[arg-type]
    assert ("fig-leg" in classes(draw_technique(profile))) == (use != "none")


def one_of_each() -> Iterator[Profile]:
    yield from (replace(HELD, right=Hand(places=Stated((p,)), work=Stated(w))) for p in PLACES for w in WORKS)
    yield from (replace(HELD, leg_use=Stated("hook"), contact=Stated((c,))) for c in CONTACTS)
    yield from (replace(HELD, limb=Stated(part)) for part in LIMBS)
    yield from (
        replace(HELD, facing=Stated(f), off_balance=Stated(d)) for f in get_args(Facing) for d in DIRECTIONS
    )
    yield from (replace(HELD, pressure=Stated(p)) for p in PRESSURES)


def test_every_value_of_the_vocabulary_gives_a_different_figure() -> None:
    figures = [draw_technique(profile) for profile in one_of_each()]
    assert len(set(figures)) > len(figures) * 0.9


def test_what_a_verdict_bars_is_struck_through_and_described() -> None:
    demo = load()
    fair, entries = demo.codes[0], {e.id: e for e in demo.entries}
    kick = entries["c0043"].technique
    assert kick is not None
    verdict = judge(kick, fair)
    assert verdict.word == "breaks the rules"
    assert "fig-strike" not in classes(draw_technique(kick))
    assert "fig-strike" in classes(draw_technique(kick, verdict))
    assert "barred" in str(ElementTree.fromstring(draw_technique(kick, verdict)).findtext(f"{SVG}desc"))


def test_a_changed_grip_strikes_the_hold_and_shows_where_it_could_go() -> None:
    demo = load()
    entries = {e.id: e for e in demo.entries}
    heel = entries["c0015"].technique
    assert heel is not None
    verdict = judge(heel, demo.codes[2])
    assert verdict.word == "fits with a changed grip"
    found = classes(draw_technique(heel, verdict))
    assert {"fig-strike", "could"} <= found


@pytest.mark.parametrize(
    ("attribute", "profile"),
    [
        ("pressure", replace(HELD, pressure=Stated("neck"))),
        ("first_down", replace(HELD, off_balance=Stated("backward"), first_down=Stated("thrower"))),
        ("leg_use", replace(HELD, leg_use=Stated("kick"), contact=Stated(("shin",)))),
        ("left.places", HELD),
    ],
)
def test_a_stroke_is_drawn_over_everything_it_bars(attribute: str, profile: Profile) -> None:
    reason = Reason(("F1",), (), attribute, "described", "", False, "barred")
    svg = draw_technique(
        profile, Verdict(VerdictWord.BREAKS, "r1", reasons=(reason,)), description="description"
    )
    assert count(svg, STRUCK) == 1
    after = svg[svg.index(STRUCK) :]
    assert "trunk" not in after, "nothing of a body is drawn over the stroke"


def test_a_figure_without_ids_still_has_a_description() -> None:
    root = ElementTree.fromstring(draw_technique(HELD, key=None))
    assert not [e for e in root.iter() if e.get("id")]
    assert root.findtext(f"{SVG}desc") == describe(HELD)


def test_figures_on_a_page_have_different_ids() -> None:
    one, other = draw_technique(HELD, key="1"), draw_technique(HELD, key="2")
    ids = [e.get("id") for svg in (one, other) for e in ElementTree.fromstring(svg).iter() if e.get("id")]
    assert len(ids) == len(set(ids)) == 4


def test_the_demo_figures_fit_a_narrow_column(tmp_path: object) -> None:
    profiles = [e.technique for e in load().entries if e.technique][:6]
    files = {f"{n}.svg": draw_technique(p).encode() for n, p in enumerate(profiles)}
    page = "#set page(width: 64mm, height: auto, margin: 2mm)\n" + "\n".join(
        f'#image("{name}", width: 60mm, alt: "a technique")' for name in files
    )
    made = typst.compile({"main.typ": page.encode(), **files}, format="pdf")
    assert bytes(made).startswith(b"%PDF")
