"""Group slips into independent witnesses to a name, and decide which of them count.

Papers of the day reprinted each other, so near-identical quotations are one witness; counts and dates are
those of witnesses, not of slips. If the editor joins or separates slips, that decision stands.

A *witness of use* is an independent witness with at least one slip of kind *use*, secure or probable, that
contains the name in any form as printed there. Only `Attestation` decides that; scales, lists, tables, print,
site and drawings read it there.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from typing import Final

from rapidfuzz import fuzz

from termbase.dates import edtf
from termbase.errors import BadInput
from termbase.languages.occurrences import Form, contains
from termbase.record.entries import Term
from termbase.record.sources import Certainty, Presence, Slip, SlipKind

__all__ = ["Attestation", "Witness", "attestation", "date_key", "may_lack_name", "proves_use", "witnesses"]

REPRINT: Final = 85.0
"""Similarity (RapidFuzz ratio, 0-100) from which two quotations count as one text; common practice, no
source."""
SHORT: Final = 25
"""Texts shorter than this many characters are never treated as reprints: short texts are often alike."""
SILENT: Final = frozenset({SlipKind.HEADWORD, SlipKind.DESCRIPTION})
"""Kinds of slip that are not searched for the name: a headword is the name of its line, whatever signs it is
printed with; a description of the movement does not attest a name."""
SURE: Final = frozenset({Certainty.SECURE, Certainty.PROBABLE})
"""The certainties that prove use; an unstated certainty is not enough."""


@dataclass(frozen=True)
class Witness:
    """One independent witness.

    Attributes:
        slip_ids: the slips that repeat it.
        date: EDTF, of its earliest slip.
    """

    slip_ids: tuple[str, ...]
    date: str


@dataclass(frozen=True)
class Attestation:
    """The slips of one name, and its witnesses.

    Attributes:
        slips: all of them.
        all: its independent witnesses of any kind, earliest first.
        of_use: the witnesses of use, earliest first, each dated by its slips that prove use.
        quoting: witnesses with a slip that contains the name and is neither a headword nor a description.
        listing: witnesses with a headword.
        without_name: ids of the slips in which the name is not found and the editor does not say where it is.
            Headwords and descriptions are not searched.
    """

    slips: tuple[Slip, ...]
    all: tuple[Witness, ...]
    of_use: tuple[Witness, ...]
    quoting: tuple[Witness, ...]
    listing: tuple[Witness, ...]
    without_name: frozenset[str]


def attestation(term: Term, slips: Sequence[Slip], issued: Mapping[str, str]) -> Attestation:
    """Find the witnesses to a name.

    Args:
        term: the name.
        slips: the quotations sorted to it.
        issued: EDTF date of each source by id, for slips that give none.
    """
    every = witnesses(slips, issued)
    by_id = {slip.id: slip for slip in slips}
    forms = _forms(term)
    without = frozenset(s.id for s in slips if s.kind not in SILENT and not _contains(s, forms))

    def those(counts: Callable[[Slip], bool]) -> tuple[Witness, ...]:
        counting = []
        for witness in every:
            counted = [by_id[i] for i in witness.slip_ids if counts(by_id[i])]
            if counted:
                counting.append(Witness(witness.slip_ids, _earliest(counted, issued)))
        return tuple(sorted(counting, key=_order))

    return Attestation(
        slips=tuple(slips),
        all=every,
        of_use=those(lambda s: _may_prove_use(s) and s.id not in without),
        quoting=those(lambda s: s.kind not in SILENT and s.id not in without),
        listing=those(lambda s: s.kind is SlipKind.HEADWORD),
        without_name=without,
    )


def may_lack_name(slip: Slip, term: Term) -> bool:
    """Return whether the name is not found in the quotation and nobody has said where in it the name is."""
    return slip.kind not in SILENT and not _contains(slip, _forms(term))


def proves_use(slip: Slip, term: Term) -> bool:
    """Return whether this slip alone makes a witness of use of the name."""
    return _may_prove_use(slip) and not may_lack_name(slip, term)


def witnesses(slips: Sequence[Slip], issued: Mapping[str, str]) -> tuple[Witness, ...]:
    """Group slips into independent witnesses of any kind, earliest first.

    Args:
        slips: the quotations, of one term or many.
        issued: EDTF date of each source by id, for slips that give none.
    """
    parent = {s.id: s.id for s in slips}

    def root(slip_id: str) -> str:
        while parent[slip_id] != slip_id:
            slip_id = parent[slip_id]
        return slip_id

    for (a, text), (b, other) in combinations([(s, s.text.casefold()) for s in slips], 2):
        if _one_text(a, b, text, other):
            parent[root(b.id)] = root(a.id)
    groups: dict[str, list[Slip]] = {}
    for slip in slips:
        groups.setdefault(root(slip.id), []).append(slip)
    grouped = [Witness(tuple(s.id for s in group), _earliest(group, issued)) for group in groups.values()]
    return tuple(sorted(grouped, key=_order))


@lru_cache(maxsize=65536)
def date_key(date: str) -> str:
    """Return a sort key for a date; undated slips come last, with unreadable dates (which Proof reports)."""
    try:
        return edtf.parse(date).sort_key() if date else "~"
    except BadInput:
        return "~"


def _may_prove_use(slip: Slip) -> bool:
    return slip.kind is SlipKind.USE and slip.certainty in SURE


def _contains(slip: Slip, forms: tuple[Form, ...]) -> bool:
    return slip.presence is not Presence.FORM or contains(slip.text, forms)


def _forms(term: Term) -> tuple[Form, ...]:
    """Return the forms of a name in its record; `contains` derives the rest."""
    printed = ((term.printed, term.printed_language or term.language),) if term.printed else ()
    return ((term.text, term.language), *printed, *((f.text, term.language) for f in term.forms))


def _one_text(a: Slip, b: Slip, text: str, other: str) -> bool:
    if a.joined_to == b.id or b.joined_to == a.id:
        return True
    if a.apart or b.apart or min(len(a.text), len(b.text)) < SHORT:
        return False
    if a.source_id == b.source_id and (a.page, a.line, a.item) != (b.page, b.line, b.item):
        return False
    return fuzz.ratio(text, other, score_cutoff=REPRINT) >= REPRINT


def _earliest(slips: Iterable[Slip], issued: Mapping[str, str]) -> str:
    dated = sorted((s.date or issued.get(s.source_id, "") for s in slips), key=date_key)
    return next((d for d in dated if d), "")


def _order(witness: Witness) -> tuple[str, tuple[str, ...]]:
    return date_key(witness.date), witness.slip_ids
