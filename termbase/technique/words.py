"""Describe a profile in plain English, and convert it to and from form values.

The description contains only what is stated. The table of attributes is derived from the profile's types, so
an attribute or value added there is offered here.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Final, Literal, get_args, get_origin, get_type_hints

import msgspec

from termbase.errors import BadInput
from termbase.fields.closed_lists import one_of
from termbase.fields.declarations import Nested, fields_of
from termbase.fields.declarations import Statement as Stated
from termbase.messages import message
from termbase.technique.profile import (
    NOT_STATED,
    Basis,
    Direction,
    Facing,
    FirstDown,
    Hand,
    LegUse,
    Limb,
    Pressure,
    Profile,
    Work,
)
from termbase.technique.profile import Stated as StatedValue

__all__ = [
    "ATTRIBUTES",
    "BASES",
    "FALLS",
    "FIRST_DOWN",
    "ON_HIM",
    "PLACE_PHRASES",
    "PRESSED",
    "STANDING",
    "UNJUDGED",
    "WORKING",
    "Attribute",
    "StatementText",
    "describe",
    "place_list",
    "profile_of",
    "statements_of",
]


PLACE_PHRASES: Final[dict[str, str]] = {
    "jacket": "on the jacket",
    "collar": "on the collar",
    "lapel": "on the lapel",
    "shoulder cloth": "on the cloth at the shoulder",
    "shoulder strap": "on the shoulder strap",
    "sleeve": "on the sleeve",
    "elbow cloth": "on the cloth at the elbow",
    "back cloth": "on the cloth of the back",
    "front cloth": "on the cloth of the front",
    "belt": "on the belt",
    "belt front": "on the belt in front",
    "belt near side": "on the belt at the near hip",
    "belt far side": "on the belt at the far hip",
    "belt back": "on the belt behind",
    "trouser cloth": "on the trouser leg",
    "arm": "on the arm",
    "upper arm": "on the upper arm",
    "forearm": "on the forearm",
    "wrist": "on the wrist",
    "fingers": "on the fingers",
    "head": "on the head",
    "hair": "in the hair",
    "ear": "on the ear",
    "neck": "on the neck",
    "throat": "on the throat",
    "round the body": "round the body",
    "round the body over the arm": "round the body over the arm",
    "round the body under the arm": "round the body under the arm",
    "leg": "on the leg",
    "thigh": "on the thigh",
    "knee": "on the knee",
    "ankle": "on the ankle",
    "foot": "on the foot",
    "crotch": "between the legs",
    "own other hand": "on the other hand",
    "free": "free",
}
"""Each place as it follows “the hand is”."""

WORKING: Final[dict[Work, str]] = {
    "pull": "pulling",
    "push": "pushing",
    "lift": "lifting",
    "steer": "steering",
    "lock": "locking",
    "hold only": "only holding",
}
_DOES: Final[dict[LegUse, str]] = {
    "trip": "trips",
    "block": "blocks",
    "hook": "hooks",
    "reap": "reaps",
    "sweep": "sweeps",
    "stroke": "strikes",
    "kick": "kicks",
    "lift": "lifts",
}
_DO: Final[dict[LegUse, str]] = {use: word[:-1] for use, word in _DOES.items()}
_LIMB: Final[dict[Limb, str]] = {"sole": "sole of the foot"}
_PLURAL: Final[dict[Limb, str]] = {"foot": "feet", "calf": "calves", "sole": "soles"}
_TOUCHED: Final[dict[str, str]] = {
    "inner thigh": "inside of the thigh",
    "outer thigh": "outside of the thigh",
}
STANDING: Final[dict[Facing, str]] = {
    "front": "facing him",
    "side": "side on to him",
    "back to him": "with his back to him",
    "behind him": "from behind him",
    "same way": "facing the same way as him",
}
FALLS: Final[dict[Direction, str]] = {
    "forward": "he falls forward",
    "right forward": "he falls forward to his right",
    "right": "he falls to his right",
    "right backward": "he falls backward to his right",
    "backward": "he falls backward",
    "left backward": "he falls backward to his left",
    "left": "he falls to his left",
    "left forward": "he falls forward to his left",
    "up": "he is lifted off the ground",
    "none": "his balance is not broken",
}
PRESSED: Final[dict[Pressure, str]] = {
    "joint": "a joint is bent",
    "fingers": "the fingers are bent",
    "neck": "the neck is pressed",
    "throat": "the throat is squeezed",
    "pain": "the grip hurts",
}
"""What is pressed, except for the joints, which are named."""

FIRST_DOWN: Final[dict[FirstDown, str]] = {
    "both": "both go down together",
    "thrower": "the thrower goes down first",
}
ON_HIM: Final = "the thrower comes down on him"


def describe(profile: Profile) -> str:
    """Return one sentence with what a profile states, in the order hands, legs, stance, pressure, fall."""
    parts = [
        *_hands(profile),
        _leg(profile),
        profile.facing and STANDING[profile.facing.value],
        _pressure(profile),
        profile.off_balance and FALLS[profile.off_balance.value],
        *_down(profile),
    ]
    text = "; ".join(part for part in parts if part)
    if profile.ground and profile.ground.value == "on the ground":
        text = f"on the ground: {text}" if text else "it is done on the ground"
    if not text:
        return "How it is done is not stated."
    return f"{text[0].upper()}{text[1:]}."


def _hands(profile: Profile) -> list[str]:
    right, left = _hand(profile.right), _hand(profile.left)
    if right and right == left:
        return [f"both hands {right}"]
    return [f"{side} hand {text}" for side, text in (("right", right), ("left", left)) if text]


def _hand(hand: Hand) -> str:
    phrases = []
    if hand.places and hand.places.value:
        phrases.append(place_list([PLACE_PHRASES[place] for place in hand.places.value]))
    if hand.work:
        phrases.append(WORKING[hand.work.value])
    if hand.lets_go and hand.lets_go.value:
        phrases.append("letting go before he is down")
    return ", ".join(phrases)


def place_list(phrases: list[str]) -> str:
    """Join place phrases with *or*; “on the” is not repeated."""
    texts: list[str] = []
    for number, phrase in enumerate(phrases):
        again = number and phrase.startswith("on the ") and phrases[number - 1].startswith("on the ")
        texts.append(phrase.removeprefix("on the ") if again else phrase)
    if len(texts) < 2:
        return "".join(texts)
    return f"{', '.join(texts[:-1])} or {texts[-1]}"


def _leg(profile: Profile) -> str:
    use = profile.leg_use.value if profile.leg_use else None
    limb, plural = _limb(profile)
    met = _met(profile)
    if use is None or use == "none":
        return "; ".join(
            part for part in (_against(profile, limb, met), "no leg is used" if use else "") if part
        )
    when = ", once he is off the ground" if profile.leg_when and "off" in profile.leg_when.value else ""
    if use == "foot on the body":
        return f"{limb} set on {_touched(profile, 'body')}{met}{when}"
    if use == "placed":
        return f"{limb} set by {_touched(profile, 'leg')}{met}{when}"
    verb = (_DO if plural else _DOES)[use]
    return f"{limb} {verb} {_touched(profile, 'leg')}{met}{when}"


def _against(profile: Profile, limb: str, met: str) -> str:
    """Return which part of the thrower touches him when no leg action is stated."""
    parts = profile.contact.value if profile.contact else ()
    his = _touched(profile, "side") if parts or profile.his_side else ""
    if profile.limb or profile.limb_side:
        return f"{limb} against {his or 'him'}{met}"
    return f"{his or 'he'} is touched{met}" if his or met else ""


def _met(profile: Profile) -> str:
    """Return from which side he is touched."""
    inward = f" from {profile.contact_inward.value}" if profile.contact_inward else ""
    side = {"front": " in front", "behind": " from behind"}
    met = side[profile.contact_from.value] if profile.contact_from else ""
    return f"{inward}{' and' * bool(inward and met)}{met}"


def _limb(profile: Profile) -> tuple[str, bool]:
    limb: Limb = profile.limb.value if profile.limb else "leg"
    side = profile.limb_side.value if profile.limb_side else None
    if side == "both":
        return f"both {_PLURAL.get(limb, limb + 's')}", True
    return f"{side or 'the'} {_LIMB.get(limb, limb)}", False


def _touched(profile: Profile, unstated: str) -> str:
    """Return where he is touched; `unstated` is the default part."""
    side = profile.his_side.value if profile.his_side else ""
    parts = (profile.contact.value if profile.contact else ()) or (unstated,)
    named = " and ".join(_TOUCHED.get(part, part) for part in parts)
    if side == "both":
        return f"his {named} on both sides"
    return f"his {side} {named}" if side else f"his {named}"


def _pressure(profile: Profile) -> str:
    if profile.pressure is None or profile.pressure.value == "none":
        return ""
    pressed = profile.pressure.value
    return PRESSED.get(pressed, f"the {pressed} joint is bent")


def _down(profile: Profile) -> list[str]:
    first = FIRST_DOWN.get(profile.first_down.value) if profile.first_down else None
    on_him = ON_HIM if profile.falls_on_him and profile.falls_on_him.value else None
    return [phrase for phrase in (first, on_him) if phrase]


UNJUDGED: Final = tuple(f.name for f in fields_of(Profile) if not isinstance(f.is_a, Stated | Nested))
"""Fields of a profile that do not state how it is done."""
BASES: Final[tuple[Basis, ...]] = get_args(Basis)
YES, NO = "yes", "no"


@dataclass(frozen=True, slots=True)
class Attribute:
    """One attribute: its path (`leg_use`, `right.places`), its values, and whether it can have several."""

    path: str
    values: tuple[str, ...]
    several: bool


@dataclass(frozen=True, slots=True)
class StatementText:
    """What is stated about one attribute: values as words (`yes` and `no` for booleans) and their basis."""

    values: tuple[str, ...]
    basis: str = "reading"
    ref: str = ""


def statements_of(profile: Profile | None) -> dict[str, StatementText]:
    """Return what a profile states, by attribute path; unstated attributes are left out."""
    statements = {}
    for attribute in ATTRIBUTES:
        stated = _get(profile or NOT_STATED, attribute.path)
        if stated is not None:
            statements[attribute.path] = StatementText(_texts(stated.value), stated.basis, stated.ref)
    return statements


def profile_of(statements: Mapping[str, StatementText]) -> Profile:
    """Build the profile from these statements, without names and note; a statement without values is ignored.

    Raises:
        BadInput: there is no such attribute, value or basis; several values where one is asked for.
    """
    known = {attribute.path: attribute for attribute in ATTRIBUTES}
    own: dict[str, object] = {}
    hands: dict[str, dict[str, object]] = {"right": {}, "left": {}}
    for path, statement in statements.items():
        if path not in known:
            raise BadInput(
                message("There is no attribute “%(path)s”.", path=path),
                where=path,
                fix=message("Use one of the profile's attributes."),
            )
        values = tuple(v for v in statement.values if v)
        if values:
            hand, _, name = path.rpartition(".")
            (hands[hand] if hand else own)[name] = _statement(known[path], values, statement)
    return msgspec.convert({**own, **hands}, Profile)


def _statement(attribute: Attribute, values: tuple[str, ...], statement: StatementText) -> dict[str, object]:
    for value in values:
        wrong = message("“%(word)s” is not a valid value here.", word=value)
        one_of(attribute.values, value, wrong, where=attribute.path)
    if len(values) > 1 and not attribute.several:
        raise BadInput(
            message("Only one value is possible here."), where=attribute.path, fix=message("Choose one.")
        )
    wrong = message("“%(word)s” is not a valid basis for a value.", word=statement.basis)
    basis = one_of(BASES, statement.basis, wrong, where=attribute.path)
    stated: object = values if attribute.several else values[0]
    if attribute.values == (YES, NO):
        stated = values[0] == YES
    return {"value": stated, "basis": basis, "ref": " ".join(statement.ref.split())}


def _texts(value: object) -> tuple[str, ...]:
    if isinstance(value, bool):
        return (YES if value else NO,)
    return tuple(str(v) for v in value) if isinstance(value, tuple) else (str(value),)


def _get(profile: Profile, path: str) -> StatedValue[object] | None:
    holder: object = profile
    for name in path.split("."):
        holder = getattr(holder, name)
    return holder if isinstance(holder, StatedValue) else None


def _attributes() -> tuple[Attribute, ...]:
    attributes = []
    for holder, prefix in ((Hand, "right."), (Hand, "left."), (Profile, "")):
        hints = get_type_hints(holder)
        for each in fields(holder):
            if hints[each.name] is not Hand and each.name not in UNJUDGED:
                attributes.append(_attribute(prefix + each.name, hints[each.name]))
    return tuple(attributes)


def _attribute(path: str, hint: object) -> Attribute:
    (stated,) = (a for a in get_args(hint) if a is not type(None))
    (value,) = get_args(stated)
    several = get_origin(value) is tuple
    inner = get_args(value)[0] if several else value
    values = tuple(get_args(inner)) if get_origin(inner) is Literal else (YES, NO)
    return Attribute(path, values, several)


ATTRIBUTES: Final[tuple[Attribute, ...]] = _attributes()
"""Every attribute: the right hand's first, then the left hand's, then those of the bodies."""
