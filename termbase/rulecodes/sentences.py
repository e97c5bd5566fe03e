"""What a clause says, in plain English."""

from collections.abc import Callable
from typing import Final

from termbase.rulecodes.clauses import (
    AnyClause,
    FallRule,
    Footwear,
    GripRule,
    GroundRule,
    Holdable,
    KeepRule,
    LegRule,
    Likeness,
    Limits,
    NamedRule,
    PressureRule,
    StartHold,
)
from termbase.technique.words import PLACE_PHRASES, place_list

__all__ = ["sentence"]

_STANCE: Final = {
    "allowed": "allowed",
    "barred": "barred",
    "unsettled": "spoken of, but the sources do not settle it",
}
_KEEP: Final = {
    "both hands": "Both hands keep their hold until a man is down",
    "one hand": "At least one hand keeps its hold until a man is down",
    "free": "The hold may be changed or let go",
}
_TOUCH: Final = {
    "loses": "who first touches the ground with anything but the feet loses",
    "stops play": "play stops when anyone touches the ground with anything but the feet",
    "costs a point": "to touch the ground first costs a point",
    "nothing": "to touch the ground first costs nothing",
}
_BOTH: Final = {
    "loses": "going down together loses for the thrower",
    "wrestled again": "if both go down together it is wrestled again",
    "counts": "going down together counts as a fall",
    "nothing": "going down together counts for nothing",
}
_USES: Final = {
    "any": "every use of the legs",
    "none": "no use of the legs",
    "placed": "setting a leg by his",
    "trip": "tripping",
    "block": "blocking",
    "hook": "hooking",
    "reap": "reaping",
    "sweep": "sweeping",
    "stroke": "striking with the foot",
    "kick": "kicking",
    "lift": "lifting with the leg",
    "foot on the body": "a foot on the body",
}
_PRESSED: Final = {
    "any": "any pressure on joint, neck or throat",
    "joint": "bending a joint",
    "pain": "a grip that only hurts",
}
_SHOD: Final[dict[Footwear, str]] = {
    "barefoot": "with bare feet",
    "stockinged": "in stockinged feet",
    "shod": "in shoes",
}
_PART: Final = {
    "back": ("the back", ""),
    "seat": ("the seat", ""),
    "side": ("a side", "both sides"),
    "anything but the feet": ("anything but the feet", ""),
}
"""What touches at a fall, once and twice, where it is not *a knee* and *both knees*."""

_ZONE: Final[dict[Holdable, str]] = {
    "clothing": "on the clothing",
    "flesh": "on the flesh",
    "legs": "on the legs",
}


def sentence(clause: AnyClause) -> str:
    """A clause as one plain sentence, with its limits; a clause that states nothing says so."""
    said = "; ".join(part for part in _PARTS[type(clause)](clause) if part) or "says nothing definite"
    return f"{said[0].upper()}{said[1:]}{_limited(clause.limits)}."


def _limited(limits: Limits) -> str:
    said = [
        limits.place and f"at {limits.place}",
        limits.years and f"in {limits.years}",
        limits.wrestlers and f"for {limits.wrestlers}",
    ]
    listed = ", ".join(part for part in said if part)
    return f" ({listed})" if listed else ""


def _list(names: tuple[str, ...], last: str = "or") -> str:
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {last} {names[-1]}"


def _held(places: tuple[Holdable, ...]) -> str:
    return place_list([PLACE_PHRASES.get(place) or _ZONE.get(place, place) for place in places]) or "free"


def _start(clause: AnyClause) -> list[str]:
    if not isinstance(clause, StartHold):
        return []
    first = clause.first or ""
    order = {"": "", "either": "either hand first", "both together": "both hands at once"}
    return [
        f"the right hand starts {_held(clause.right)}",
        f"the left starts {_held(clause.left)}",
        order.get(first, f"the {first} hand first"),
        f"the left-handed form is {_STANCE[clause.left_handed]}" if clause.left_handed else "",
    ]


def _keep(clause: AnyClause) -> list[str]:
    if not isinstance(clause, KeepRule):
        return []
    kept = _KEEP.get(clause.keep or "", "")
    if clause.keep == "within a zone":
        kept = f"the hands may shift, but only {_held(clause.zone)}" if clause.zone else "no hand may shift"
    return [kept, f"losing the hold costs {clause.loss}" if clause.loss else ""]


def _grip(clause: AnyClause) -> list[str]:
    if not isinstance(clause, GripRule):
        return []
    where = f"{clause.ground}, " if clause.ground else ""
    return [
        f"{where}holds are allowed {_held(clause.allowed)}" if clause.allowed else "",
        f"{where}holds are barred {_held(clause.barred)}" if clause.barred else "",
        f"{where}every other hold is {_STANCE[clause.rest]}" if clause.rest else "",
        f"a flat hand above the waist is {_STANCE[clause.flat_hand]}" if clause.flat_hand else "",
        f"worn: {_list(clause.worn, 'and')}" if clause.worn else "",
        f"not worn: {_list(clause.not_worn)}" if clause.not_worn else "",
    ]


def _legs(clause: AnyClause) -> list[str]:
    if not isinstance(clause, LegRule):
        return []
    uses = _list(tuple(_USES[use] for use in clause.uses), "and")
    height = ""
    if clause.height:
        foot = " with the foot" if clause.feet_only else ""
        height = f"{foot} up to the {clause.height} and no higher"
        if clause.stance == "barred":
            height = f"{foot} above the {clause.height}"
    when = f" {clause.when}" if clause.when else ""
    shoes = f" {_SHOD[clause.footwear]}" if clause.footwear else ""
    verb = "are" if len(clause.uses) > 1 else "is"
    return [f"{uses}{shoes}{height}{when} {verb} {_STANCE[clause.stance]}"]


def _pressing(clause: AnyClause) -> list[str]:
    if not isinstance(clause, PressureRule):
        return []
    return [
        f"{_pressed(names)} {'are' if len(_kinds_pressed(names)) > 1 else 'is'} {_STANCE[stance]}"
        for names, stance in (
            (clause.allowed, "allowed"),
            (clause.barred, "barred"),
            (clause.unsettled, "unsettled"),
        )
        if names
    ]


def _kinds_pressed(names: tuple[str, ...]) -> tuple[str, ...]:
    """Each kind of pressure in words, the parts of the body it goes on together in one."""
    parts = tuple(f"the {name}" for name in names if name not in _PRESSED)
    on = (f"pressure on {_list(parts)}",) if parts else ()
    return (*on, *(_PRESSED[name] for name in names if name in _PRESSED))


def _pressed(names: tuple[str, ...]) -> str:
    return _list(_kinds_pressed(names), "and")


def _ground(clause: AnyClause) -> list[str]:
    if not isinstance(clause, GroundRule):
        return []
    return [
        f"wrestling on the ground is {_STANCE[clause.work]}" if clause.work else "",
        _TOUCH[clause.touch] if clause.touch else "",
        _BOTH[clause.both] if clause.both else "",
        f"falling on him is {_STANCE[clause.fall_on_him]}" if clause.fall_on_him else "",
    ]


def _named(clause: AnyClause) -> list[str]:
    if not isinstance(clause, NamedRule):
        return []
    if clause.by_consent:
        return ["the two may bar by consent what they agree on for the bout"]
    called = _list(clause.names, "and") or "what is described"
    if clause.stance == "unsettled":
        called = f"{called}, which the sources do not settle"
    likeness = f", that is: {_likeness(clause.like)}" if clause.like else ""
    said = "spoken of" if clause.stance == "unsettled" else clause.stance
    return [f"{said} by name: {called}{likeness}"]


def _likeness(like: Likeness) -> str:
    said = [
        f"{name.replace('_', ' ')} {_list(tuple(str(value) for value in values))}"
        for name in Likeness.__struct_fields__
        if (values := getattr(like, name)) and name != "falls_on_him"
    ]
    if like.falls_on_him:
        lands = True in like.falls_on_him
        said.append("the thrower comes down on him" if lands else "the thrower does not come down on him")
    return "; ".join(said)


def _fall(clause: AnyClause) -> list[str]:
    if not isinstance(clause, FallRule):
        return []
    number = f"any {clause.number} of " if clause.number and clause.number != len(clause.parts) else ""
    together = {True: " at once", False: ", one after another", None: ""}[clause.together]
    other = {"lift": "lifting him clear", "ring-out": "putting him out of the ring"}
    return [
        f"a fall is {number}{_list(_touching(clause), 'and')} on the ground{together}"
        if clause.parts
        else "",
        f"{_list(tuple(other[way] for way in clause.other))} also wins" if clause.other else "",
        clause.part_falls.rstrip("."),
    ]


def _touching(clause: FallRule) -> tuple[str, ...]:
    """The parts that touch, those named twice as both, and those of which more are wanted than are named."""
    more = bool(clause.number and clause.number > len(clause.parts))
    said = []
    for part in dict.fromkeys(clause.parts):
        once, twice = _PART.get(part, (f"a {part}", f"both {part}s"))
        said.append(twice if twice and (more or clause.parts.count(part) > 1) else once)
    return tuple(said)


_PARTS: Final[dict[type[AnyClause], Callable[[AnyClause], list[str]]]] = {
    StartHold: _start,
    KeepRule: _keep,
    GripRule: _grip,
    LegRule: _legs,
    PressureRule: _pressing,
    GroundRule: _ground,
    NamedRule: _named,
    FallRule: _fall,
}
