"""Put a profile into labelled phrases, for languages in which a sentence cannot be assembled from parts.

In an assembled sentence, words change with their neighbours. Here each phrase is complete, follows a colon or
is in brackets, and is translated once. Together they say everything the English sentence (`describe`) says.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from termbase.technique.profile import Hand, LegUse, Profile, Side
from termbase.technique.words import FALLS, FIRST_DOWN, ON_HIM, PLACE_PHRASES, PRESSED, STANDING, WORKING

__all__ = ["PHRASES", "Phrase", "phrases_of"]


@dataclass(frozen=True, slots=True)
class Phrase:
    """One statement of a profile. All texts are English and are translated one by one.

    Attributes:
        label: what it is about; empty if the value makes that clear.
        values: what is stated.
        details: more about it: side, direction, time.
        either: True if any one of the values will do, False if all of them hold.
    """

    label: str
    values: tuple[str, ...]
    details: tuple[str, ...] = ()
    either: bool = False


RIGHT: Final = "right hand"
LEFT: Final = "left hand"
LIMB: Final = "the thrower uses"
LEG: Final = "what the thrower's leg does"
TOUCHED: Final = "place where he is touched"
STANCE: Final = "how the thrower stands"
JOINT: Final = "joint that is bent"
BOTH_SIDES: Final = "on both sides"
LETS_GO: Final = "letting go before he is down"
LIFTED_OFF: Final = "once he is off the ground"
ON_GROUND: Final = "done on the ground"

_ACTS: Final[dict[LegUse, str]] = {
    "none": "no leg is used",
    "placed": "placing a leg beside his",
    "trip": "tripping (which kind is not stated)",
    "block": "blocking",
    "hook": "hooking",
    "reap": "reaping",
    "sweep": "sweeping",
    "stroke": "striking with the foot",
    "kick": "kicking",
    "lift": "lifting with the leg",
    "foot on the body": "placing a foot on the body",
}
_OWN_SIDE: Final[dict[Side, str]] = {
    "right": "on the right side",
    "left": "on the left side",
    "both": BOTH_SIDES,
}
_HIS_SIDE: Final[dict[Side, str]] = {
    "right": "on his right side",
    "left": "on his left side",
    "both": BOTH_SIDES,
}
_INWARD: Final = {"inside": "from the inside", "outside": "from the outside"}
_FROM: Final = {"front": "from the front", "behind": "from behind"}


def phrases_of(profile: Profile) -> tuple[Phrase, ...]:
    """Return what a profile states, in the order of the English sentence; empty if it states nothing."""
    return tuple(_stated(profile))


def _stated(profile: Profile) -> Iterator[Phrase]:
    if profile.ground and profile.ground.value == "on the ground":
        yield Phrase("", (ON_GROUND,))
    for label, hand in ((RIGHT, profile.right), (LEFT, profile.left)):
        yield from _hand(label, hand)
    yield from _leg(profile)
    if profile.facing:
        yield Phrase(STANCE, (STANDING[profile.facing.value],))
    if profile.pressure and profile.pressure.value != "none":
        pressed = profile.pressure.value
        yield Phrase("", (PRESSED[pressed],)) if pressed in PRESSED else Phrase(JOINT, (pressed,))
    if profile.off_balance:
        yield Phrase("", (FALLS[profile.off_balance.value],))
    if profile.first_down and profile.first_down.value in FIRST_DOWN:
        yield Phrase("", (FIRST_DOWN[profile.first_down.value],))
    if profile.falls_on_him and profile.falls_on_him.value:
        yield Phrase("", (ON_HIM,))


def _hand(label: str, hand: Hand) -> Iterator[Phrase]:
    places = tuple(PLACE_PHRASES[place] for place in hand.places.value) if hand.places else ()
    details = (
        *((WORKING[hand.work.value],) if hand.work else ()),
        *((LETS_GO,) if hand.lets_go and hand.lets_go.value else ()),
    )
    if places:
        yield Phrase(label, places, details, either=True)
    elif details:
        yield Phrase(label, details)


def _leg(profile: Profile) -> Iterator[Phrase]:
    side = (_OWN_SIDE[profile.limb_side.value],) if profile.limb_side else ()
    if profile.limb:
        yield Phrase(LIMB, (profile.limb.value,), side)
    elif side:
        yield Phrase(LIMB, side)
    if profile.leg_use:
        off = profile.leg_when and profile.leg_when.value == "once he is off it"
        label = "" if profile.leg_use.value == "none" else LEG
        yield Phrase(label, (_ACTS[profile.leg_use.value],), (LIFTED_OFF,) if off else ())
    where = (
        *((_HIS_SIDE[profile.his_side.value],) if profile.his_side else ()),
        *((_INWARD[profile.contact_inward.value],) if profile.contact_inward else ()),
        *((_FROM[profile.contact_from.value],) if profile.contact_from else ()),
    )
    parts = profile.contact.value if profile.contact else ()
    if parts:
        yield Phrase(TOUCHED, parts, where)
    elif where:
        yield Phrase(TOUCHED, where)


def _words() -> Iterator[str]:
    yield from (RIGHT, LEFT, LIMB, LEG, TOUCHED, STANCE, JOINT, LETS_GO, LIFTED_OFF, ON_GROUND, ON_HIM)
    for table in (WORKING, _ACTS, _OWN_SIDE, _HIS_SIDE, _INWARD, _FROM, STANDING, FALLS, PRESSED, FIRST_DOWN):
        yield from table.values()


PHRASES: Final[tuple[str, ...]] = tuple(dict.fromkeys(_words()))
"""Every text used in phrases, except places, limbs and parts of the body, which are in the vocabulary."""
