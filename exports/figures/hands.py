"""The thrower's hands: where they hold, what they do, which holds are barred and where else they could go."""

from typing import Final

from exports.figures.body import SIDES, draw_arm, place_of, shoulder
from exports.figures.canvas import GROUND, INK, Canvas, Frame, Point, along, apart, between, numbers
from exports.figures.scene import Scene, value_of
from termbase.judging.verdict import GripChange
from termbase.technique.profile import Hand, Place

__all__ = ["HAND_SIZE", "STRUCK", "draw_hands", "draw_strike"]

HAND_SIZE: Final = 10.5
STRUCK: Final = "fig-strike"
"""The class of a stroke through what is barred; without one, nothing in the figure is struck through."""

_ON_ARM: Final = frozenset({"sleeve", "elbow cloth", "arm", "upper arm", "forearm", "wrist", "fingers"})
_ROUND: Final = frozenset({"round the body", "round the body over the arm", "round the body under the arm"})
_FREE: Final[Point] = (1.12, 0.85)


def draw_hands(
    canvas: Canvas,
    scene: Scene,
    hands: dict[str, Hand],
    letters: dict[str, str],
    barred: frozenset[str],
    changes: tuple[GripChange, ...],
) -> None:
    """Draw both arms, then both hands over them; a barred hold is struck through.

    Args:
        hands: by `right` and `left`.
        letters: the letter in each hand.
        barred: the hands whose hold is barred.
        changes: where a hand could go instead.
    """
    ends = _ends(scene, hands)
    for name in hands:
        if any(place in _ON_ARM for place in _places(hands[name])):
            draw_arm(canvas, scene.him, scene.held(SIDES[name]), "fig-he")
    for name, hand in hands.items():
        _draw_reach(canvas, scene, name, hand, ends[name], name in barred)
    for name, hand in hands.items():
        canvas.open_group(f"fig-hand fig-{name}{' fig-barred' if name in barred else ''}")
        _draw_others(canvas, scene, name, hand, tuple(ends.values()))
        _draw_work(canvas, scene, hand, name, ends)
        _draw_hand(canvas, ends[name], letters[name], "barred" if name in barred else _kind(hand))
        canvas.close_group()
    for change in changes:
        _draw_change(canvas, scene, change, ends[change.hand], letters[change.hand])


def draw_strike(canvas: Canvas, at: Point, half: float) -> None:
    """Draw a stroke through what is barred, on a halo that sets it off from what it crosses."""
    ends = ((at[0] - half, at[1] + half), (at[0] + half, at[1] - half))
    canvas.line(ends, "fig-halo", stroke=GROUND, stroke_width=7)
    canvas.line(ends, STRUCK, stroke_width=2.8)


def _places(hand: Hand) -> tuple[Place, ...]:
    return hand.places.value if hand.places else ()


def _kind(hand: Hand) -> str:
    """Return *unsaid*, *free* or *holds*; a verdict adds *barred*."""
    places = _places(hand)
    if not places:
        return "unsaid"
    return "free" if places[0] == "free" else "holds"


def _ends(scene: Scene, hands: dict[str, Hand]) -> dict[str, Point]:
    ends: dict[str, Point] = {}
    for name, hand in hands.items():
        side = SIDES[name]
        places = _places(hand)
        at = place_of(places[0], scene.held(side)) if places else None
        ends[name] = scene.him.at(at) if at else scene.thrower.at((side * _FREE[0], _FREE[1]))
    for name, hand in hands.items():
        if _places(hand)[:1] == ("own other hand",):
            other = ends["left" if name == "right" else "right"]
            side = scene.held(SIDES[name])
            x, y = scene.him.seen(other)
            ends[name] = scene.him.at((x + side * 0.42, y))
    ends["right"], ends["left"] = _parted(scene, ends["right"], ends["left"])
    return ends


def _parted(scene: Scene, right: Point, left: Point) -> tuple[Point, Point]:
    """Move apart two hands that would hide each other, no further than needed."""
    wanted, now = 2 * HAND_SIZE + 2, apart(right, left)
    if now >= wanted:
        return right, left
    if now < 1:  # at the same spot: the right hand on the side of the thrower's right
        sign = 1 if scene.thrower.at((1, 0))[0] >= scene.thrower.at((0, 0))[0] else -1
        return (right[0] + sign * wanted / 2, right[1]), (left[0] - sign * wanted / 2, left[1])
    by = (wanted - now) / 2
    return along(right, left, -by), along(left, right, -by)


def _draw_reach(canvas: Canvas, scene: Scene, name: str, hand: Hand, end: Point, barred: bool) -> None:
    side = SIDES[name]
    start = scene.thrower.at(shoulder(side))
    more: dict[str, object] = {"stroke_width": 4.6}
    if _kind(hand) != "holds":
        more = (
            {"stroke_width": 1.4, "stroke_dasharray": "3 4"}
            if _kind(hand) == "unsaid"
            else {"stroke_width": 2}
        )
    elif barred:
        more = {"stroke_width": 4.6, "stroke_dasharray": "6 5", "stroke_linecap": "butt"}
    kind = f"fig-reach{' fig-barred' if barred else ''}"
    if _places(hand)[:1] and (_places(hand)[0] in _ROUND or _places(hand)[0] == "belt back"):
        near = scene.held(side)
        out = scene.him.at((near * 1.12, 0.35 if "under" in _places(hand)[0] else 0.1))
        back = scene.him.at((near * 1.15, -1.05))
        corner = (out[0] + (out[0] - start[0]) * 0.1, start[1])
        d = "M{}Q{} {}Q{} {}".format(*numbers(start, corner, out, back, end))
        canvas.path(d, (start, out, between(out, back, 0.6), end), kind, **more)
        return
    canvas.curve(start, _bend(scene.thrower, side, start, end), end, kind, **more)


def _bend(thrower: Frame, side: int, start: Point, end: Point) -> Point:
    """Return the bend of an arm, which bows away from the trunk."""
    outward = thrower.at((side * 2, 0))
    centre = thrower.at((0, 0))
    middle = between(start, end, 0.42)
    by = min(0.32 * apart(start, end), 26)
    whole = apart(centre, outward) or 1
    return (
        middle[0] + (outward[0] - centre[0]) / whole * by,
        middle[1] + (outward[1] - centre[1]) / whole * by,
    )


def _draw_hand(canvas: Canvas, at: Point, letter: str, kind: str) -> None:
    full = kind == "holds"
    more: dict[str, object] = {} if kind != "unsaid" else {"stroke_dasharray": "2.5 2.5"}
    canvas.circle(at, HAND_SIZE, f"fig-hold {kind}", fill=INK if full else GROUND, stroke_width=1.8, **more)
    foot, shown = (at[0], at[1] + 4.8), letter if kind != "unsaid" else "?"
    if kind == "barred":
        draw_strike(canvas, at, HAND_SIZE + 5)
        # A separate halo beneath the letter: SVG 1.1, and so EPUB, has no paint-order.
        canvas.text(foot, shown, "fig-halo", font_size=13.0, font_weight=600, fill=GROUND,
                    stroke=GROUND, stroke_width=3.5, stroke_linejoin="round")  # fmt: skip
    canvas.text(foot, shown, f"fig-letter {kind}", font_size=13.0, font_weight=600,
                fill=GROUND if full else INK)  # fmt: skip


def _draw_others(canvas: Canvas, scene: Scene, name: str, hand: Hand, taken: tuple[Point, ...]) -> None:
    """Draw the other possible places, except those covered by a hand."""
    for place in _places(hand)[1:]:
        place_on_him = place_of(place, scene.held(SIDES[name]))
        at = scene.him.at(place_on_him) if place_on_him else None
        if at and min(apart(at, hand_at) for hand_at in taken) > HAND_SIZE + 2:
            canvas.circle(at, 3.6, "fig-or", fill=GROUND, stroke_width=1.6)


def _draw_work(canvas: Canvas, scene: Scene, hand: Hand, name: str, ends: dict[str, Point]) -> None:
    """Draw what a hand does, beside it and away from the other."""
    work, at = value_of(hand.work), ends[name]
    other = ends["left" if name == "right" else "right"]
    if _kind(hand) != "holds" or not work:
        return
    outward = 1 if at[0] >= (other[0] if apart(at, other) < 5 * HAND_SIZE else scene.him.x) else -1
    here = (at[0] + outward * (HAND_SIZE + 9), at[1])
    home = scene.thrower.at(shoulder(SIDES[name]))
    if apart(here, home) < 3 * HAND_SIZE:
        home = scene.thrower.at((0, -2))
    if work == "pull":
        canvas.arrow(along(here, home, -10), along(here, home, 18), "fig-work", width=2.2, head=10)
    elif work == "push":
        canvas.arrow(along(here, home, 12), along(here, home, -16), "fig-work", width=2.2, head=10)
    elif work == "lift":
        draw_up(canvas, here, 7, "fig-work")
    elif work == "lock":
        canvas.circle(at, HAND_SIZE + 3.8, "fig-work", stroke_width=1.6)
    elif work == "steer":
        a, b = (here[0], here[1] + 11), (here[0], here[1] - 11)
        bend = (here[0] + outward * 12, here[1])
        canvas.curve(a, bend, b, "fig-work", stroke_width=1.8)
        canvas.head(bend, b, "fig-work", 7)
        canvas.head(bend, a, "fig-work", 7)


def draw_up(canvas: Canvas, at: Point, size: float, kind: str) -> None:
    """Draw the tip of an arrow that comes up out of the sheet: a ring with a dot."""
    canvas.circle(at, size, kind, fill=GROUND, stroke_width=1.7)
    canvas.circle(at, size * 0.32, kind, fill=INK, stroke="none")


def _draw_change(canvas: Canvas, scene: Scene, change: GripChange, at: Point, letter: str) -> None:
    to = next((p for p in change.to if p not in change.places and p not in {"free", "own other hand"}), None)
    place = place_of(to, scene.held(SIDES[change.hand])) if to else None
    if place is None:
        return
    new = scene.him.at(place)
    if apart(new, at) < 2 * HAND_SIZE + 8:  # moved outward, so that both can be seen
        new = along(at, new if apart(new, at) > 1 else scene.thrower.at((0, 0)), 2 * HAND_SIZE + 9)
    canvas.open_group("fig-change")
    edge, rim = along(at, new, HAND_SIZE + 2), along(new, at, HAND_SIZE + 1)
    canvas.arrow(edge, rim, "fig-move", width=1.4, head=6, stroke_dasharray="2 2.5")
    canvas.circle(new, HAND_SIZE, "fig-hold could", fill=GROUND, stroke_width=1.6, stroke_dasharray="3 2.4")
    canvas.text((new[0], new[1] + 4.8), letter, "fig-letter", font_size=13.0, font_weight=600)
    canvas.close_group()
