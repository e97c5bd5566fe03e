"""Convert a clause to and from a page of questions and answers.

The answers are derived from the clauses' types, so a value added there is offered here. An unanswered
question means that the clause is silent on it, which neither allows nor bars anything.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import NoneType
from typing import Final, Literal, get_args, get_origin, get_type_hints

import msgspec

from termbase.errors import BadInput, ReportedAt
from termbase.fields.closed_lists import one_of
from termbase.messages import listed_words, message
from termbase.rules.clauses import FAMILY_OF, AnyClause, Family, Likeness, family, years_of

__all__ = ["NO", "QUESTIONS", "YES", "Answers", "Question", "answers_of", "clause_of"]

Kind = Literal["one", "several", "list", "lines", "text", "number", "truth"]
Answers = Mapping[str, tuple[str, ...]]
"""Answers by question path; unanswered questions are left out."""

YES: Final = "yes"
NO: Final = "no"


@dataclass(frozen=True, slots=True)
class Question:
    """One question about a clause.

    Attributes:
        path: the field: `right`, `limits.years`, `like.contact`.
        asks: the question in plain words.
        kind: how it is answered: *one* or *several* of the values; a comma-separated *list* of values,
            which may repeat; free texts, one per line (*lines*); free *text*; a *number*; *truth*,
            yes or no.
        values: the possible answers; empty for texts and numbers.
        needed: True if the clause cannot be silent on it.
    """

    path: str
    asks: str
    kind: Kind
    values: tuple[str, ...] = ()
    needed: bool = False


_ASKS: Final[dict[Family, dict[str, str]]] = {
    "start hold": {
        "right": "Where does the right hand hold at the start?",
        "left": "Where does the left hand hold at the start?",
        "first": "Which hand takes hold first?",
        "left_handed": "May the same hold be taken with the hands swapped?",
    },
    "keeping": {
        "keep": "What must be kept until he is down?",
        "zone": "If the hands may shift within a zone, where may they go?",
        "shifts": "If only one hand may shift, which one?",
        "loss": "What does losing the hold cost?",
    },
    "grips": {
        "allowed": "Where may a wrestler take hold?",
        "barred": "Where may a wrestler not take hold?",
        "rest": "What about every place that is not named?",
        "flat_hand": "May a flat hand push or steer above the waist?",
        "ground": "Does this apply only standing, or only on the ground?",
        "worn": "What is worn?",
        "not_worn": "What is not worn? (nobody can hold it)",
    },
    "legs": {
        "stance": "What does it say about these uses of the leg?",
        "uses": "Which uses of the leg?",
        "height": "Up to which part of his body? (For a ban: above which part?)",
        "feet_only": "Does the height limit apply to the foot only?",
        "when": "Only while he is on the ground, or only once he is off it?",
        "footwear": "Only with this footwear?",
    },
    "pressure": {
        "allowed": "What may be pressed or bent?",
        "barred": "What may not be pressed or bent?",
        "unsettled": "What do the sources mention without settling it?",
    },
    "ground": {
        "work": "Does wrestling continue on the ground?",
        "touch": "What does it cost the thrower to touch the ground first with anything but the feet?",
        "both": "What happens when both touch the ground together?",
        "fall_on_him": "May the thrower come down on him?",
    },
    "named": {
        "stance": "What does it say about the technique?",
        "names": "By what names? (one per line)",
        "by_consent": "May the two bar techniques by consent before a bout?",
        "like.leg_use": "What it looks like: which use of the leg?",
        "like.limb": "What it looks like: which limb works?",
        "like.limb_side": "What it looks like: on which side?",
        "like.contact": "What it looks like: where is he touched?",
        "like.facing": "What it looks like: how do they stand?",
        "like.off_balance": "What it looks like: in which direction is his balance broken?",
        "like.first_down": "What it looks like: who touches the ground first?",
        "like.pressure": "What it looks like: what is pressed?",
        "like.falls_on_him": "What it looks like: does the thrower come down on him?",
    },
    "fall": {
        "parts": (
            "Which parts must touch? (Separate them with commas; if both of a pair must touch, "
            "name the part twice.)"
        ),
        "number": "How many of them?",
        "together": "At the same time?",
        "other": "How else is a bout won?",
        "part_falls": "What scores less than a fall and adds up?",
    },
}
_COMMON: Final[dict[str, str]] = {
    "limits.place": "Does it apply only in one place, or under one governing body?",
    "limits.years": "Only in certain years? (EDTF: 1868, 1868/1884, 2013/..)",
    "limits.wrestlers": "Only for certain wrestlers? (boys, under 15, women)",
    "words": "What are the source's own words?",
    "sources": "Which sources say so? (one per line)",
}


def _question(kind: type[msgspec.Struct], path: str, asks: str, prefix: str = "") -> Question:
    hint = get_type_hints(kind)[path.removeprefix(prefix)]
    needed = kind.__struct_config__ is not None and path.removeprefix(prefix) in _required(kind)
    if path == "parts":
        return Question(path, asks, "list", _values(hint))
    if hint is bool or _is_truth(hint):
        return Question(path, asks, "truth", (YES, NO), needed)
    if get_origin(hint) is tuple:
        values = _values(get_args(hint)[0])
        return Question(path, asks, "several" if values else "lines", values, needed)
    if int in get_args(hint):
        return Question(path, asks, "number", (), needed)
    values = _values(hint)
    return Question(path, asks, "one" if values else "text", values, needed)


def _required(kind: type[msgspec.Struct]) -> tuple[str, ...]:
    return tuple(f.name for f in msgspec.structs.fields(kind) if f.required)


def _is_truth(hint: object) -> bool:
    inner = [a for a in get_args(hint) if a is not NoneType]
    return inner == [bool] or (get_origin(hint) is tuple and inner[0] is bool)


def _values(hint: object) -> tuple[str, ...]:
    """Return every value of a type made of literals, in order."""
    if get_origin(hint) is Literal:
        return tuple(str(v) for v in get_args(hint))
    values = (value for inner in get_args(hint) if inner is not Ellipsis for value in _values(inner))
    return tuple(dict.fromkeys(values))


def _questions() -> dict[Family, tuple[Question, ...]]:
    kinds = {name: kind for kind, name in FAMILY_OF.items()}
    questions: dict[Family, tuple[Question, ...]] = {}
    for name, asked in _ASKS.items():
        own = [
            _question(Likeness, path, asks, "like.")
            if path.startswith("like.")
            else _question(kinds[name], path, asks)
            for path, asks in asked.items()
        ]
        common = [
            Question(path, asks, "lines" if path == "sources" else "text") for path, asks in _COMMON.items()
        ]
        questions[name] = (*own, *common)
    return questions


QUESTIONS: Final[dict[Family, tuple[Question, ...]]] = _questions()
"""The questions of each family in reading order; those common to every clause come last."""


def answers_of(clause: AnyClause) -> dict[str, tuple[str, ...]]:
    """Return what a clause answers, by question path; it is silent on what is left out."""
    answers = {}
    for question in QUESTIONS[family(clause)]:
        holder, _, name = question.path.rpartition(".")
        part = getattr(clause, holder) if holder else clause
        value = getattr(part, name) if part is not None else None
        texts = _texts(value)
        if texts and not (
            question.kind == "truth" and value is False and name in {"feet_only", "by_consent"}
        ):
            answers[question.path] = texts
    return answers


def clause_of(name: str, clause_id: str, answers: Answers) -> AnyClause:
    """Build the clause from these answers.

    Raises:
        BadInput: there is no such family; the clause has no id; an answer is not one of those possible, or a
            required one is missing. `where` is the path of the question.
    """
    kinds = {known: kind for kind, known in FAMILY_OF.items()}
    wrong = message("“%(name)s” is not a clause family.", name=name)
    kind = kinds[one_of(kinds, name, wrong, where=message("family"))]
    own = " ".join(clause_id.split())
    if not own:
        raise BadInput(
            message("The clause has no number."),
            where=message("id"),
            fix=message("Use the number it has in the source, or one of your own."),
        )
    row: dict[str, object] = {"family": name, "id": own}
    inner: dict[str, dict[str, object]] = {}
    for question in QUESTIONS[FAMILY_OF[kind]]:
        value = _answer(question, answers.get(question.path, ()))
        if value is not None:
            holder, _, field = question.path.rpartition(".")
            (inner.setdefault(holder, {}) if holder else row)[field] = value
    return msgspec.convert({**row, **inner}, kind)


def _answer(question: Question, given: tuple[str, ...]) -> object:
    """Return the value of an answer as the clause stores it; None if it is silent."""
    texts = list(_parts(question, given))
    if not texts:
        if question.needed:
            raise BadInput(
                message("This needs an answer."),
                where=question.path,
                fix=message("Choose one of: %(words)s.", words=listed_words(question.values)),
            )
        return None
    invalid = [t for t in texts if question.values and t not in question.values]
    if invalid:
        raise BadInput(
            message("“%(word)s” is not a valid answer here.", word=invalid[0]),
            where=question.path,
            fix=message("Use: %(words)s.", words=listed_words(question.values)),
        )
    if question.kind in {"several", "list", "lines"}:
        return texts
    if question.kind == "number":
        return _number(question, texts[0])
    if question.kind == "truth":
        return [t == YES for t in texts] if question.path.startswith("like.") else texts[0] == YES
    if question.path == "limits.years":
        with ReportedAt(question.path):
            years_of(texts[0])
    return texts[0]


def _parts(question: Question, given: tuple[str, ...]) -> Iterator[str]:
    for text in given:
        parts = [text]
        if question.kind == "list":
            parts = text.replace("\n", ",").split(",")
        elif question.kind == "lines":
            parts = text.split("\n")
        yield from (cleaned for part in parts if (cleaned := part.strip()))


def _number(question: Question, text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 4):
        raise BadInput(
            message("“%(text)s” is not a small whole number.", text=text),
            where=question.path,
            fix=message("Use digits only."),
        )
    return int(text)


def _texts(value: object) -> tuple[str, ...]:
    if value is None or value == "":
        return ()
    if isinstance(value, bool):
        return (YES if value else NO,)
    if isinstance(value, tuple):
        return tuple(text for item in value for text in _texts(item))
    return (str(value),)
