"""Say what a clause states, in plain words that an interface can translate.

A sentence says what the clause states and no more: it is never wider than the clause, because readers take
it for the rule. Each part is a message, so that it is the same statement in every language.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import Final, Literal

from termbase.dates import edtf as dates
from termbase.errors import BadInput
from termbase.messages import Translator, joined, message, message_by, translate
from termbase.rules.clauses import (
    AnyClause,
    FallRule,
    Footwear,
    GripRule,
    GroundRule,
    Holdable,
    KeepRule,
    LegRule,
    Likeness,
    NamedRule,
    PressureRule,
    Stance,
    StartHold,
)
from termbase.technique.profile import PRESSURES
from termbase.technique.words import PLACE_PHRASES, place_list

__all__ = ["CLAUSE_WORDS", "as_sentence", "clause_limits", "clause_parts", "sentence"]

SILENT: Final = message("says nothing definite")

_LEFT_HANDED: Final[dict[Stance | Literal["by consent"], str]] = {
    "allowed": message("the same hold with the hands swapped is allowed"),
    "by consent": message("the same hold with the hands swapped is allowed if the other man agrees"),
    "barred": message("the same hold with the hands swapped is barred"),
    "unsettled": message(
        "the sources do not settle whether the same hold may be taken with the hands swapped"
    ),
}
_FIRST: Final = {
    "right": message("the right hand takes hold first"),
    "left": message("the left hand takes hold first"),
    "both together": message("both hands take hold at once"),
    "either": message("either hand may take hold first"),
}
_KEEP: Final = {
    "both hands": message("both hands must keep their hold until a man is down"),
    "one hand": message("at least one hand must keep its hold until a man is down"),
    "free": message("the hold may be changed or let go"),
}
_LOSS: Final = {
    "the fall": message("losing the hold costs the fall"),
    "a point": message("losing the hold costs a point"),
    "a restart": message("if a hold is lost, they start again"),
    "nothing": message("losing the hold costs nothing"),
}
_REST: Final[dict[Stance, str]] = {
    "allowed": message("every other hold is allowed"),
    "barred": message("every other hold is barred"),
    "unsettled": message("the sources do not settle whether every other hold is allowed"),
}
_FLAT: Final[dict[Stance, str]] = {
    "allowed": message("a flat hand that pushes or steers without gripping is allowed above the waist"),
    "barred": message(
        "a flat hand that pushes or steers is barred above the waist, even if it does not grip"
    ),
    "unsettled": message(
        "the sources do not settle whether a flat hand that pushes or steers is allowed above the waist"
    ),
}
_WORK: Final[dict[Stance, str]] = {
    "allowed": message("wrestling on the ground is allowed"),
    "barred": message("wrestling on the ground is barred"),
    "unsettled": message("the sources do not settle whether wrestling on the ground is allowed"),
}
_ON_HIM: Final[dict[Stance, str]] = {
    "allowed": message("the thrower may come down on him"),
    "barred": message("the thrower may not come down on him"),
    "unsettled": message("the sources do not settle whether the thrower may come down on him"),
}
_TOUCH: Final = {
    "loses": message("if the thrower is the first to touch the ground with anything but the feet, he loses"),
    "stops play": message(
        "if the thrower is the first to touch the ground with anything but the feet, play stops"
    ),
    "costs a point": message(
        "if the thrower is the first to touch the ground with anything but the feet, it costs him a point"
    ),
    "nothing": message(
        "if the thrower is the first to touch the ground with anything but the feet, it costs him nothing"
    ),
}
_BOTH: Final = {
    "loses": message("if both go down together, the thrower loses"),
    "wrestled again": message("if both go down together, they wrestle again"),
    "counts": message("if both go down together, it counts"),
    "nothing": message("if both go down together, it counts for nothing"),
}
_USES: Final = {
    "any": message("every use of the leg except placing it beside his"),
    "none": message("using no leg"),
    "placed": message("placing a leg beside his"),
    "trip": message("tripping"),
    "block": message("blocking with the leg"),
    "hook": message("hooking with the leg"),
    "reap": message("reaping with the leg"),
    "sweep": message("sweeping with the leg"),
    "stroke": message("striking with the foot"),
    "kick": message("kicking"),
    "lift": message("lifting with the leg"),
    "foot on the body": message("placing a foot on the body"),
}
_SHOD: Final[dict[Footwear, str]] = {
    "barefoot": message("with bare feet"),
    "stockinged": message("in stockinged feet"),
    "shod": message("in shoes"),
}
_WHEN: Final = {
    "with him on the ground": message("while he stands on the ground"),
    "once he is off it": message("once he is off the ground"),
}
_HOW_STOOD: Final = {"standing": message("while standing"), "on the ground": message("on the ground")}
_ONE: Final[dict[Stance, str]] = {
    "allowed": "%(what)s is allowed",
    "barred": "%(what)s is barred",
    "unsettled": "%(what)s is mentioned, but the sources do not settle whether it is allowed",
}
_MANY: Final[dict[Stance, str]] = {
    "allowed": "%(what)s are allowed",
    "barred": "%(what)s are barred",
    "unsettled": "%(what)s are mentioned, but the sources do not settle whether they are allowed",
}
_BY_NAME: Final[dict[Stance, str]] = {
    "allowed": "allowed by name: %(names)s",
    "barred": "barred by name: %(names)s",
    "unsettled": "named, but the sources do not settle whether it is allowed: %(names)s",
}
_BY_LOOKS: Final[dict[Stance, str]] = {
    "allowed": "allowed under any name if it looks like this: %(looks)s",
    "barred": "barred under any name if it looks like this: %(looks)s",
    "unsettled": (
        "the sources do not settle whether it is allowed, under any name, if it looks like this: %(looks)s"
    ),
}
_LOOKS: Final = {
    "leg_use": message("use of the leg"),
    "limb": message("limb used on him"),
    "limb_side": message("side of that limb"),
    "contact": message("place where he is touched"),
    "facing": message("how the thrower stands"),
    "off_balance": message("direction in which his balance is broken"),
    "first_down": message("who touches the ground first"),
    "pressure": message("what is pressed"),
}
_LANDS: Final = {
    True: message("the thrower comes down on him"),
    False: message("the thrower does not come down on him"),
}
_PRESSED: Final[dict[str, str]] = {
    **{name: f"pressure on the {name}" for name in PRESSURES},
    "any": message("any pressure on a joint, the neck or the throat, and any grip that only hurts"),
    "joint": message("bending a joint"),
    "pain": message("a grip that only hurts"),
}
_ZONE: Final[dict[Holdable, str]] = {
    "clothing": message("on the clothing"),
    "flesh": message("on the flesh"),
    "legs": message("on the legs"),
}
_PART: Final = {
    "shoulder": (message("a shoulder"), message("both shoulders")),
    "hip": (message("a hip"), message("both hips")),
    "back": (message("the back"), message("the back")),
    "side": (message("a side"), message("both sides")),
    "seat": (message("the seat"), message("the seat")),
    "knee": (message("a knee"), message("both knees")),
    "hand": (message("a hand"), message("both hands")),
    "anything but the feet": (message("anything but the feet"), message("anything but the feet")),
}
"""What touches in a fall, named once and named twice."""

_TOGETHER: Final = {True: message("at the same time"), False: message("one after another also counts")}
_OTHER: Final = {
    "lift": message("lifting him clear of the ground also wins"),
    "ring-out": message("putting him out of the ring also wins"),
}


def sentence(clause: AnyClause) -> str:
    """Return a clause as one plain English sentence with its limits; a clause that states nothing says so."""
    return as_sentence(clause_parts(clause), clause_limits(clause))


def as_sentence(parts: Sequence[str], limits: Sequence[str]) -> str:
    """Join the parts and limits of a clause, each already in the reader's language, into one sentence."""
    text = "; ".join(parts)
    limited = f" ({', '.join(limits)})" if limits else ""
    return f"{text[0].upper()}{text[1:]}{limited}."


def clause_parts(clause: AnyClause) -> tuple[str, ...]:
    """Return what a clause states, one message per statement; if it states nothing, one that says so."""
    return tuple(part for part in _PARTS[type(clause)](clause) if part) or (SILENT,)


def clause_limits(clause: AnyClause) -> tuple[str, ...]:
    """Return where, when and for whom a clause applies, one message each; empty if it applies everywhere."""
    limits = clause.limits
    texts = (
        _HOW_STOOD[clause.ground] if isinstance(clause, GripRule) and clause.ground else "",
        message("at %(place)s", place=limits.place) if limits.place else "",
        message("in %(years)s", years=_years(limits.years)) if limits.years else "",
        message("for %(wrestlers)s", wrestlers=limits.wrestlers) if limits.wrestlers else "",
    )
    return tuple(part for part in texts if part)


def _years(edtf: str) -> str:
    """Return years in words, or unchanged if they are not a date."""
    try:
        return dates.said(dates.parse(edtf))
    except BadInput:
        return edtf


def _and(words: Sequence[str]) -> str:
    """Join messages with *and*."""
    *first, last = words
    return message("%(these)s and %(last)s", these=joined(first, ", "), last=last) if first else last


def _or(words: Sequence[str]) -> str:
    """Join messages with *or*."""
    *first, last = words
    return message("%(these)s or %(last)s", these=joined(first, ", "), last=last) if first else last


def _held(places: tuple[Holdable, ...]) -> str:
    """Return places and zones as a list; in English “on the” is not repeated."""
    phrases = [str(PLACE_PHRASES.get(place) or _ZONE.get(place, place)) for place in places]
    listed = _or([message(phrase) for phrase in phrases])
    english = place_list(phrases)

    def by(speaker: Translator) -> str:
        translated = translate(listed, speaker)
        return english if translated == listed else translated

    return message_by(english, by)


def _start(clause: AnyClause) -> Iterator[str]:
    if not isinstance(clause, StartHold):
        return
    if clause.right:
        yield message("the right hand starts %(place)s", place=_held(clause.right))
    else:
        yield message("the right hand starts free")
    if clause.left:
        yield message("the left hand starts %(place)s", place=_held(clause.left))
    else:
        yield message("the left hand starts free")
    yield _FIRST[clause.first] if clause.first else ""
    yield _LEFT_HANDED[clause.left_handed] if clause.left_handed else ""


def _keep(clause: AnyClause) -> Iterator[str]:
    if not isinstance(clause, KeepRule):
        return
    if clause.keep == "within a zone":
        yield from _zone(clause)
    elif clause.keep:
        yield _KEEP[clause.keep]
    yield _LOSS[clause.loss] if clause.loss else ""


def _zone(clause: KeepRule) -> Iterator[str]:
    if not clause.zone:
        yield message("no hand may leave the start hold")
    elif clause.shifts == "right":
        yield message(
            "the right hand may leave the start hold, but only to hold %(place)s", place=_held(clause.zone)
        )
        yield message("the left hand must keep the start hold")
    elif clause.shifts == "left":
        yield message("the right hand must keep the start hold")
        yield message(
            "the left hand may leave the start hold, but only to hold %(place)s", place=_held(clause.zone)
        )
    else:
        yield message("a hand that leaves the start hold may hold only %(place)s", place=_held(clause.zone))


def _grip(clause: AnyClause) -> Iterator[str]:
    if not isinstance(clause, GripRule):
        return
    yield message("holds are allowed %(place)s", place=_held(clause.allowed)) if clause.allowed else ""
    yield message("holds are barred %(place)s", place=_held(clause.barred)) if clause.barred else ""
    yield _REST[clause.rest] if clause.rest else ""
    yield _FLAT[clause.flat_hand] if clause.flat_hand else ""
    if clause.worn:
        yield message("worn: %(garments)s", garments=_and([message(each) for each in clause.worn]))
    if clause.not_worn:
        yield message("not worn: %(garments)s", garments=_and([message(each) for each in clause.not_worn]))


def _legs(clause: AnyClause) -> Iterator[str]:
    if not isinstance(clause, LegRule):
        return
    under = (
        _SHOD[clause.footwear] if clause.footwear else "",
        _height(clause),
        _WHEN[clause.when] if clause.when else "",
    )
    yield _bracketed(_stance(clause.stance, [_USES[use] for use in clause.uses]), under)


def _height(clause: LegRule) -> str:
    if not clause.height:
        return ""
    part = message(clause.height)
    if clause.stance == "barred":
        if clause.feet_only:
            return message("the foot only, and only above the %(part)s", part=part)
        return message("only above the %(part)s", part=part)
    if clause.feet_only:
        return message("the foot no higher than the %(part)s", part=part)
    return message("no higher than the %(part)s", part=part)


def _bracketed(rule: str, details: Sequence[str]) -> str:
    under = joined(details, "; ")
    return message("%(rule)s (%(under)s)", rule=rule, under=under) if under else rule


def _stance(stance: Stance, what: Sequence[str]) -> str:
    return message((_ONE if len(what) == 1 else _MANY)[stance], what=_and(what))


def _pressing(clause: AnyClause) -> Iterator[str]:
    if not isinstance(clause, PressureRule):
        return
    stances: tuple[tuple[tuple[str, ...], Stance], ...] = (
        (clause.allowed, "allowed"),
        (clause.barred, "barred"),
        (clause.unsettled, "unsettled"),
    )
    for names, stance in stances:
        if names:
            yield _stance(stance, [message(_PRESSED[name]) for name in names])


def _ground(clause: AnyClause) -> Iterator[str]:
    if not isinstance(clause, GroundRule):
        return
    yield _WORK[clause.work] if clause.work else ""
    yield _TOUCH[clause.touch] if clause.touch else ""
    yield _BOTH[clause.both] if clause.both else ""
    yield _ON_HIM[clause.fall_on_him] if clause.fall_on_him else ""


def _named(clause: AnyClause) -> Iterator[str]:
    if not isinstance(clause, NamedRule):
        return
    if clause.by_consent:
        yield message("the two wrestlers may agree to bar techniques for the bout")
        return
    if clause.names:
        yield message(_BY_NAME[clause.stance], names=", ".join(clause.names))
    if clause.like:
        yield message(_BY_LOOKS[clause.stance], looks=joined(_likeness(clause.like), ", "))
    if not (clause.names or clause.like):
        yield ""


def _likeness(like: Likeness) -> Iterator[str]:
    for name, label in _LOOKS.items():
        values: tuple[str, ...] = getattr(like, name)
        if values:
            yield message("%(label)s: %(values)s", label=label, values=_or([message(v) for v in values]))
    for value in dict.fromkeys(like.falls_on_him):
        yield _LANDS[value]


def _fall(clause: AnyClause) -> Iterator[str]:
    if not isinstance(clause, FallRule):
        return
    if clause.parts:
        parts = _and(_touching(clause))
        if clause.number and clause.number != len(clause.parts):
            text = message("a fall is any %(number)s of these on the ground: %(parts)s",
                           number=clause.number, parts=parts)  # fmt: skip
        else:
            text = message("a fall is %(parts)s on the ground", parts=parts)
        yield _bracketed(text, [_TOGETHER[clause.together]] if clause.together is not None else [])
    yield from (_OTHER[way] for way in clause.other)
    if clause.part_falls:
        yield message("part-falls: %(text)s", text=clause.part_falls.rstrip("."))


def _touching(clause: FallRule) -> list[str]:
    """Return the parts that touch; *both* for a part named twice or if more are needed than are named."""
    more = bool(clause.number and clause.number > len(clause.parts))
    return [
        _PART[part][1 if more or clause.parts.count(part) > 1 else 0] for part in dict.fromkeys(clause.parts)
    ]


_PARTS: Final[dict[type[AnyClause], Callable[[AnyClause], Iterator[str]]]] = {
    StartHold: _start,
    KeepRule: _keep,
    GripRule: _grip,
    LegRule: _legs,
    PressureRule: _pressing,
    GroundRule: _ground,
    NamedRule: _named,
    FallRule: _fall,
}

CLAUSE_WORDS: Final[tuple[str, ...]] = (
    *_ONE.values(),
    *_MANY.values(),
    *_BY_NAME.values(),
    *_BY_LOOKS.values(),
)
"""Templates that are not literals in a `message` call, listed here for the catalogues."""
