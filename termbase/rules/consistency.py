"""Find clauses of one code that contradict each other, or themselves.

Two equally specific clauses contradict each other if one allows what the other bars, or if they state
different things where only one can be true, and their limits in place, years and class overlap. A ban with a
height and a permission with one do not contradict: together they draw a line.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations_with_replacement

from msgspec import Struct

from termbase.messages import joined, listed_words, message
from termbase.rules.clauses import (
    FAMILIES,
    AnyClause,
    Family,
    GripRule,
    GroundRule,
    KeepRule,
    LegRule,
    Limits,
    NamedRule,
    PressureRule,
    RuleCode,
    StartHold,
    family,
    years_of,
)
from termbase.rules.sentences import sentence

__all__ = ["Contradiction", "FamilyComparison", "compare", "contradictions"]


Claim = tuple[str, str]
"""A subject and what is said about it."""


class Contradiction(Struct, frozen=True):
    """Two clauses that cannot both hold.

    Attributes:
        first, second: their ids, in the order of the code.
        subject: what they contradict each other about.
        says: what each says of it.
        sources: the sources of each.
        sentence: all of it in plain English.
    """

    first: str
    second: str
    subject: str
    says: tuple[str, str]
    sources: tuple[tuple[str, ...], tuple[str, ...]]
    sentence: str


def contradictions(code: RuleCode) -> tuple[Contradiction, ...]:
    """Return every pair of clauses that contradict, once for each subject, in the order of the code.

    Raises:
        BadInput: if the years of a clause cannot be read.
    """
    pairs = combinations_with_replacement(code.clauses, 2)
    return tuple(found for one, other in pairs for found in _between(one, other))


def _between(one: AnyClause, other: AnyClause) -> Iterator[Contradiction]:
    if type(one) is not type(other) or not _meet(one.limits, other.limits):
        return
    theirs: dict[str, str] = {}
    for subject, said in _claims(other):  # of a clause against itself, what it said first
        if one is not other or subject not in theirs:
            theirs[subject] = said
    for subject, said in _claims(one):
        contrary = theirs.get(subject, said)
        if contrary != said and "unsettled" not in (said, contrary):
            yield Contradiction(
                one.id,
                other.id,
                subject,
                (said, contrary),
                (one.sources, other.sources),
                message(
                    "On %(subject)s, clause %(one)s says %(said)s and clause %(other)s says %(contrary)s.",
                    subject=subject,
                    one=_cited(one),
                    said=message(said),
                    other=_cited(other),
                    contrary=message(contrary),
                ),
            )


def _cited(clause: AnyClause) -> str:
    if not clause.sources:
        return message("%(clause)s (no source)", clause=clause.id)
    return f"{clause.id} ({', '.join(clause.sources)})"


def _meet(one: Limits, other: Limits) -> bool:
    for a, b in ((one.place, other.place), (one.wrestlers, other.wrestlers)):
        if a and b and a.casefold() != b.casefold():
            return False
    (start, end), (begin, stop) = years_of(one.years), years_of(other.years)
    apart = (end is not None and begin is not None and end < begin) or (
        stop is not None and start is not None and stop < start
    )
    return not apart


def _claims(clause: AnyClause) -> Iterator[Claim]:
    """Yield what a clause states, subject by subject; a subject names everything that makes it specific."""
    match clause:
        case StartHold():
            hold = message(
                "the start hold with the right hand on %(right)s and the left hand on %(left)s",
                right=listed_words(clause.right),
                left=listed_words(clause.left),
            )
            yield from _some(
                (joined((hold, message("left-handed")), ", "), clause.left_handed),
                (joined((hold, message("first hand")), ", "), clause.first),
            )
        case KeepRule():
            yield from _some(
                (message("keeping the hold"), clause.keep),
                (message("which hand may shift"), clause.shifts),
                (message("what losing the hold costs"), clause.loss),
            )
        case GripRule():
            yield from _grips(clause)
        case LegRule():
            if clause.height is None or clause.stance != "barred":
                yield from ((_legs(use, clause), clause.stance) for use in clause.uses)
            if clause.height is not None:
                side = (
                    message("the part above which it is barred")
                    if clause.stance == "barred"
                    else message("the part up to which it applies")
                )
                foot = message("with the foot") if clause.feet_only else ""
                yield from (
                    (joined((_legs(use, clause), foot, side), ", "), clause.height) for use in clause.uses
                )
        case PressureRule():
            yield from ((_pressure(name), "allowed") for name in clause.allowed)
            yield from ((_pressure(name), "barred") for name in clause.barred)
        case GroundRule():
            yield from _some(
                (message("wrestling on the ground"), clause.work),
                (message("touching the ground first"), clause.touch),
                (message("going down together"), clause.both),
                (message("falling on him"), clause.fall_on_him),
            )
        case NamedRule():
            yield from (
                (message("the technique “%(name)s”", name=name.casefold()), clause.stance)
                for name in clause.names
            )
        case _:
            yield from ()


def _legs(use: str, clause: LegRule) -> str:
    """Return a use of the leg with what makes the clause more specific: the moment and the footwear."""
    parts = (use, clause.when or "", clause.footwear or "")
    return message("legs: %(use)s", use=joined(message(part) for part in parts if part))


def _pressure(name: str) -> str:
    return message("pressure: %(name)s", name=message(name))


def _grips(clause: GripRule) -> Iterator[Claim]:
    yield from ((_holding(place, clause), "allowed") for place in clause.allowed)
    yield from ((_holding(place, clause), "barred") for place in clause.barred)
    yield from _some(
        (joined((message("every other hold"), _where(clause))), clause.rest),
        (message("a flat hand"), clause.flat_hand),
    )
    yield from ((_wearing(garment), message("worn")) for garment in clause.worn)
    yield from ((_wearing(garment), message("not worn")) for garment in clause.not_worn)


def _holding(place: str, clause: GripRule) -> str:
    return message("holding: %(place)s", place=joined((message(place), _where(clause))))


def _where(clause: GripRule) -> str:
    return message(clause.ground) if clause.ground else ""


def _wearing(garment: str) -> str:
    return message("wearing: %(garment)s", garment=message(garment))


def _some(*claims: tuple[str, str | None]) -> Iterator[Claim]:
    return ((subject, said) for subject, said in claims if said is not None)


# Compare two rule codes family by family.


@dataclass(frozen=True, slots=True)
class FamilyComparison:
    """What two codes say in one family.

    Attributes:
        family: which.
        one, other: the clauses of each, in the order of the code; empty where it is silent.
        alike: True if both say the same, in whatever order and words.
        shared: what both say, as sentences.
    """

    family: Family
    one: tuple[AnyClause, ...]
    other: tuple[AnyClause, ...]
    alike: bool
    shared: frozenset[str]


def compare(one: RuleCode, other: RuleCode) -> tuple[FamilyComparison, ...]:
    """Compare both codes in every family, in order; clauses are alike when they produce the same sentence.

    Ids, sources and the sources' own words do not count.
    """
    return tuple(_compared(name, one, other) for name in FAMILIES)


def _compared(name: Family, one: RuleCode, other: RuleCode) -> FamilyComparison:
    mine = tuple(c for c in one.clauses if family(c) == name)
    theirs = tuple(c for c in other.clauses if family(c) == name)
    said, told = Counter(map(sentence, mine)), Counter(map(sentence, theirs))
    return FamilyComparison(name, mine, theirs, said == told, frozenset(said & told))
