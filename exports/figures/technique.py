"""A technique as a figure: both wrestlers seen from above, drawn from its profile and nothing else.

What is not stated is not drawn, or is dashed if the figure needs it. Holds are filled discs, other possible
places small rings; what a verdict bars is struck through, and a dashed ring shows where a hand could go
instead. The figure's description says the same in words; the figure is never the only source of any
information.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from html import escape
from typing import Final

from exports.figures.body import SIDES, draw_belt, draw_leg, draw_trunk
from exports.figures.canvas import Canvas, Frame, Point, along
from exports.figures.hands import draw_hands, draw_strike
from exports.figures.legs import (
    draw_carried,
    draw_fall,
    draw_off_balance,
    draw_standing,
    draw_support,
    draw_working,
    strike_fall,
)
from exports.figures.scene import COMPASS, Scene, scene_of, value_of
from termbase.judging.verdict import Verdict
from termbase.judging.wording import to_words
from termbase.technique.profile import Profile
from termbase.technique.words import describe

__all__ = ["Words", "draw_technique"]

WIDTH: Final = 320.0
MARGIN: Final = 8.0
_LEG_ATTRIBUTES: Final = frozenset({"leg_use", "leg_when", "contact", "limb"})
_FALL_ATTRIBUTES: Final = frozenset({"first_down", "falls_on_him"})


@dataclass(frozen=True, slots=True)
class Words:
    """The words in a figure.

    Attributes:
        title: what the figure shows.
        he, thrower: the two wrestlers.
        right, left: letters for the thrower's hands.
        both_down, thrower_down: who comes down, if not only the opponent.
        on_him: used if the thrower comes down on him.
        grounded: used for actions on the ground.
        pressed: comes before the part under pressure.
        parts: names of parts under pressure, where they differ from the words of the profile.
    """

    title: str = "Both wrestlers from above"
    he: str = "he"
    thrower: str = "thrower"
    right: str = "R"
    left: str = "L"
    both_down: str = "both go down"
    thrower_down: str = "thrower goes down first"
    on_him: str = "thrower comes down on him"
    grounded: str = "on the ground"
    pressed: str = "pressure"
    parts: Mapping[str, str] = field(default_factory=dict)


ENGLISH: Final = Words()


def draw_technique(
    profile: Profile,
    verdict: Verdict | None = None,
    words: Words = ENGLISH,
    key: str | None = "",
    description: str = "",
) -> str:
    """Return the figure of a technique as one SVG element, at least 320 units wide.

    Args:
        profile: the profile to draw.
        verdict: a verdict on it; what it bars is struck through.
        words: the words in the figure.
        key: makes the ids in it unique if the same figure appears twice on a page; None for no ids.
        description: the figure in words; by default what the profile states and what is barred, in English.

    The same profile, verdict and words always give the same bytes. It is complete as a file; in a page, a
    style sheet may colour its classes.
    """
    scene = scene_of(profile)
    barred = frozenset(r.attribute.split(".")[0] for r in verdict.breaches) if verdict else frozenset[str]()
    grips = verdict.grips if verdict else ()
    canvas = Canvas()
    draw_fall(canvas, scene, profile, bool(barred & _FALL_ATTRIBUTES))
    _draw_him(canvas, scene, profile)
    _draw_thrower(canvas, scene, profile, bool(barred & _LEG_ATTRIBUTES))
    draw_off_balance(canvas, scene, profile)
    _draw_pressure(canvas, scene, profile, "pressure" in barred)
    draw_hands(
        canvas,
        scene,
        {"right": profile.right, "left": profile.left},
        {"right": words.right, "left": words.left},
        barred & {"right", "left"} | {g.hand for g in grips if not g.keep},
        grips,
    )
    if barred & _FALL_ATTRIBUTES:
        strike_fall(canvas, scene, profile)
    _draw_words(canvas, scene, profile, words)
    return _framed(canvas, words.title, description or _description(profile, verdict), key)


def _draw_him(canvas: Canvas, scene: Scene, profile: Profile) -> None:
    canvas.open_group("fig-him")
    if profile.off_balance and profile.off_balance.value in COMPASS:
        draw_support(canvas, scene)
    for side in (1, -1):
        draw_leg(canvas, scene.him, side, "fig-he")
    draw_trunk(canvas, scene.him, "fig-he", solid=False)
    if any(
        "belt" in place
        for hand in (profile.right, profile.left)
        if hand.places
        for place in hand.places.value
    ):
        draw_belt(canvas, scene.him, "fig-he")
    canvas.close_group()


def _draw_thrower(canvas: Canvas, scene: Scene, profile: Profile, barred: bool) -> None:
    canvas.open_group("fig-self")
    draw_standing(canvas, scene, profile)
    knee = draw_working(canvas, scene, profile, barred)
    draw_trunk(canvas, scene.thrower, "fig-thrower", solid=True, unsure=not scene.sure)
    draw_carried(canvas, scene, profile)
    if barred and knee:
        draw_strike(canvas, knee, 13)
    canvas.close_group()


_PRESSED_AT: Final[dict[str, Point]] = {
    "neck": (0.0, -0.05),
    "throat": (0.0, 0.5),
    "spine": (0.0, -0.35),
    "shoulder": (0.76, 0.08),
    "elbow": (1.16, 0.5),
    "wrist": (0.98, 1.14),
    "fingers": (0.95, 1.28),
    "hip": (0.4, -0.5),
    "knee": (0.45, 0.1),
    "ankle": (0.5, 0.6),
}


def _draw_pressure(canvas: Canvas, scene: Scene, profile: Profile, barred: bool) -> None:
    """Draw two arrows that close on the part under pressure; words if no part is named."""
    part = value_of(profile.pressure)
    if part in {"", "none"}:
        return
    if part not in _PRESSED_AT:
        return
    x, y = _PRESSED_AT[part]
    at = scene.him.at((x * scene.held(SIDES["right"]), y))
    canvas.open_group(f"fig-pressure{' fig-barred' if barred else ''}")
    for turned in (1, -1):
        far = (at[0] + turned * 24, at[1] - 14 * turned)
        canvas.arrow(far, along(at, far, 5), "fig-press", width=2.4, head=9)
    if barred:
        draw_strike(canvas, at, 16)
    canvas.close_group()


def _draw_words(canvas: Canvas, scene: Scene, profile: Profile, words: Words) -> None:
    _name(canvas, words.he, scene.him)
    _name(canvas, words.thrower, scene.thrower)
    low = max(y for _, y in canvas.seen) + 18
    pressed = value_of(profile.pressure)
    notes = [
        {"both": words.both_down, "thrower": words.thrower_down}.get(value_of(profile.first_down), ""),
        words.on_him if profile.falls_on_him and profile.falls_on_him.value else "",
        words.grounded if value_of(profile.ground) == "on the ground" else "",
        f"{words.pressed}: {words.parts.get(pressed, pressed)}" if pressed not in {"", "none"} else "",
    ]
    note_line = " · ".join(note for note in notes if note)
    if note_line:
        canvas.text((scene.him.x, low), note_line, "fig-word fig-note", font_size=14.0)


_SPOTS: Final[tuple[Point, ...]] = (
    (0, -1.25),
    (1.5, -0.45),
    (-1.5, -0.45),
    (0, -1.7),
    (2.0, 0.2),
    (-2.0, 0.2),
    (0, -2.2),
)
"""Possible places for a wrestler's label, in his own frame, best first."""


def _name(canvas: Canvas, word: str, frame: Frame) -> None:
    """Draw a wrestler's label at the first of its places where nothing else is drawn."""
    half = 4 + 3.6 * len(word)
    spots = [frame.at(spot) for spot in _SPOTS]

    def clear(at: Point) -> float:
        return min(max(abs(x - at[0]) - half, abs(y - at[1]) - 9) for x, y in canvas.seen)

    at = next((spot for spot in spots if clear(spot) > 2), max(spots, key=clear))
    canvas.text((at[0], at[1] + 5), word, "fig-word", font_style="italic", font_size=15.0)


def _description(profile: Profile, verdict: Verdict | None) -> str:
    """Return the description: what the profile states, and what is barred and changed."""
    sentences = [describe(profile)]
    if verdict:
        sentences += [to_words(reason) for reason in verdict.breaches]
        sentences += [to_words(grip) for grip in verdict.grips]
    return " ".join(sentences)


def _framed(canvas: Canvas, title: str, description: str, key: str | None) -> str:
    left, top, width, height = canvas.box(MARGIN, WIDTH)
    view = f"{left:.0f} {top:.0f} {width:.0f} {height:.0f}"
    size = f'width="{width:.0f}" height="{height:.0f}"'
    labelled, title_id, description_id = "", "", ""
    if key is not None:
        own = sha256("\n".join((key, description, *canvas.pieces)).encode()).hexdigest()[:8]
        labelled = f' aria-labelledby="ft-{own} fd-{own}"'
        title_id, description_id = f' id="ft-{own}"', f' id="fd-{own}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="technique" role="img" viewBox="{view}" '
        f"{size}{labelled}>"
        f"<title{title_id}>{escape(title)}</title><desc{description_id}>{escape(description)}</desc>"
        f"{''.join(canvas.pieces)}</svg>"
    )
