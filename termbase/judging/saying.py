"""Put a verdict and its parts into words."""

from termbase.judging.verdict import Change, Edit, GripChange, Missing, Params, Reason, Verdict, VerdictWord
from termbase.judging.wording import ENGLISH, Wording

__all__ = ["to_words"]

_PLACES = frozenset({"place", "places", "to"})
"""The parameters and attributes whose values are places of a hand."""


def to_words(what: Reason | Missing | GripChange | Change | Verdict, wording: Wording = ENGLISH) -> str:
    """Return one plain sentence for a reason, a gap, a grip to change, a smallest change or a verdict.

    A verdict's own sentence is its headline; its reasons, gaps and grips have theirs.
    """
    match what:
        case Reason():
            return _fill(what.template, what.params, wording)
        case Missing():
            subject = _subject(what.subject, wording)
            return _fill(what.template, what.params, wording, subject=subject)
        case GripChange():
            return _grip(what, wording)
        case Change():
            edits = wording.conjunction.join(_edit(edit, wording) for edit in what.edits)
            key = "change" if what.word is VerdictWord.FITS else "change.grip"
            return wording.templates[key].format(edits=edits)
        case Verdict():
            return wording.templates[what.word]


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
    """Return a parameter in words; alternatives, joined by a slash in the parameter, become a list with
    “or”."""
    phrases = wording.places if name in _PLACES else wording.words
    *first, last = (phrases.get(part, part) for part in value.split(" / "))
    return wording.alternative.join((", ".join(first), last)) if first else last


def _word(word: str, wording: Wording) -> str:
    return wording.words.get(word, word)


def _subject(subject: str, wording: Wording) -> str:
    """Return the phrase for an attribute, a circumstance, or what a code is silent on; if the wording has
    none, topic and value are put into words one by one."""
    if subject in wording.words:
        return wording.words[subject]
    return ": ".join(_word(part, wording) for part in subject.split(": "))
