"""The result of judging. Every sentence is a template key with parameters, so that the language can be chosen
later: `termbase.judging.wording.to_words` puts it into words."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Final, Literal, TypeVar

from msgspec import Struct

from termbase.rules.clauses import AnyClause, Footwear
from termbase.technique.profile import Basis, Place, Stated

__all__ = [
    "FITTING",
    "UNKNOWN",
    "VERDICT_WORDS",
    "Change",
    "Circumstances",
    "Edit",
    "Finding",
    "GripChange",
    "Missing",
    "MissingKind",
    "Params",
    "Reason",
    "Truth",
    "Verdict",
    "VerdictWord",
    "all_of",
    "any_of",
    "ask",
    "both",
    "either",
    "find",
]


class VerdictWord(StrEnum):
    """The verdict; it never says that a technique is safe."""

    FITS = "fits"
    FITS_CHANGED = "fits with a changed grip"
    BREAKS = "breaks the rules"
    OPEN = "open"


VERDICT_WORDS: Final = tuple(word.value for word in VerdictWord)
FITTING: Final = frozenset({VerdictWord.FITS, VerdictWord.FITS_CHANGED})
"""The words under which a technique may be used, as it is or with another grip."""

MissingKind = Literal["attribute", "silence", "unsettled", "circumstance"]
"""*attribute*: the profile does not state it; *silence*: no clause covers it; *unsettled*: a clause mentions
it without settling it; *circumstance*: a clause is limited and the bout is not known."""

Params = tuple[tuple[str, str], ...]
"""The parameters of a template, name and value, the values in the words of the vocabulary."""


@dataclass(frozen=True, slots=True)
class Circumstances:
    """The bout a technique is judged for. Empty or `None` means *not known*.

    Attributes:
        place: where, in the words the code's limits use.
        year: when.
        wrestlers: the class of wrestler.
        barred_by_consent: names of techniques that the two wrestlers agreed to bar.
        footwear: what is on the feet; if not known, what the code says is worn.
    """

    place: str = ""
    year: int | None = None
    wrestlers: str = ""
    barred_by_consent: tuple[str, ...] = ()
    footwear: Footwear | None = None


UNKNOWN: Final = Circumstances()
"""Nothing is known about the bout."""


class Reason(Struct, frozen=True, gc=False):
    """A clause (or two that only decide together) applied to one attribute.

    Attributes:
        clauses, sources: the clauses' ids and their sources; empty where the code is silent.
        attribute: the attribute's path, `leg_use` or `right.places`; empty if the name decides.
        basis, ref: where the attribute's value comes from; `None` if it is not stated.
        truth: True if the clause is met, False if it is broken, `None` if that is not known.
        template, params: the sentence.
    """

    clauses: tuple[str, ...]
    sources: tuple[str, ...]
    attribute: str
    basis: Basis | None
    ref: str
    truth: bool | None
    template: str
    params: Params = ()


class Missing(Struct, frozen=True, gc=False):
    """Something to find out.

    Attributes:
        kind: what kind of gap it is.
        subject: an attribute's path; what the code would have to cover (`legs: kick`); or the
            circumstance (`place`, `year`, `wrestlers`, `footwear`).
        clause: the clause that makes it matter; empty if the code is silent.
        template, params: the sentence.
    """

    kind: MissingKind
    subject: str
    clause: str
    template: str
    params: Params = ()


class GripChange(Struct, frozen=True, gc=False):
    """A grip that has to be changed.

    Attributes:
        hand: which hand.
        places: where it holds as described.
        to: every place the code allows from which the same work can be done, those on record first.
        keep: True if the hand may stay where it is but may not let go.
    """

    hand: Literal["right", "left"]
    places: tuple[Place, ...]
    to: tuple[Place, ...]
    keep: bool = False


class Verdict(Struct, frozen=True, gc=False):
    """A technique judged under a rule code.

    Attributes:
        word: the verdict.
        code, version: the rule code judged under.
        reasons: every clause that applies, in the order of the families: breaches, unknowns and what is met.
        missing: what to find out: what an open verdict depends on, or what could make the changed grip
            unnecessary.
        grips: the grips to change; empty unless the verdict is *fits with a changed grip*.
        left_handed: True if this applies to the left-handed form only.
    """

    word: VerdictWord
    code: str
    version: int = 0
    reasons: tuple[Reason, ...] = ()
    missing: tuple[Missing, ...] = ()
    grips: tuple[GripChange, ...] = ()
    left_handed: bool = False

    @property
    def breaches(self) -> tuple[Reason, ...]:
        """The clauses broken, in order."""
        return tuple(reason for reason in self.reasons if reason.truth is False)


class Edit(Struct, frozen=True, gc=False):
    """One attribute set to another value, in the words of the vocabulary.

    Attributes:
        attribute: the attribute's path.
        value: the new value.
    """

    attribute: str
    value: str


class Change(Struct, frozen=True, gc=False):
    """The smallest change to a profile that would turn a verdict into *fits*.

    Attributes:
        edits: the attributes to change, as few as possible.
        word: the verdict after the change.
    """

    edits: tuple[Edit, ...]
    word: VerdictWord


# Kleene's three values: True, False and `None` for *not known* (S. C. Kleene, Introduction to
# Metamathematics, 1952, § 64, the strong tables; cited from memory).

Truth = bool | None


def both(a: Truth, b: Truth) -> Truth:
    """Return *a* and *b*."""
    if a is False or b is False:
        return False
    return None if a is None or b is None else True


def either(a: Truth, b: Truth) -> Truth:
    """Return *a* or *b*."""
    if a is True or b is True:
        return True
    return None if a is None or b is None else False


def all_of(values: Iterable[Truth]) -> Truth:
    """Return True if every value is True, False if one is False; True for no values."""
    known = True
    for value in values:
        if value is False:
            return False
        known = known and value is not None
    return True if known else None


def any_of(values: Iterable[Truth]) -> Truth:
    """Return True if one value is True, False if all are False; False for no values."""
    known = True
    for value in values:
        if value is True:
            return True
        known = known and value is not None
    return False if known else None


# The result of a single check, and the functions that build it.

V = TypeVar("V")


class Finding(Struct, frozen=True, gc=False):
    """One clause checked against one attribute: the result, the reason, and what would settle it."""

    truth: Truth
    reason: Reason
    missing: tuple[Missing, ...] = ()


def find(
    truth: Truth,
    template: str,
    clause: AnyClause | None,
    attribute: str,
    said: Stated[V] | None,
    missing: tuple[Missing, ...] = (),
    params: Params = (),
) -> Finding:
    """Build the finding of a clause (`None` if the code is silent) about an attribute as stated."""
    clauses, sources = ((clause.id,), clause.sources) if clause else ((), ())
    basis, ref = (said.basis, said.ref) if said else (None, "")
    return Finding(truth, Reason(clauses, sources, attribute, basis, ref, truth, template, params), missing)


def ask(kind: MissingKind, subject: str, clause: AnyClause | None = None) -> tuple[Missing, ...]:
    """Return one thing to find out."""
    return (Missing(kind, subject, clause.id if clause else "", f"ask.{kind}"),)
