"""Which cautions a technique carries beside the general one (`termbase.people.CAUTIONS`).

Where it is not stated whether a stroke of the foot kicks, or which part is pressed, the line is shown: a
caution too many hurts nobody.
"""

from typing import Final, Literal

from termbase.entries import Topic
from termbase.technique import Profile

__all__ = ["OWN_CAUTIONS", "TRIED_TOPICS", "CautionKind", "own_cautions"]

CautionKind = Literal["joint", "neck", "lift", "kick", "young"]

OWN_CAUTIONS: Final[dict[CautionKind, str]] = {
    "joint": "It bends or presses a joint: stop at once when the other yields, before anything hurts.",
    "neck": "It presses the neck or throat: not to be tried without a coach who teaches such holds.",
    "lift": "It lifts him from the ground: the fall is high and he cannot steer it.",
    "kick": "It kicks: shins and ankles break; not to be tried at full force, nor in boots.",
    "young": "Young people: only with the consent of coach and guardian.",
}
"""The lines that techniques of such a kind carry; *young* goes with every technique."""

TRIED_TOPICS: Final = frozenset(
    {Topic.HOLD, Topic.THROW, Topic.TRIP, Topic.LIFT, Topic.KICK, Topic.BLOCK, Topic.ESCAPE, Topic.FALL,
     Topic.FOUL}
)  # fmt: skip
"""Topics of what a wrestler does: the general caution stands on them even with no technique described."""


def own_cautions(topic: Topic | None, profile: Profile | None) -> tuple[str, ...]:
    """The lines for a technique, from its topic and profile; none for what nobody would try."""
    kinds = _kinds(topic, profile)
    if not kinds and topic not in TRIED_TOPICS and profile is None:
        return ()
    return tuple(OWN_CAUTIONS[kind] for kind in (*kinds, "young"))


def _kinds(topic: Topic | None, profile: Profile | None) -> tuple[CautionKind, ...]:
    found: list[CautionKind] = []
    pressure = profile.pressure.value if profile and profile.pressure else "none"
    leg = profile.leg_use.value if profile and profile.leg_use else "none"
    hands = (profile.right, profile.left) if profile else ()
    lifting = any(hand.work and hand.work.value == "lift" for hand in hands)
    up = bool(profile and profile.off_balance and profile.off_balance.value == "up")
    if pressure not in ("none", "neck", "throat"):
        found.append("joint")
    if pressure in ("neck", "throat"):
        found.append("neck")
    if topic is Topic.LIFT or leg == "lift" or lifting or up:
        found.append("lift")
    if topic is Topic.KICK or leg in ("kick", "stroke"):
        found.append("kick")
    return tuple(found)
