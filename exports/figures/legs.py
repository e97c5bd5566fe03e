"""The thrower's legs, the off-balance, and the fall.

The leg that acts on him and what it does, the standing leg, the edge of his support, where he is broken to,
and who comes down where.
"""

from typing import Final

from exports.figures.body import ankle, draw_foot, draw_leg, hip_joint, touched
from exports.figures.canvas import GROUND, INK, Canvas, Frame, Point, along, angle, apart, between, numbers
from exports.figures.hands import draw_strike, draw_up
from exports.figures.scene import COMPASS, Scene, value_of
from termbase.technique.profile import Contact, Profile

__all__ = [
    "draw_carried",
    "draw_fall",
    "draw_off_balance",
    "draw_standing",
    "draw_working",
    "fall_frame",
    "strike_fall",
]


_BODY_LIMBS: Final[dict[str, Point]] = {
    "hip": (0.5, -0.55),
    "back": (0.0, -0.84),
    "shoulder": (0.78, 0.08),
    "trunk": (0.0, -0.84),
    "arm": (0.9, 0.3),
}


def draw_standing(canvas: Canvas, scene: Scene, profile: Profile) -> None:
    """Draw the leg or legs that the thrower stands on; dashed if it is not stated what the legs do."""
    unstated = profile.leg_use is None and not scene.works
    more: dict[str, object] = {"stroke_dasharray": "3 3"} if unstated else {"fill": INK, "fill_opacity": 0.3}
    both = value_of(profile.limb_side) == "both"
    for side in (1, -1):
        if not scene.works or (side != scene.limb_side and not both):
            draw_leg(canvas, scene.thrower, side, "fig-thrower", **more)


def draw_carried(canvas: Canvas, scene: Scene, profile: Profile) -> None:
    """Draw the hip, back or shoulder he is taken over: a thick edge where it touches him."""
    limb = value_of(profile.limb)
    if limb not in _BODY_LIMBS or scene.works:
        return
    x, y = _BODY_LIMBS[limb]
    if limb == "trunk" and not scene.turned_away:
        y = 0.36
    centre = scene.thrower.at((scene.limb_side * x, y))
    inner = scene.thrower.at((0, y * 0.3))
    out = along(inner, centre, apart(inner, centre) + 5)
    ends = (along(out, inner, 7, 15), along(out, inner, 7, -15))
    canvas.curve(ends[0], along(out, inner, -5), ends[1], "fig-limb", stroke_width=6)


def draw_working(canvas: Canvas, scene: Scene, profile: Profile, barred: bool) -> Point | None:
    """Draw the working leg from the hip to where it touches him, ending in what it does there.

    Returns:
        the best place on it for a stroke through it; None if no leg works.
    """
    if not scene.works:
        return None
    sides = (1, -1) if value_of(profile.limb_side) == "both" else (scene.limb_side,)
    parts = profile.contact.value if profile.contact else ()
    part: Contact = parts[0] if parts else "leg"
    canvas.open_group(f"fig-leg{' fig-barred' if barred else ''}")
    ends = []
    for side in sides:
        his = scene.his_side if len(sides) == 1 else scene.across(side)
        ends.append(_draw_one(canvas, scene, profile, side, touched(part, his), his))
    for other in parts[1:]:
        canvas.circle(scene.him.at(touched(other, scene.his_side)), 3, "fig-touch", fill=INK, stroke=GROUND)
    if value_of(profile.his_side) == "both" and len(sides) == 1:
        canvas.circle(scene.him.at(touched(part, -scene.his_side)), 4, "fig-touch", fill=INK, stroke=GROUND)
    canvas.close_group()
    return ends[0]


def _draw_one(canvas: Canvas, scene: Scene, profile: Profile, side: int, at: Point, his: int) -> Point:
    """Draw one leg; return its knee, the best place for a stroke through it."""
    use = value_of(profile.leg_use)
    inward = {"outside": 1.0, "inside": -1.0}.get(value_of(profile.contact_inward), 0.0) * his
    depth = {"front": 1.0, "behind": -1.0}.get(value_of(profile.contact_from), 0.0)
    hip = scene.thrower.at(hip_joint(side))
    target = scene.him.at(at)
    if use == "hook":
        return _hook(canvas, scene, hip, at, inward, depth or -1.0, side)
    reach = {"block": 0.3, "kick": 0.16, "stroke": 0.16, "placed": 0.5, "sweep": 0.2, "reap": 0.2}.get(
        use, 0.12
    )
    end = scene.him.at((at[0] + inward * reach * 1.2, at[1] + depth * reach))
    if not inward and not depth:
        end = along(target, hip, reach * scene.him.unit)
    knee = _knee(scene, hip, end, side)
    doubtful: dict[str, object] = (
        {"stroke_dasharray": "7 5", "stroke_linecap": "butt"} if use == "trip" else {}
    )
    canvas.curve(hip, knee, end, "fig-limb", stroke_width=6.5, **doubtful)
    _end(canvas, scene, use, end, target, hip, side, depth)
    return between(between(hip, knee, 0.5), between(knee, end, 0.5), 0.5)


def _knee(scene: Scene, hip: Point, end: Point, side: int) -> Point:
    """Return the knee: a leg bends outward there."""
    outward = scene.thrower.at((side, 0))
    centre = scene.thrower.at((0, 0))
    middle = between(hip, end, 0.5)
    by = 0.28 * max(0.0, 2.6 - apart(hip, end) / scene.him.unit)
    return (middle[0] + (outward[0] - centre[0]) * by, middle[1] + (outward[1] - centre[1]) * by)


def _hook(
    canvas: Canvas, scene: Scene, hip: Point, at: Point, inward: float, depth: float, side: int
) -> Point:
    """Draw a leg that hooks his: past it on one side and back behind or in front of it."""
    x, y = at
    inward = inward or (1.0 if x >= 0 else -1.0)
    beside = scene.him.at((x + inward * 0.42, y - depth * 0.1))
    corner = scene.him.at((x + inward * 0.42, y + depth * 0.58))
    end = scene.him.at((x - inward * 0.3, y + depth * 0.36))
    knee = _knee(scene, hip, beside, side)
    d = "M{}Q{} {}Q{} {}".format(*numbers(hip, knee, beside, corner, end))
    canvas.path(d, (hip, beside, between(beside, corner, 0.6), end), "fig-limb", stroke_width=6.5)
    canvas.circle(end, 4.2, "fig-limb", fill=INK, stroke="none")
    return between(knee, beside, 0.5)


def _end(
    canvas: Canvas, scene: Scene, use: str, end: Point, target: Point, hip: Point, side: int, depth: float
) -> None:
    """Draw what the leg does where it touches him."""
    if use == "block":
        ends = (
            (along(end, target, 0, 15), along(end, target, 0, -15)) if apart(end, target) > 2 else (end, end)
        )
        canvas.line(ends, "fig-limb", stroke_width=6.5)
    elif use in {"kick", "stroke"}:
        _burst(canvas, end, target if apart(end, target) > 2 else along(end, hip, -5))
    elif use in {"sweep", "reap"}:
        _swing(canvas, end, target, use == "reap")
    elif use == "lift":
        draw_up(canvas, target, 7, "fig-up")
    elif use in {"foot on the body", "placed"}:
        sole = Frame(*along(end, hip, 8), angle(hip, end), scene.him.unit * 0.8)
        draw_foot(canvas, sole, side, "fig-thrower", fill=INK, fill_opacity=0.45)
    else:
        canvas.circle(end, 4.2, "fig-limb", fill=INK, stroke="none")


def _burst(canvas: Canvas, end: Point, target: Point) -> None:
    """Draw a blow: strokes flying from where it lands."""
    canvas.circle(end, 4.6, "fig-limb", fill=INK, stroke="none")
    far = along(end, target, 21)
    for aside in (-13, -4.5, 4.5, 13):
        canvas.line(
            (along(end, far, 9, aside * 0.6), along(end, far, 18, aside)), "fig-blow", stroke_width=1.8
        )


def _swing(canvas: Canvas, end: Point, target: Point, wide: bool) -> None:
    """Draw a leg swinging through his: an arrow in its direction."""
    canvas.circle(end, 4.2, "fig-limb", fill=INK, stroke="none")
    through = along(end, target, apart(end, target) + (30 if wide else 24))
    bend = along(end, through, apart(end, through) / 2, 12)
    canvas.curve(end, bend, through, "fig-swing", stroke_width=2)
    canvas.head(bend, through, "fig-swing", 9)


_LYING: Final[tuple[tuple[str, tuple[Point, ...]], ...]] = (
    ("M", ((0.05, 0.1),)),
    ("C", ((0.2, 0.05), (0.42, 0.05), (0.44, 0.2))),
    ("C", ((0.4, 0.8), (0.5, 1.1), (0.52, 1.5))),
    ("C", ((0.5, 1.9), (0.78, 2.1), (0.74, 2.45))),
    ("C", ((0.66, 2.68), (0.34, 2.66), (0.22, 2.72))),
    ("C", ((0.44, 2.95), (0.3, 3.3), (0, 3.3))),
    ("C", ((-0.3, 3.3), (-0.44, 2.95), (-0.22, 2.72))),
    ("C", ((-0.34, 2.66), (-0.66, 2.68), (-0.74, 2.45))),
    ("C", ((-0.78, 2.1), (-0.5, 1.9), (-0.52, 1.5))),
    ("C", ((-0.5, 1.1), (-0.4, 0.8), (-0.44, 0.2))),
    ("C", ((-0.42, 0.05), (-0.2, 0.05), (-0.05, 0.1))),
    ("L", ((0, 1.1),)),
    ("Z", ()),
)
"""A man lying down, from feet to head."""


def fall_frame(scene: Scene, profile: Profile) -> Frame | None:
    """Return where he ends up lying, his head in the direction he is broken to; None if that is not stated
    or he is not broken to a side."""
    angle = COMPASS.get(profile.off_balance.value) if profile.off_balance else None
    if angle is None:
        return None
    turn = scene.him.turn + angle
    feet = scene.him.at((0.0, 0.3))
    over = 1.1 if scene.turned_away and abs((angle + 180) % 360 - 180) < 90 else 0.4
    out = Frame(*feet, turn, scene.him.unit).at((0.0, over))
    return Frame(*out, turn, scene.him.unit)


def draw_fall(canvas: Canvas, scene: Scene, profile: Profile, barred: bool) -> None:
    """Draw his outline where he ends up lying, and the thrower's under or over it if both go down."""
    lying = fall_frame(scene, profile)
    if lying is None:
        return
    kind = f"fig-fall{' fig-barred' if barred else ''}"
    # as when standing: he is an outline, and the thrower, on top of him, is shaded
    canvas.shape(_LYING, lying, kind, stroke_width=1.1, stroke_dasharray="4 3")
    if profile.falls_on_him and profile.falls_on_him.value:
        upon = Frame(*lying.at((0.3, 0.35)), lying.turn + 7, lying.unit)
        canvas.shape(_LYING, upon, f"{kind} fig-upon", stroke_width=1.4, fill=INK, fill_opacity=0.14)


def strike_fall(canvas: Canvas, scene: Scene, profile: Profile) -> None:
    """Draw a stroke through him where he lies, over everything else."""
    lying = fall_frame(scene, profile)
    if lying is not None:
        draw_strike(canvas, lying.at((0.0, 2.95)), 13)


def draw_off_balance(canvas: Canvas, scene: Scene, profile: Profile) -> None:
    """Draw the arrow of the off-balance from the middle of him; for a lift, a ring with a dot."""
    if profile.off_balance is None:
        return
    where = profile.off_balance.value
    centre = scene.him.at((0.0, -0.3))
    if where == "up":
        draw_up(canvas, centre, 11, "fig-off")
        return
    lying = fall_frame(scene, profile)
    if lying is None:
        return
    tip = along(centre, lying.at((0, 2.0)), 2.05 * scene.him.unit)
    canvas.arrow(along(centre, tip, 8), tip, "fig-off", width=3.4, head=14)
    canvas.circle(centre, 3.6, "fig-off", fill=INK, stroke="none")


def draw_support(canvas: Canvas, scene: Scene) -> None:
    """Draw the edge of his support, around both feet."""
    (x, y) = ankle(1)
    corners = [(x + 0.3, y + 0.95), (x + 0.3, y - 0.2), (-x - 0.3, y - 0.2), (-x - 0.3, y + 0.95)]
    canvas.area(
        (scene.him.at(c) for c in corners),
        "fig-support",
        stroke_width=0.9,
        stroke_dasharray="1 3",
        stroke_opacity=0.8,
    )
