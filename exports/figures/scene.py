"""How the two wrestlers stand relative to each other: as the profile states, otherwise face to face."""

from dataclasses import dataclass
from typing import Final

from exports.figures.body import SIDES, hip_joint, leg_point, touched
from exports.figures.canvas import Frame, Point, apart
from termbase.technique.profile import Direction, Profile

__all__ = ["COMPASS", "UNIT", "Scene", "scene_of", "value_of"]

UNIT: Final = 44.0
"""Length of a foot on the sheet; the sheet is about 320 wide."""

COMPASS: Final[dict[Direction, float]] = {
    "forward": 0, "right forward": 45, "right": 90, "right backward": 135, "backward": 180,
    "left backward": 225, "left": 270, "left forward": 315,
}  # fmt: skip
"""Each direction from his view, in degrees clockwise from the way he faces."""

_APART: Final[dict[str, float]] = {
    "front": 3.35,
    "side": 2.7,
    "back to him": 1.75,
    "same way": 1.85,
    "behind him": 2.5,
}
_LEGS: Final = frozenset({"leg", "foot", "sole", "heel", "shin", "calf", "knee", "thigh"})


@dataclass(frozen=True, slots=True)
class Scene:
    """Both wrestlers on the sheet.

    Attributes:
        him, thrower: where they stand.
        limb_side: the side of the thrower's working limb, 1 for the right; the right if it is not stated.
        his_side: the side of him that is touched.
        works: whether a leg of the thrower works on him.
        sure: whether their positions are stated.
        turned_away: whether the thrower's back is turned to him.
    """

    him: Frame
    thrower: Frame
    limb_side: int
    his_side: int
    works: bool
    sure: bool
    turned_away: bool

    def held(self, side: int) -> int:
        """Return the side of him that a hand of the thrower holds.

        Holds are taken face to face, right hand to his left; a thrower who turns his back keeps them. Only
        from behind does the right hand reach his right.
        """
        return side if self.him.turn == 0 else -side

    def across(self, side: int) -> int:
        """Return the side of him opposite a leg of the thrower, in their present positions."""
        if self.him.turn == 180 and not self.turned_away:
            return -side
        return side


def value_of(statement: object) -> str:
    """Return the value of a statement in the vocabulary's words; empty if nothing is stated."""
    value = getattr(statement, "value", None)
    return value if isinstance(value, str) else ""


def works_with_leg(profile: Profile) -> bool:
    """Return whether the profile states that a leg of the thrower works on him."""
    use, limb = value_of(profile.leg_use), value_of(profile.limb)
    return use not in {"", "none"} or limb in _LEGS


def scene_of(profile: Profile) -> Scene:
    """Return how the two stand, seen from above: the thrower at the bottom of the sheet."""
    facing = value_of(profile.facing)
    side = SIDES.get(value_of(profile.limb_side), 1)
    his = SIDES.get(value_of(profile.his_side), 0)
    works = works_with_leg(profile)
    him = Frame(0, 0, 0 if facing == "behind him" else 180, UNIT)
    turn = {
        "side": 300.0 if side > 0 else 60.0,
        "back to him": 180.0,
        "same way": 180.0 - side * 28,
    }.get(facing, 0.0)
    thrower = Frame(0, _APART.get(facing or "front", 3.35) * UNIT, turn, UNIT)
    if not his:
        his = min((1, -1), key=lambda s: apart(thrower.at(hip_joint(side)), him.at(leg_point("ankle", s))))
    moved = (
        _beside(profile, him, thrower, side, his) if works and facing in {"", "front", "behind him"} else 0.0
    )
    return Scene(him, Frame(moved, thrower.y, turn, UNIT), side, his, works, bool(facing), 90 < turn < 270)


def _beside(profile: Profile, him: Frame, thrower: Frame, side: int, his: int) -> float:
    """Return how far the thrower stands to the side, so that the leg reaches his from the right side."""
    if not profile.contact or not profile.contact.value:
        return 0.0
    x, y = touched(profile.contact.value[0], his)
    inward = {"outside": 0.55, "inside": -0.35}.get(value_of(profile.contact_inward), 0.0)
    target: Point = him.at((x + his * inward, y))
    wanted = target[0] - thrower.at(hip_joint(side))[0]
    return max(-1.1 * UNIT, min(1.1 * UNIT, wanted))
