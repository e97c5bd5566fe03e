"""Clauses of one code that contradict one another, or themselves.

Two clauses contradict when, equally specific, one allows what the other bars, or they state different things
where only one can hold, and their limits in place, years and class can meet. A ban with a height and a leave
with one do not contradict: they draw a line together.
"""

from collections.abc import Iterator
from itertools import combinations_with_replacement

from msgspec import Struct

from termbase.rulecodes.clauses import (
    AnyClause,
    GripRule,
    GroundRule,
    KeepRule,
    LegRule,
    Limits,
    NamedRule,
    PressureRule,
    RuleCode,
    StartHold,
)
from termbase.rulecodes.limits import years_of

__all__ = ["Contradiction", "contradictions"]

Claim = tuple[str, str]
"""A subject and what is said of it."""


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
    """Every pair of clauses that contradict, once for each subject, in the order of the code.

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
                f"On {subject}, clause {_cited(one)} says {said} and clause {_cited(other)} says {contrary}.",
            )


def _cited(clause: AnyClause) -> str:
    return f"{clause.id} ({', '.join(clause.sources) or 'no source'})"


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
    """What a clause states, subject by subject; a subject names everything that makes it more specific."""
    match clause:
        case StartHold():
            hold = f"the start hold right on {', '.join(clause.right)} and left on {', '.join(clause.left)}"
            yield from _some(
                (f"{hold}, left-handed", clause.left_handed), (f"{hold}, first hand", clause.first)
            )
        case KeepRule():
            yield from _some(("keeping the hold", clause.keep), ("what losing the hold costs", clause.loss))
        case GripRule():
            yield from _grips(clause)
        case LegRule():
            if clause.height is None or clause.stance != "barred":
                yield from ((f"legs: {use}{_when(clause)}", clause.stance) for use in clause.uses)
            if clause.height is not None:
                side = "above which part it is barred" if clause.stance == "barred" else "up to which part"
                foot = ", with the foot" if clause.feet_only else ""
                yield from (
                    (f"legs: {use}{_when(clause)}{foot}, {side}", clause.height) for use in clause.uses
                )
        case PressureRule():
            yield from ((f"pressure: {name}", "allowed") for name in clause.allowed)
            yield from ((f"pressure: {name}", "barred") for name in clause.barred)
        case GroundRule():
            yield from _some(
                ("wrestling on the ground", clause.work),
                ("touching the ground first", clause.touch),
                ("going down together", clause.both),
                ("falling on him", clause.fall_on_him),
            )
        case NamedRule():
            yield from ((f"the technique “{name.casefold()}”", clause.stance) for name in clause.names)
        case _:
            yield from ()


def _when(clause: LegRule) -> str:
    """What makes a clause on the legs more specific: the moment, and what is on the feet."""
    return "".join(f" {part}" for part in (clause.when, clause.footwear) if part)


def _grips(clause: GripRule) -> Iterator[Claim]:
    where = f" {clause.ground}" if clause.ground else ""
    yield from ((f"holding: {place}{where}", "allowed") for place in clause.allowed)
    yield from ((f"holding: {place}{where}", "barred") for place in clause.barred)
    yield from _some((f"every other hold{where}", clause.rest), ("a flat hand", clause.flat_hand))
    yield from ((f"wearing: {garment}", "worn") for garment in clause.worn)
    yield from ((f"wearing: {garment}", "not worn") for garment in clause.not_worn)


def _some(*claims: tuple[str, str | None]) -> Iterator[Claim]:
    return ((subject, said) for subject, said in claims if said is not None)
