"""A wrestler seen from above: trunk, head, legs, feet, and where a hand or a leg may be on him.

Measurements are in lengths of his foot, in his own frame: to his right, forward. They show a man in a hold,
leaning forward over his feet, with the feet a little in front of him so that leg actions are visible (drawn
by eye, no source).
"""

from typing import Final

from exports.figures.canvas import GROUND, INK, Canvas, Frame, Point, between
from termbase.technique.profile import Contact, Place

__all__ = [
    "HIPS", "SIDES", "arm_of", "draw_arm", "draw_belt", "draw_foot", "draw_leg", "draw_trunk", "hip_joint",
    "leg_point", "place_of", "shoulder", "touched",
]  # fmt: skip

Side = int
"""1 for the right of this body, -1 for its left."""

SIDES: Final[dict[str, Side]] = {"right": 1, "left": -1}
HIPS: Final[Point] = (0.0, -0.5)
HEAD: Final[Point] = (0.0, 0.2)
HEAD_SIZE: Final = 0.3

_TRUNK: Final[tuple[tuple[str, tuple[Point, ...]], ...]] = (
    ("M", ((0.84, 0.05),)),
    ("C", ((0.84, 0.3), (0.5, 0.37), (0, 0.37))),
    ("C", ((-0.5, 0.37), (-0.84, 0.3), (-0.84, 0.05))),
    ("C", ((-0.84, -0.18), (-0.58, -0.22), (-0.54, -0.5))),
    ("C", ((-0.53, -0.76), (-0.3, -0.84), (0, -0.84))),
    ("C", ((0.3, -0.84), (0.53, -0.76), (0.54, -0.5))),
    ("C", ((0.58, -0.22), (0.84, -0.18), (0.84, 0.05))),
    ("Z", ()),
)
_BELT: Final[tuple[tuple[str, tuple[Point, ...]], ...]] = (
    ("M", ((-0.55, -0.44),)),
    ("C", ((-0.3, -0.26), (0.3, -0.26), (0.55, -0.44))),
)
_NOSE: Final[tuple[tuple[str, tuple[Point, ...]], ...]] = (
    ("M", ((-0.11, 0.47),)),
    ("L", ((0, 0.62), (0.11, 0.47))),
)
_SOLE: Final[tuple[tuple[str, tuple[Point, ...]], ...]] = (
    ("M", ((0, -0.12),)),
    ("C", ((0.16, -0.12), (0.17, 0.08), (0.15, 0.28))),
    ("C", ((0.13, 0.45), (0.26, 0.55), (0.22, 0.76))),
    ("C", ((0.18, 0.93), (-0.06, 0.95), (-0.13, 0.8))),
    ("C", ((-0.2, 0.62), (-0.13, 0.45), (-0.14, 0.28))),
    ("C", ((-0.18, 0.08), (-0.16, -0.12), (0, -0.12))),
    ("Z", ()),
)
"""The sole of a right foot relative to its ankle, the toes forward."""

_ARM: Final[tuple[Point, Point, Point]] = ((0.74, 0.1), (1.16, 0.5), (0.98, 1.14))
_PLACES: Final[dict[Place, Point]] = {
    "jacket": (0.46, 0.3),
    "collar": (0.4, 0.02),
    "lapel": (0.3, 0.52),
    "shoulder cloth": (0.76, 0.08),
    "shoulder strap": (0.6, 0.06),
    "sleeve": (1.06, 0.4),
    "elbow cloth": (1.17, 0.56),
    "back cloth": (0.24, -0.28),
    "front cloth": (0.2, 0.56),
    "belt": (0.6, -0.52),
    "belt front": (0.14, -0.3),
    "belt near side": (0.58, -0.46),
    "belt far side": (-0.58, -0.46),
    "belt back": (0.0, -0.86),
    "arm": (1.0, 0.36),
    "upper arm": (0.97, 0.32),
    "forearm": (1.09, 0.8),
    "wrist": (1.0, 1.06),
    "fingers": (0.95, 1.28),
    "head": (0.22, 0.22),
    "hair": (0.1, 0.1),
    "ear": (0.32, 0.2),
    "neck": (0.14, -0.1),
    "throat": (0.12, 0.54),
    "round the body": (-0.18, -0.88),
    "round the body over the arm": (-0.18, -0.7),
    "round the body under the arm": (-0.18, -0.88),
    "crotch": (0.0, 0.72),
}
"""The position of each place, on his right side; places on the legs lie along the leg."""

_ALONG_LEG: Final[dict[str, float]] = {
    "trouser cloth": 0.45, "leg": 0.55, "thigh": 0.3, "inner thigh": 0.3, "outer thigh": 0.3, "knee": 0.52,
    "shin": 0.76, "calf": 0.76, "ankle": 0.94, "heel": 1.0, "foot": 1.12,
}  # fmt: skip
"""How far down the leg a part is; the ankle is 1."""

_TRUNK_PARTS: Final[dict[Contact, Point]] = {
    "crotch": (0.0, -0.05),
    "hip": (0.5, -0.5),
    "belly": (0.0, 0.1),
    "trunk": (0.0, 0.2),
    "chest": (0.0, 0.42),
    "shoulder": (0.76, 0.12),
    "arm": (1.0, 0.36),
    "neck": (0.1, 0.0),
    "head": (0.2, 0.25),
}


def shoulder(side: Side) -> Point:
    """Return where an arm begins."""
    return (side * _ARM[0][0], _ARM[0][1])


def hip_joint(side: Side) -> Point:
    """Return where a leg begins."""
    return (side * 0.34, -0.1)


def ankle(side: Side) -> Point:
    """Return where a standing foot is."""
    return (side * 0.55, 0.95)


def arm_of(side: Side) -> tuple[Point, Point, Point]:
    """Return shoulder, elbow and wrist of an arm held in front of him."""
    shoulder_at, elbow, wrist = ((side * x, y) for x, y in _ARM)
    return shoulder_at, elbow, wrist


def leg_point(part: str, side: Side) -> Point:
    """Return the position of a part of a leg."""
    return between(hip_joint(side), ankle(side), _ALONG_LEG[part])


def place_of(place: Place, side: Side) -> Point | None:
    """Return where a hand on that side of him holds; None if it does not hold him."""
    if place in _ALONG_LEG:
        x, y = leg_point(place, side)
        return (x + side * 0.14, y)
    if place not in _PLACES:
        return None
    x, y = _PLACES[place]
    return (side * x, y)


def touched(part: Contact, side: Side) -> Point:
    """Return where a limb touches him."""
    if part in _ALONG_LEG:
        return leg_point(part, side)
    x, y = _TRUNK_PARTS[part]
    return (side * x, y)


def draw_trunk(canvas: Canvas, frame: Frame, who: str, *, solid: bool, unsure: bool = False) -> None:
    """Draw trunk and head; the solid figure is shaded with a filled head, the other is an outline."""
    dashes = {"stroke_dasharray": "3 3"} if unsure else {}
    canvas.shape(
        _TRUNK, frame, f"{who} under", fill=GROUND, fill_opacity=0.82 if solid else 0.6, stroke="none"
    )
    shade = {"fill": INK, "fill_opacity": 0.14} if solid else {}
    canvas.shape(_TRUNK, frame, f"{who} trunk", stroke_width=1.8, **shade, **dashes)
    canvas.shape(_NOSE, frame, f"{who} nose", stroke_width=1.6, fill=INK if solid else GROUND)
    canvas.circle(
        frame.at(HEAD), HEAD_SIZE * frame.unit, f"{who} head", stroke_width=1.6, fill=INK if solid else GROUND
    )


def draw_belt(canvas: Canvas, frame: Frame, who: str) -> None:
    """Draw the belt, if there may be a hold on it."""
    canvas.shape(_BELT, frame, f"{who} belt", stroke_width=1, stroke_dasharray="1 2.5")


def draw_leg(canvas: Canvas, frame: Frame, side: Side, who: str, **more: object) -> None:
    """Draw a standing leg, seen through the trunk, and its foot."""
    a, b = frame.at(hip_joint(side)), frame.at(ankle(side))
    canvas.line((a, b), f"{who} leg", stroke_width=1.2, stroke_opacity=0.55, **more)
    draw_foot(canvas, Frame(*b, frame.turn + side * 10, 0.86 * frame.unit), side, who, **more)


def draw_foot(canvas: Canvas, frame: Frame, side: Side, who: str, **more: object) -> None:
    """Draw the sole of a foot whose ankle is at the origin of the frame."""
    outline = [(c, tuple((side * x, y) for x, y in points)) for c, points in _SOLE]
    own = {"stroke_width": 1.3, "fill": GROUND} | dict(more)
    canvas.shape(outline, frame, f"{who} foot", **own)


def draw_arm(canvas: Canvas, frame: Frame, side: Side, who: str) -> None:
    """Draw an arm held in front of him, in outline, for a hold on that arm."""
    for width, ink in ((8, INK), (5.4, GROUND)):
        canvas.line((frame.at(p) for p in arm_of(side)), f"{who} arm{'' if ink is INK else ' inside'}",
                    stroke_width=width, stroke=ink)  # fmt: skip
