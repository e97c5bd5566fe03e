"""Which cautions a technique carries beside the general one (`termbase.people.CAUTIONS`), and who was hurt.

Where what decides is not stated (whether a stroke of the foot kicks, whether a lift takes him off the
ground), the line is shown: a caution too many hurts nobody. Where it is stated, only what the profile says
counts. The rules in this module are common practice, no source.
"""

from collections.abc import Iterable, Iterator
from typing import Final, Literal

from termbase.entries import Topic
from termbase.messages import message
from termbase.technique import Hand, Profile
from termbase.trials import Trial

__all__ = [
    "OWN_CAUTIONS",
    "TRIED_TOPICS",
    "CautionKind",
    "caution_kinds",
    "hurt_notices",
    "injury_of",
    "is_injury",
    "own_cautions",
]

CautionKind = Literal["overhead", "lift", "on him", "neck", "held neck", "spine", "joint", "kick", "young"]

OWN_CAUTIONS: Final[dict[CautionKind, str]] = {
    "overhead": (
        "He goes over the thrower and can land on his head, neck or shoulder: do not try it "
        "without a coach who teaches such throws."
    ),
    "lift": "It lifts him off the ground: the fall is high and he cannot control it.",
    "on him": "The thrower can come down on him: ribs, chest and head take the weight of both.",
    "neck": "It presses the neck or throat: do not try it without a coach who teaches such holds.",
    "held neck": "It holds or touches the neck or head: the neck can be wrenched as he falls.",
    "spine": (
        "It bends or squeezes the spine: stop at once when the other wrestler yields, and do not "
        "try it without a coach who teaches such holds."
    ),
    "joint": (
        "It bends or presses a joint: stop at once when the other wrestler yields, before anything hurts."
    ),
    "kick": "It kicks: shins and ankles break. Do not try it at full force or in boots.",
    "young": "Young people: only with the consent of coach and guardian.",
}
"""The lines that techniques of such a kind carry; *young* goes with every technique."""

TRIED_TOPICS: Final = frozenset(
    {Topic.HOLD, Topic.THROW, Topic.TRIP, Topic.LIFT, Topic.KICK, Topic.BLOCK, Topic.ESCAPE, Topic.FALL,
     Topic.FOUL}
)  # fmt: skip
"""Topics of what a wrestler does: the general caution stands on them even with no technique described."""

_NECK_PLACES: Final = frozenset({"neck", "throat", "head", "hair", "ear"})
_NECK_CONTACTS: Final = frozenset({"neck", "head"})
_CARRIERS: Final = frozenset({"hip", "back", "shoulder", "trunk"})
_FORWARD: Final = frozenset({"forward", "right forward", "left forward"})

_NOBODY: Final = frozenset(
    {"", "none", "no", "nil", "nobody", "no one", "no injuries", "no injury", "no one was hurt",
     "nobody hurt", "nobody was hurt", "nothing", "n/a", "-", "–", "—", "0",
     "dim", "dim un", "dim anafiadau", "dim anaf", "neb", "na", "ni anafwyd neb",
     "ní raibh", "ní raibh aon", "gan", "gan ghortú", "gan aon ghortú", "níor gortaíodh aon duine", "faic"}
)  # fmt: skip
"""What people write where nobody was hurt, in the languages of the interface. Any other text counts as an
injury: better one notice too many."""


def own_cautions(topic: Topic | None, profile: Profile | None) -> tuple[str, ...]:
    """The lines for a technique, from its topic and profile; none for what nobody would try."""
    return tuple(OWN_CAUTIONS[kind] for kind in caution_kinds(topic, profile))


def caution_kinds(topic: Topic | None, profile: Profile | None) -> tuple[CautionKind, ...]:
    """The kinds of danger of a technique, in the order of the lines; empty for what nobody would try."""
    found = frozenset(_kinds(topic, profile))
    if not found and topic not in TRIED_TOPICS and profile is None:
        return ()
    return tuple(kind for kind in OWN_CAUTIONS if kind in found or kind == "young")


def injury_of(trial: Trial) -> str:
    """What is recorded of who was hurt in a trial; empty where nobody was, or nothing is recorded."""
    return " ".join(trial.injuries.split()) if is_injury(trial.injuries) else ""


def is_injury(told: str) -> bool:
    """Whether a text on injuries says that someone was hurt; one that cannot be told counts as an injury."""
    return " ".join(told.casefold().split()).rstrip(".! ") not in _NOBODY


def hurt_notices(trials: Iterable[Trial]) -> tuple[str, ...]:
    """One message for each trial in which someone was hurt, to stand before the technique itself."""
    injuries = dict.fromkeys(filter(None, map(injury_of, trials)))
    return tuple(
        message("Someone was hurt when this was tried: %(injuries)s.", injuries=told.rstrip("."))
        for told in injuries
    )


def _kinds(topic: Topic | None, profile: Profile | None) -> Iterator[CautionKind]:
    if topic is Topic.LIFT:
        yield "lift"
    if topic is Topic.KICK:
        yield "kick"
    if profile is None:
        return
    if _goes_over(profile):
        yield "overhead"
    if _leaves_ground(profile):
        yield "lift"
    if _comes_down_on_him(profile):
        yield "on him"
    if profile.leg_use and profile.leg_use.value in ("kick", "stroke"):
        yield "kick"
    if _at_the_neck(profile):
        yield "held neck"
    pressure = profile.pressure.value if profile.pressure else "none"
    if pressure in ("neck", "throat"):
        yield "neck"
    elif pressure == "spine":
        yield "spine"
    elif pressure != "none":
        yield "joint"


def _goes_over(profile: Profile) -> bool:
    """Whether he goes, or may go, over the thrower: over hip, back or shoulder, or over a foot set on him."""
    if profile.off_balance and profile.off_balance.value not in {*_FORWARD, "up"}:
        return False
    if profile.leg_use and profile.leg_use.value == "foot on the body":
        return profile.first_down is None or profile.first_down.value != "he"
    carried = profile.limb is not None and profile.limb.value in _CARRIERS
    facing = profile.facing.value if profile.facing else None
    return carried and facing in {None, "back to him", "same way", "side"}


def _leaves_ground(profile: Profile) -> bool:
    """Whether he is taken, or may be taken, off the ground.

    A lift that only takes his weight is not a lift-off where he is stated to be broken to a side instead.
    """
    if profile.off_balance and profile.off_balance.value == "up":
        return True
    if profile.leg_when and profile.leg_when.value == "once he is off it":
        return True
    lifts = profile.leg_use is not None and profile.leg_use.value == "lift"
    return profile.off_balance is None and (lifts or any(map(_lifts, (profile.right, profile.left))))


def _lifts(hand: Hand) -> bool:
    return hand.work is not None and hand.work.value == "lift"


def _comes_down_on_him(profile: Profile) -> bool:
    """Whether the thrower comes down on him, or may: both go down and it is not said that he does not."""
    if profile.falls_on_him:
        return profile.falls_on_him.value
    return profile.first_down is not None and profile.first_down.value == "both"


def _at_the_neck(profile: Profile) -> bool:
    held = {place for hand in (profile.right, profile.left) if hand.places for place in hand.places.value}
    touched = set(profile.contact.value) if profile.contact else set()
    return bool(held & _NECK_PLACES or touched & _NECK_CONTACTS)
