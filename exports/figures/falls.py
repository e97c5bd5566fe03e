"""Where he is broken to and who comes down: the edge of his support, the arrow over it, and where he lies."""

from typing import Final

from exports.figures.body import ankle
from exports.figures.canvas import INK, Canvas, Frame, Point, along
from exports.figures.hands import draw_strike, draw_up
from exports.figures.scene import COMPASS, Scene
from termbase.technique.profile import Profile

__all__ = ["draw_fall", "draw_off_balance", "fall_frame", "strike_fall"]

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
    # both are drawn lying as they are standing: he in outline, the thrower upon him shaded
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
