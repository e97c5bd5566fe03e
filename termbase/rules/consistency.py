"""Find clauses of a code that contradict each other or themselves, and compare two codes.

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
"""A subject and what a clause says about it."""


class Contradiction(Struct, frozen=True):
    """Two clauses that cannot both apply.

    Attributes:
        first, second: their ids, in the order of the code.
        subject: what they contradict each other about.
        says: what each says about it.
        sources: the sources of each.
        sentence: the contradiction in plain English.
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
    return tuple(contradiction for first, other in pairs for contradiction in _between(first, other))


def _between(first: AnyClause, other: AnyClause) -> Iterator[Contradiction]:
    if type(first) is not type(other) or not _meet(first.limits, other.limits):
        return
    claims_of_other: dict[str, str] = {}
    for subject, claim in _claims(other):  # for a clause compared with itself, its first claim
        if first is not other or subject not in claims_of_other:
            claims_of_other[subject] = claim
    for subject, claim in _claims(first):
        contrary = claims_of_other.get(subject, claim)
        if contrary != claim and "unsettled" not in (claim, contrary):
            yield Contradiction(
                first.id,
                other.id,
                subject,
                (claim, contrary),
                (first.sources, other.sources),
                message(
                    "On %(subject)s, clause %(one)s says %(said)s and clause %(other)s says %(contrary)s.",
                    subject=subject,
                    one=_cited(first),
                    said=message(claim),
                    other=_cited(other),
                    contrary=message(contrary),
                ),
            )


def _cited(clause: AnyClause) -> str:
    if not clause.sources:
        return message("%(clause)s (no source)", clause=clause.id)
    return f"{clause.id} ({', '.join(clause.sources)})"


def _meet(first: Limits, other: Limits) -> bool:
    for a, b in ((first.place, other.place), (first.wrestlers, other.wrestlers)):
        if a and b and a.casefold() != b.casefold():
            return False
    (start, end), (begin, stop) = years_of(first.years), years_of(other.years)
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
    return ((subject, claim) for subject, claim in claims if claim is not None)


# Compare two rule codes family by family.


@dataclass(frozen=True, slots=True)
class FamilyComparison:
    """What two codes say in one family.

    Attributes:
        family: the family.
        one, other: the clauses of each, in the order of the code; empty if it is silent.
        alike: True if both say the same, in whatever order and wording.
        shared: what both say, as sentences.
    """

    family: Family
    one: tuple[AnyClause, ...]
    other: tuple[AnyClause, ...]
    alike: bool
    shared: frozenset[str]


def compare(first: RuleCode, other: RuleCode) -> tuple[FamilyComparison, ...]:
    """Compare both codes in every family, in order; clauses are alike when they produce the same sentence.

    Ids, sources and the sources' own words do not count.
    """
    return tuple(_compared(name, first, other) for name in FAMILIES)


def _compared(name: Family, first: RuleCode, other: RuleCode) -> FamilyComparison:
    mine = tuple(c for c in first.clauses if family(c) == name)
    theirs = tuple(c for c in other.clauses if family(c) == name)
    own_sentences, other_sentences = Counter(map(sentence, mine)), Counter(map(sentence, theirs))
    return FamilyComparison(
        name, mine, theirs, own_sentences == other_sentences, frozenset(own_sentences & other_sentences)
    )
