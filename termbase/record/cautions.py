"""Choose the cautions for a technique in addition to the general one (`termbase.record.people.CAUTIONS`), and
report who was hurt.

If the deciding detail is not stated (whether a stroke of the foot kicks, whether a lift takes him off the
ground), the caution is shown: one too many does no harm. If it is stated, only what the profile says counts.
The rules in this module are common practice, no source.
"""

from collections.abc import Iterable, Iterator
from typing import Final, Literal

from termbase.messages import message
from termbase.record.entries import Topic
from termbase.record.trials import Trial
from termbase.technique.profile import Hand, Profile

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
"""The caution for each kind of danger; *young* applies to every technique."""

TRIED_TOPICS: Final = frozenset(
    {Topic.HOLD, Topic.THROW, Topic.TRIP, Topic.LIFT, Topic.KICK, Topic.BLOCK, Topic.ESCAPE, Topic.FALL,
     Topic.FOUL}
)  # fmt: skip
"""Topics that are actions: their entries show the general caution even if no technique is described."""

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
"""What people write if nobody was hurt, in the languages of the interface. Any other text counts as an
injury: better one notice too many."""


def own_cautions(topic: Topic | None, profile: Profile | None) -> tuple[str, ...]:
    """Return the cautions for a technique from its topic and profile; none for things nobody would try."""
    return tuple(OWN_CAUTIONS[kind] for kind in caution_kinds(topic, profile))


def caution_kinds(topic: Topic | None, profile: Profile | None) -> tuple[CautionKind, ...]:
    """Return the kinds of danger of a technique, in the order of the cautions; empty if nobody would try
    it."""
    kinds = frozenset(_kinds(topic, profile))
    if not kinds and topic not in TRIED_TOPICS and profile is None:
        return ()
    return tuple(kind for kind in OWN_CAUTIONS if kind in kinds or kind == "young")


def injury_of(trial: Trial) -> str:
    """Return what a trial records about injuries; empty if nobody was hurt or nothing is recorded."""
    return " ".join(trial.injuries.split()) if is_injury(trial.injuries) else ""


def is_injury(text: str) -> bool:
    """Return whether a text on injuries says that someone was hurt; an unclear text counts as an injury."""
    return " ".join(text.casefold().split()).rstrip(".! ") not in _NOBODY


def hurt_notices(trials: Iterable[Trial]) -> tuple[str, ...]:
    """Return one message for each trial in which someone was hurt, to be shown before the technique."""
    injuries = dict.fromkeys(filter(None, map(injury_of, trials)))
    return tuple(
        message("Someone was hurt when this was tried: %(injuries)s.", injuries=injury.rstrip("."))
        for injury in injuries
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
    """Return whether he goes, or may go, over the thrower's hip, back or shoulder, or a placed foot."""
    if profile.off_balance and profile.off_balance.value not in {*_FORWARD, "up"}:
        return False
    if profile.leg_use and profile.leg_use.value == "foot on the body":
        return profile.first_down is None or profile.first_down.value != "he"
    carried = profile.limb is not None and profile.limb.value in _CARRIERS
    facing = profile.facing.value if profile.facing else None
    return carried and facing in {None, "back to him", "same way", "side"}


def _leaves_ground(profile: Profile) -> bool:
    """Return whether he is taken, or may be taken, off the ground.

    A lift that only takes his weight does not count if the profile states that his balance is broken in a
    direction instead.
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
    """Return whether the thrower comes down on him, or may: both go down and the profile does not deny it."""
    if profile.falls_on_him:
        return profile.falls_on_him.value
    return profile.first_down is not None and profile.first_down.value == "both"


def _at_the_neck(profile: Profile) -> bool:
    held = {place for hand in (profile.right, profile.left) if hand.places for place in hand.places.value}
    touched = set(profile.contact.value) if profile.contact else set()
    return bool(held & _NECK_PLACES or touched & _NECK_CONTACTS)
