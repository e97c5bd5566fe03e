"""Put verdicts into words: the English wording, and the functions that fill it in.

A wording is a set of tables, so a translation is data: templates by key, and the words of the vocabulary.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from termbase.judging.verdict import Change, Edit, GripChange, Missing, Params, Reason, Verdict, VerdictWord
from termbase.technique.profile import PRESSURES, LegUse
from termbase.technique.words import PLACE_PHRASES

__all__ = ["ENGLISH", "Wording", "to_words"]


@dataclass(frozen=True, slots=True)
class Wording:
    """How verdicts are put into words in one language.

    Attributes:
        templates: a sentence for each template key, its parameters in braces.
        words: a word or phrase for each value and attribute; a value without one is shown unchanged.
        places: the phrase for each place a hand may be, as it follows “the hand is”.
        alternative, conjunction: what joins two alternatives, and two conditions.
    """

    templates: Mapping[str, str]
    words: Mapping[str, str] = field(default_factory=dict)
    places: Mapping[str, str] = field(default_factory=dict)
    alternative: str = " or "
    conjunction: str = " and "


_TEMPLATES: Final[dict[str, str]] = {
    "hand.allowed": "The {hand} hand is {place}, where a hold is allowed.",
    "hand.kept": "The {hand} hand is {place}, on the hold that is kept.",
    "hand.lost": "The {hand} hand is {place}, off the hold that must be kept.",
    "hand.lets go": "The {hand} hand lets go before he is down, but the hold must be kept.",
    "hand.start": "The {hand} hand is {place}, on the start hold.",
    "hand.keeping unsaid": (
        "The {hand} hand is {place}, off the start hold; no clause says whether it may be."
    ),
    "hand.flat": "The {hand} hand lies flat {place}, which is allowed above the waist.",
    "hand.flat unknown": "The {hand} hand is {place}; a flat hand would be allowed there, a grip would not.",
    "hand.not worn": "The {hand} hand is {place}, but no such garment is worn.",
    "hand.barred": "The {hand} hand is {place}, where no hold is allowed.",
    "hand.unsettled": "The {hand} hand is {place}; the sources do not settle whether that is allowed.",
    "hand.where": "The {hand} hand is {place}; that is judged differently standing and on the ground.",
    "hand.part": "The {hand} hand is {place}; whether that is allowed depends on the part held.",
    "hand.silent": "The {hand} hand is {place}; no clause covers such a hold.",
    "hand.not stated": "It is not stated where the {hand} hand is.",
    "hands.one kept": "One hand is on the start hold, as it must be.",
    "hands.one unknown": "It is not known whether one hand is on the start hold, as it must be.",
    "hands.none kept": "Neither hand is on the start hold; one must be.",
    "leg.not stated": "It is not stated what the leg does.",
    "leg.none": "No leg is used.",
    "leg.silent": "A leg is used ({use}); no clause covers that.",
    "leg.which": "A leg is used ({use}); whether that is allowed depends on which kind it is.",
    "leg.doubt": "A leg is used ({use}); it is not known whether this clause applies to it.",
    "leg.unsettled": "A leg is used ({use}); the sources do not settle whether that is allowed.",
    "leg.allowed": "A leg is used ({use}), which is allowed.",
    "leg.barred": "A leg is used ({use}), which is barred.",
    "leg.within": "The leg touches no higher than the {height} ({contact}), which is allowed.",
    "leg.too high": "The leg touches higher than the {height} ({contact}), which is barred.",
    "leg.height unknown": "It is not known whether the leg touches higher than the {height}.",
    "pressure.not stated": "It is not stated whether a joint, the neck or the throat is pressed.",
    "pressure.none": "No joint, neck or throat is pressed.",
    "pressure.which joint": "A joint is pressed; whether that is allowed depends on which.",
    "pressure.silent": "There is pressure ({pressure}); no clause covers that.",
    "pressure.unsettled": (
        "There is pressure ({pressure}); the sources do not settle whether that is allowed."
    ),
    "pressure.allowed": "There is pressure ({pressure}), which is allowed.",
    "pressure.barred": "There is pressure ({pressure}), which is barred.",
    "ground.not stated": "It is not stated whether it is done standing or on the ground.",
    "ground.standing": "It is done standing.",
    "ground.silent": "It is done on the ground; no clause covers wrestling there.",
    "ground.ended": "It is done on the ground, but the hold is over once anyone has touched it.",
    "ground.unsettled": "It is done on the ground; the sources do not settle whether that is allowed.",
    "ground.allowed": "It is done on the ground, which is allowed.",
    "ground.barred": "It is done on the ground, which is barred.",
    "touch.not stated": "It is not stated who touches the ground first.",
    "touch.he": "He touches the ground first.",
    "touch.both lose": "Both touch the ground together, which loses.",
    "touch.again": "Both touch the ground together, so they wrestle again.",
    "touch.both count": "Both touch the ground together, which breaks no rule.",
    "touch.loses": "The thrower touches the ground first, which loses.",
    "touch.stops play": "The thrower touches the ground first, which stops play.",
    "touch.costs a point": "The thrower touches the ground first, which costs a point but breaks no rule.",
    "touch.nothing": "The thrower touches the ground first, which costs nothing.",
    "touch.implied": "The thrower touches the ground too; wrestling continues there, so it costs nothing.",
    "touch.silent": "The thrower touches the ground too; no clause says what that costs.",
    "fall on.not stated": "It is not stated whether the thrower comes down on him.",
    "fall on.no": "The thrower does not come down on him.",
    "fall on.unsettled": "The thrower comes down on him; the sources do not settle whether that is allowed.",
    "fall on.allowed": "The thrower comes down on him, which is allowed.",
    "fall on.barred": "The thrower comes down on him, which is barred.",
    "named.allowed": "It is allowed by name ({names}).",
    "named.barred": "It is barred by name ({names}).",
    "named.consent": "The two wrestlers agreed to bar it for this bout.",
    "named.unsettled": "It is named ({names}); the sources do not settle whether it is allowed.",
    "named.perhaps": "It may be what the code names ({names}); too little is stated to decide.",
    "ask.attribute": "Find out {subject}.",
    "ask.part": "Find out more exactly {subject}.",
    "ask.trip": "Find out which kind of trip it is.",
    "ask.stroke": "Find out whether the foot kicks or sweeps.",
    "ask.joint": "Find out which joint is pressed.",
    "ask.essential": "Find out {subject}.",
    "ask.also": "Find out {subject}: a trial would show it.",
    "ask.left form": "Find out whether it is done left-handed too.",
    "ask.left-handed": "Find a source that says whether the start hold may be taken left-handed.",
    "ask.silence": "Find a source that says what the rules were on {subject}.",
    "ask.unsettled": "Find a source that settles what the rules were on {subject}.",
    "ask.named": "Find a source that settles whether this is allowed: {names}.",
    "ask.circumstance": "State {subject}: a clause is limited to {limit}.",
    "grip.move": "Move the {hand} hand: {to}.",
    "grip.keep": "Keep the {hand} hand on its hold until he is down.",
    "grip.either": "Keep the {hand} hand where it is, or move it: {to}.",
    "change": "It would fit if {edits}.",
    "change.grip": "It would fit with a changed grip if {edits}.",
    "edit.places": "the {hand} hand could be {value}",
    "edit.essential": "the {hand} hand could do the same work elsewhere",
    "edit.lets_go": "the {hand} hand could stay on its hold",
    "edit.leg_use.none": "no leg were used",
    "edit.leg_use.placed": "the leg were only placed beside his",
    "edit.leg_use.trip": "the leg tripped him",
    "edit.leg_use.block": "the leg blocked him",
    "edit.leg_use.hook": "the leg hooked him",
    "edit.leg_use.reap": "the leg reaped him",
    "edit.leg_use.sweep": "the leg swept him",
    "edit.leg_use.stroke": "the foot struck him",
    "edit.leg_use.kick": "the leg kicked him",
    "edit.leg_use.lift": "the leg lifted him",
    "edit.leg_use.foot on the body": "the foot were placed on his body",
    "edit.contact": "he were touched no higher than the {value}",
    "edit.leg_when": "the leg worked only once he is off the ground",
    "edit.facing.front": "the two wrestlers stood face to face",
    "edit.facing.side": "the thrower stood side on to him",
    "edit.facing.back to him": "the thrower stood with his back to him",
    "edit.facing.behind him": "the thrower stood behind him",
    "edit.facing.same way": "both faced the same way",
    "edit.first_down": "he touched the ground first",
    "edit.falls_on_him": "the thrower did not come down on him",
    "edit.pressure": "no joint, neck or throat were pressed",
    "edit.ground": "it were done standing",
    VerdictWord.FITS: "Fits.",
    VerdictWord.FITS_CHANGED: "Fits with a changed grip.",
    VerdictWord.BREAKS: "Breaks the rules.",
    "open": "Open: this cannot be decided yet.",
}

_USES: Final[dict[str, str]] = {
    "placed": "placed beside his",
    "stroke": "stroke of the foot",
}
"""Uses of the leg as written in brackets, if the plain word does not fit there."""

_ACTS: Final[dict[LegUse, str]] = {
    "placed": "placing a leg beside his",
    "trip": "tripping",
    "block": "blocking with the leg",
    "hook": "hooking with the leg",
    "reap": "reaping with the leg",
    "sweep": "sweeping with the leg",
    "stroke": "striking with the foot",
    "kick": "kicking",
    "lift": "lifting with the leg",
    "foot on the body": "placing a foot on the body",
}
_UNCOVERED: Final[dict[str, str]] = {
    "keeping": "keeping the hold",
    "ground: work": "wrestling on the ground",
    "ground: thrower touching first": "the thrower touching the ground first",
    "ground: both touching first": "both touching the ground together",
    "ground: falling on him": "coming down on him",
    **{f"legs: {use}": act for use, act in _ACTS.items()},
    **{f"grips: {place}": f"holds {phrase}" for place, phrase in PLACE_PHRASES.items()},
    **{f"pressure: {part}": f"pressure on the {part}" for part in PRESSURES},
    "pressure: joint": "bending a joint",
    "pressure: pain": "grips that only hurt",
}
"""What a code may be silent on, or mention without settling it."""

_SUBJECTS: Final[dict[str, str]] = {
    **{
        f"{side}.{field}": words.format(side=side)
        for side in ("right", "left")
        for field, words in (
            ("places", "where the {side} hand holds"),
            ("also", "where else the {side} hand could hold and do the same work"),
            ("work", "what the {side} hand does"),
            ("essential", "whether the {side} hand must hold exactly there"),
            ("lets_go", "whether the {side} hand lets go before he is down"),
        )
    },
    "leg_use": "what the leg does",
    "leg_when": "whether he is still on the ground when the leg works",
    "limb": "which part of the leg works on him",
    "limb_side": "which leg works on him",
    "contact": "where he is touched",
    "facing": "how the two wrestlers stand in relation to each other",
    "off_balance": "in which direction his balance is broken",
    "first_down": "who touches the ground first",
    "falls_on_him": "whether the thrower comes down on him",
    "pressure": "what is pressed",
    "ground": "whether it is done standing or on the ground",
    "left_form": "whether it is done left-handed too",
    "place": "where the bout is",
    "year": "in which year the bout is",
    "wrestlers": "which class of wrestler the bout is for",
    "footwear": "what is on the feet",
    **_USES,
    **_UNCOVERED,
}

ENGLISH: Final = Wording(_TEMPLATES, _SUBJECTS, PLACE_PHRASES)
"""Plain English."""


_PLACES = frozenset({"place", "places", "to"})
"""The parameters and attributes whose values are places of a hand."""


def to_words(item: Reason | Missing | GripChange | Change | Verdict, wording: Wording = ENGLISH) -> str:
    """Return one plain sentence for a reason, a gap, a grip to change, a smallest change or a verdict.

    A verdict's own sentence is its headline; its reasons, gaps and grips have theirs.
    """
    match item:
        case Reason():
            return _fill(item.template, item.params, wording)
        case Missing():
            subject = _subject(item.subject, wording)
            return _fill(item.template, item.params, wording, subject=subject)
        case GripChange():
            return _grip(item, wording)
        case Change():
            edits = wording.conjunction.join(_edit(edit, wording) for edit in item.edits)
            key = "change" if item.word is VerdictWord.FITS else "change.grip"
            return wording.templates[key].format(edits=edits)
        case Verdict():
            return wording.templates[item.word]


def _grip(grip: GripChange, wording: Wording) -> str:
    key = "grip.move"
    if grip.keep:
        key = "grip.keep" if not grip.to or set(grip.to) & set(grip.places) else "grip.move"
    params = (("hand", grip.hand), ("to", " / ".join(grip.to)))
    return _fill(key, params, wording)


def _edit(edit: Edit, wording: Wording) -> str:
    """Put an edit into words; a template for the value is preferred to the attribute's."""
    hand, _, field = edit.attribute.rpartition(".")
    key = f"edit.{field}.{edit.value}"
    return wording.templates[key if key in wording.templates else f"edit.{field}"].format(
        hand=_word(hand, wording), value=_value(field, edit.value, wording)
    )


def _fill(key: str, params: Params, wording: Wording, subject: str = "") -> str:
    filled = {name: _value(name, value, wording) for name, value in params}
    return wording.templates[key].format(subject=subject, **filled)


def _value(name: str, value: str, wording: Wording) -> str:
    """Return a parameter in words; alternatives, separated by slashes in it, become a list with “or”."""
    phrases = wording.places if name in _PLACES else wording.words
    *first, last = (phrases.get(part, part) for part in value.split(" / "))
    return wording.alternative.join((", ".join(first), last)) if first else last


def _word(word: str, wording: Wording) -> str:
    return wording.words.get(word, word)


def _subject(subject: str, wording: Wording) -> str:
    """Return the phrase for an attribute, a circumstance, or what a code is silent on; without one, topic and
    value are put into words separately."""
    if subject in wording.words:
        return wording.words[subject]
    return ": ".join(_word(part, wording) for part in subject.split(": "))
