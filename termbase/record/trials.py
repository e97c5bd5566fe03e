"""Trials: what was tried on the mat."""

import re
from dataclasses import KW_ONLY, dataclass
from enum import StrEnum
from typing import Annotated, Final

from termbase.fields.declarations import VERSION, Block, Date, Id, Lines, Member, Reference
from termbase.judging.verdict import VerdictWord
from termbase.messages import message

__all__ = ["Outcome", "Trial", "contradicts", "initials_for", "names_in_full"]

_BETWEEN: Final = re.compile(r"\s*(?:[,;&/+\n]|\b(?:and|a|ac|agus)\b)\s*")
_WORDS: Final = re.compile(r"[\s.\-]+")
_MOST_INITIALS: Final = 4


class Outcome(StrEnum):
    """How a trial went. Nothing here says that a technique is safe."""

    WORKS = "works"
    WORKS_CHANGED = "works with a change"
    FAILS = "fails"


_DAY: Final = Date(
    title=True,
    needed=True,
    missing=(
        message("The date is missing."),
        message("Give the day, or just 2026-05 or 2026 if you are not sure."),
    ),
)


@dataclass(frozen=True)
class Trial:
    """One trial of a technique; it never overwrites a verdict, both are shown.

    Attributes:
        id: assigned once and never reused.
        entry_id: id of the entry.
        date: EDTF.
        outcome: how it went.
        place: where it was tried.
        people: initials of those who took part.
        code_id: id of the rule code it was tried under, if any.
        holds: the holds used.
        done: what was done.
        change: what was changed.
        safety: what was noticed about safety.
        injuries: injuries, if any.
        image_ids: ids of the pictures.
        version: counts the changes.
    """

    id: Annotated[str, Id(bookkeeping=True)]
    entry_id: Annotated[str, Reference("entry", to="entry")]
    date: Annotated[str, _DAY]
    outcome: Annotated[Outcome, Member()]
    _: KW_ONLY
    place: Annotated[str, Block()] = ""
    people: Annotated[str, Block()] = ""
    code_id: Annotated[str, Reference("rule code", to="code")] = ""
    holds: Annotated[str, Block()] = ""
    done: Annotated[str, Block()] = ""
    change: Annotated[str, Block()] = ""
    safety: Annotated[str, Block()] = ""
    injuries: Annotated[str, Block()] = ""
    image_ids: Annotated[tuple[str, ...], Lines("picture", to="image")] = ()
    version: Annotated[int, VERSION] = 0


def contradicts(outcome: Outcome, verdict: str) -> bool:
    """Return whether a trial and the final verdict under its code cannot both be right: it works but breaks
    the rules, or fails but fits. A trial with a change concerns another technique."""
    works_barred = verdict == VerdictWord.BREAKS and outcome is Outcome.WORKS
    return works_barred or (verdict == VerdictWord.FITS and outcome is Outcome.FAILS)


def names_in_full(people: str) -> bool:
    """Return whether people are named by more than their initials (`R.A.`, `RA`, `Ll. D.`, `J-P. D.`).

    A word counts as initials if it is one letter, one capital and one small letter before a full stop, or up
    to four capitals.
    """
    return any(not _is_initial(word) for person in _each(people) for word in _parts(person))


def initials_for(people: str) -> str:
    """Return people's initials, if they are named in full: `Ruth Ashbarrow, S.L.` becomes `R.A., S.L.`"""
    return ", ".join(
        person
        if all(_is_initial(word) for word in _parts(person))
        else "".join(f"{word[0].upper()}." for word in _WORDS.split(person) if word[:1].isalnum())
        for person in _each(people)
    )


def _each(people: str) -> list[str]:
    return [person.strip() for person in _BETWEEN.split(people) if person.strip()]


def _parts(person: str) -> list[str]:
    """Return the words of a name, each with the full stop after it."""
    return [part for part in re.findall(r"[^\s.\-]+\.?", person) if part]


def _is_initial(word: str) -> bool:
    letters = word.rstrip(".")
    if len(letters) <= 1:
        return True
    if word.endswith(".") and len(letters) == 2:
        return letters[0].isupper() and letters[1].islower()
    return len(letters) <= _MOST_INITIALS and letters.isupper()
