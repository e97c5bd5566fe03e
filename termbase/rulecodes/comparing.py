"""Compare two rule codes family by family."""

from collections import Counter
from dataclasses import dataclass

from termbase.rules.clauses import FAMILIES, AnyClause, Family, RuleCode, family
from termbase.rules.sentences import sentence

__all__ = ["FamilyComparison", "compare"]


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
