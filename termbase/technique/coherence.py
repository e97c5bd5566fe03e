"""Check whether a profile is mechanically coherent. It asks questions; it never judges.

Seen from above: his two feet span a polygon of support; he falls when his centre of mass passes over its
edge and no foot gets there first. So the pull should take him over an edge, and on that side his recovery
step should be blocked, or the foot that carries his weight taken (common practice, no source). The
measurements are of an upright man with his feet hip-width apart, in his own frame: x to his right, y forward,
in foot lengths (common practice, no source).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, radians, sin
from typing import Final, Literal

from termbase.messages import message
from termbase.technique.profile import Direction, LegUse, Profile

__all__ = ["FEET", "Point", "Question", "check_mechanics", "margin", "support_polygon"]

Point = tuple[float, float]
Foot = Literal["right", "left"]

FEET: Final[dict[Foot, tuple[Point, ...]]] = {
    "right": ((0.3, -0.4), (0.7, -0.4), (0.7, 0.6), (0.3, 0.6)),
    "left": ((-0.7, -0.4), (-0.3, -0.4), (-0.3, 0.6), (-0.7, 0.6)),
}
"""The outline of each of his feet."""

_COMPASS: Final[dict[Direction, float]] = {
    "forward": 90,
    "right forward": 45,
    "right": 0,
    "right backward": -45,
    "backward": -90,
    "left backward": -135,
    "left": 180,
    "left forward": 135,
}
_TAKES: Final[frozenset[LegUse]] = frozenset({"trip", "hook", "reap", "sweep", "stroke", "kick", "lift"})
_REACH: Final = 1.0
"""How far a pull moves his centre of mass before he steps, in foot lengths."""
_OTHER: Final[dict[Foot, Foot]] = {"right": "left", "left": "right"}


@dataclass(frozen=True, slots=True)
class Question:
    """Something about a profile that does not seem coherent.

    Attributes:
        attribute: the attribute to check.
        text: the question, in plain English.
    """

    attribute: str
    text: str


def support_polygon(feet: Sequence[Sequence[Point]]) -> tuple[Point, ...]:
    """Return the convex hull of the outlines of the feet on the ground, counter-clockwise from its leftmost
    point; empty if no foot is on the ground. (Andrew's monotone chain, 1979, cited from memory.)"""
    points = sorted({point for foot in feet for point in foot})
    if len(points) < 3:
        return tuple(points)
    return tuple(_chain(points) + _chain(points[::-1]))


def _chain(points: list[Point]) -> list[Point]:
    chain: list[Point] = []
    for point in points:
        while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= 0:
            chain.pop()
        chain.append(point)
    return chain[:-1]


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def margin(centre: Point, polygon: Sequence[Point]) -> float:
    """Return how far a centre of mass is inside a counter-clockwise polygon of support; negative outside it,
    and minus infinity without any support."""
    if len(polygon) < 3:
        return float("-inf")
    edges = zip(polygon, (*polygon[1:], polygon[0]), strict=True)
    return min(_turn(a, b, centre) / hypot(b[0] - a[0], b[1] - a[1]) for a, b in edges)


def check_mechanics(profile: Profile) -> tuple[Question, ...]:
    """Return the questions about a profile, in the order hands, direction, leg, fall; none for a technique on
    the ground, and none about what is not stated."""
    if profile.ground and profile.ground.value == "on the ground":
        return ()
    asked = [
        _unmoved(profile),
        _lifted(profile),
        _unblocked(profile),
        _other_side(profile),
        _against(profile),
    ]
    return tuple(question for question in asked if question)


def _direction(profile: Profile) -> Direction | None:
    return profile.off_balance.value if profile.off_balance else None


def _centre(direction: Direction) -> Point:
    """Return where a pull in a direction takes his centre of mass."""
    angle = radians(_COMPASS[direction])
    return (_REACH * cos(angle), _REACH * sin(angle))


def _unmoved(profile: Profile) -> Question | None:
    """Ask about a broken balance when both hands only hold."""
    works = [hand.work.value for hand in (profile.right, profile.left) if hand.work]
    if _direction(profile) in _COMPASS and works == ["hold only", "hold only"] and _leg(profile) == "none":
        return Question(
            "off_balance",
            message("Neither hand pulls or pushes and no leg is used: what breaks his balance?"),
        )
    return None


def _lifted(profile: Profile) -> Question | None:
    """Ask about a lift that nothing causes, or a leg that works off the ground although he is not lifted."""
    lifts = _leg(profile) == "lift" or any(
        hand.work is None or hand.work.value == "lift" for hand in (profile.right, profile.left)
    )
    if _direction(profile) == "up" and not lifts:
        return Question("off_balance", message("He is lifted, but no hand or leg lifts him: what does?"))
    off = profile.leg_when is not None and profile.leg_when.value == "once he is off it"
    if off and _direction(profile) in {*_COMPASS, "none"} and not lifts:
        return Question(
            "leg_when",
            message(
                "The leg works once he is off the ground, but nothing lifts him: how does he leave "
                "the ground?"
            ),
        )
    return None


def _unblocked(profile: Profile) -> Question | None:
    """Ask about a broken balance with no foot taken or blocked: he can step."""
    direction, use = _direction(profile), _leg(profile)
    if direction not in _COMPASS or use != "none" or _carried(profile):
        return None
    if margin(_centre(direction), support_polygon(tuple(FEET.values()))) >= 0:
        return None
    text = message(
        "His balance is broken %(direction)s and neither foot is taken or blocked: what keeps "
        "him from stepping?",
        direction=message(direction),
    )
    return Question("leg_use", text)


def _carried(profile: Profile) -> bool:
    """Return whether he is taken over hip, back or shoulder, and so leaves the ground."""
    return bool(profile.limb and profile.limb.value in {"hip", "back", "shoulder"})


def _other_side(profile: Profile) -> Question | None:
    """Ask when the foot on the far side of the fall is taken or blocked: the near one supports him or
    steps."""
    direction, use = _direction(profile), _leg(profile)
    side = profile.his_side.value if profile.his_side else None
    if direction is None or direction not in _COMPASS or side is None or side == "both":
        return None
    words = {"side": message(side), "direction": message(direction)}
    if use in _TAKES and _passes_over(direction, FEET[_OTHER[side]]):
        text = message(
            "His %(side)s foot is taken, but his balance is broken %(direction)s: can he not "
            "stand on the other foot?",
            **words,
        )
        return Question("his_side", text)
    away = _centre(direction)[0] * (1 if side == "right" else -1) < -0.1
    if use == "block" and away:
        text = message(
            "His %(side)s foot is blocked, but his balance is broken %(direction)s: would he "
            "not step with the other foot?",
            **words,
        )
        return Question("his_side", text)
    return None


def _passes_over(direction: Direction, foot: Sequence[Point]) -> bool:
    """Return whether a pull takes his centre of mass over a foot that is still on the ground."""
    x, y = _centre(direction)
    ground = support_polygon((foot,))
    return any(margin((x * step / 10, y * step / 10), ground) >= 0 for step in range(11))


def _against(profile: Profile) -> Question | None:
    """Ask when a foot is blocked on the side he is not moving to."""
    direction = _direction(profile)
    met = profile.contact_from.value if profile.contact_from else None
    if direction not in _COMPASS or met is None or _leg(profile) != "block":
        return None
    forward = sin(radians(_COMPASS[direction]))
    if (met == "front" and forward < -0.1) or (met == "behind" and forward > 0.1):
        text = message(
            "The leg is blocked %(where)s, but his balance is broken %(direction)s: is that "
            "the side he steps to?",
            where=message("in front") if met == "front" else message("behind"),
            direction=message(direction),
        )
        return Question("contact_from", text)
    return None


def _leg(profile: Profile) -> LegUse | None:
    return profile.leg_use.value if profile.leg_use else None
