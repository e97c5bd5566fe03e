"""What the record proves: slips and trials to three plain scales, each with its reasons.

Papers of the day reprinted one another, so near-identical quotations are one witness; counts and dates are of
witnesses, not of slips. The editor may join or part slips and that choice stands.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from enum import StrEnum
from functools import lru_cache
from itertools import combinations

from rapidfuzz import fuzz

from termbase import dates
from termbase.errors import BadInput
from termbase.messages import joined, message, message_of_number
from termbase.sources import Certainty, Slip, SlipKind
from termbase.technique import Basis, Profile, Said
from termbase.trials import Outcome, Trial

__all__ = [
    "Evidence", "MechanicScale", "NameScale", "PracticeScale", "Witness", "bases", "mechanic_evidence",
    "name_evidence", "practice_evidence", "witnesses",
]  # fmt: skip

REPRINT = 85.0
"""Likeness (RapidFuzz ratio, 0-100) from which two quotations are one text; common practice, no source."""
SHORT = 25
"""Texts shorter than this many characters are never taken for reprints: they are alike by nature."""

_SURE = frozenset({Certainty.SECURE, Certainty.PROBABLE})
"""How sure a quotation must be to prove use; a certainty that nobody stated is not that sure."""

_NO_SLIP = (message("No slip bears witness to this name."),)
_DESCRIBED = (message("A slip describes it."),)
_INFERRED = (message("Its profile is borrowed from an analogue in a living style."),)
_NOT_DESCRIBED = (message("No slip, figure or analogue says how it is done."),)
_UNTRIED = (message("No trial is recorded."),)


class NameScale(StrEnum):
    """How well a name is attested."""

    SEVERAL = "in use by several witnesses"
    ONE = "in use by one witness"
    QUOTED = "quoted"
    WORD_LIST = "word-list only"
    NONE = "no slip"


class MechanicScale(StrEnum):
    """How the mechanic is known."""

    DESCRIBED = "described"
    PICTURED = "pictured"
    INFERRED = "inferred from an analogue"
    NOT_DESCRIBED = "not described"


class PracticeScale(StrEnum):
    """What trials on the mat showed."""

    WORKS = "tried and works"
    CHANGED = "works with a change"
    FAILS = "fails"
    UNTRIED = "untried"


@dataclass(frozen=True)
class Witness:
    """One independent witness: the slips that repeat it, and its date (EDTF, of its earliest slip)."""

    slip_ids: tuple[str, ...]
    date: str


@dataclass(frozen=True)
class Evidence:
    """A place on a scale and the reasons for it, one sentence each."""

    scale: NameScale | MechanicScale | PracticeScale
    reasons: tuple[str, ...]


def witnesses(slips: Sequence[Slip], issued: Mapping[str, str]) -> tuple[Witness, ...]:
    """Group slips into independent witnesses, earliest first.

    Args:
        slips: the quotations, of one term or many.
        issued: EDTF date of each source by id, for slips that give none.
    """
    parent = {s.id: s.id for s in slips}

    def root(slip_id: str) -> str:
        while parent[slip_id] != slip_id:
            slip_id = parent[slip_id]
        return slip_id

    for a, b in combinations(slips, 2):
        if _one_text(a, b):
            parent[root(b.id)] = root(a.id)
    groups: dict[str, list[Slip]] = {}
    for slip in slips:
        groups.setdefault(root(slip.id), []).append(slip)
    found = []
    for group in groups.values():
        dated = sorted((s.date or issued.get(s.source_id, "") for s in group), key=_date_key)
        found.append(Witness(tuple(s.id for s in group), next((d for d in dated if d), "")))
    return tuple(sorted(found, key=lambda w: (_date_key(w.date), w.slip_ids)))


def _one_text(a: Slip, b: Slip) -> bool:
    if a.joined_to == b.id or b.joined_to == a.id:
        return True
    if a.apart or b.apart or min(len(a.text), len(b.text)) < SHORT:
        return False
    if a.source_id == b.source_id and (a.page, a.line, a.item) != (b.page, b.line, b.item):
        return False
    return fuzz.ratio(a.text.casefold(), b.text.casefold()) >= REPRINT


def name_evidence(slips: Sequence[Slip], issued: Mapping[str, str]) -> Evidence:
    """How well a name is attested by its slips; a doubtful slip alone proves no use."""
    if not slips:
        return Evidence(NameScale.NONE, _NO_SLIP)
    used = [
        s for s in slips if s.kind in (SlipKind.USE, SlipKind.MENTION, SlipKind.DEFINITION, SlipKind.RULE)
    ]
    secure = [s for s in used if s.certainty in _SURE]
    doubtful = sum(1 for s in used if s.certainty is Certainty.DOUBTFUL)
    unstated = sum(1 for s in slips if SlipKind.NOT_STATED is s.kind or s.certainty is Certainty.NOT_STATED)
    reasons: list[str] = []
    if doubtful:
        reasons.append(
            message_of_number(
                "%(n)s doubtful slip left out of the count.",
                "%(n)s doubtful slips left out of the count.",
                doubtful,
            )
        )
    if unstated:
        reasons.append(
            message_of_number(
                "%(n)s quotation does not prove use: its kind or its certainty is not stated.",
                "%(n)s quotations do not prove use: their kind or their certainty is not stated.",
                unstated,
            )
        )
        if not secure:
            return Evidence(NameScale.QUOTED, tuple(reasons))
    if not secure:
        listed = sum(1 for s in slips if s.kind is SlipKind.HEADWORD)
        reasons.insert(0, _not_used(listed))
        return Evidence(NameScale.WORD_LIST if listed else NameScale.NONE, tuple(reasons))
    found = witnesses(secure, issued)
    reasons.insert(0, _counted(found, len(secure)))
    return Evidence(NameScale.SEVERAL if len(found) > 1 else NameScale.ONE, tuple(reasons))


def _not_used(listed: int) -> str:
    if not listed:
        return message("No slip that stands, no secure quotation from use.")
    return message_of_number(
        "%(n)s headword in a word-list, no secure quotation from use.",
        "%(n)s headwords in a word-list, no secure quotation from use.",
        listed,
    )


def _counted(found: Sequence[Witness], slips: int) -> str:
    """How many witnesses in how many slips, and between which dates."""
    counts = {
        "witnesses": message_of_number(
            "%(n)s independent witness", "%(n)s independent witnesses", len(found)
        ),
        "slips": message_of_number("%(n)s slip", "%(n)s slips", slips),
    }
    dated = [w.date for w in found if w.date]
    if not dated:
        return message("%(witnesses)s in %(slips)s.", **counts)
    first, last = min(dated, key=_date_key), max(dated, key=_date_key)
    if first == last:
        return message("%(witnesses)s in %(slips)s, %(date)s.", **counts, date=_words(first))
    return message(
        "%(witnesses)s in %(slips)s, %(first)s to %(last)s.",
        **counts,
        first=_words(first),
        last=_words(last),
    )


def mechanic_evidence(profile: Profile | None, pictures: int) -> Evidence:
    """How the mechanic is known: what the values of its profile rest on, how many figures show it."""
    resting = bases(profile) if profile else frozenset()
    if "slip" in resting:
        return Evidence(MechanicScale.DESCRIBED, _DESCRIBED)
    if pictures:
        return Evidence(MechanicScale.PICTURED, (_shown(pictures),))
    if "analogue" in resting:
        return Evidence(MechanicScale.INFERRED, _INFERRED)
    return Evidence(MechanicScale.NOT_DESCRIBED, _NOT_DESCRIBED)


def _shown(pictures: int) -> str:
    return message_of_number("%(n)s figure shows it.", "%(n)s figures show it.", pictures)


def bases(profile: Profile) -> frozenset[Basis]:
    """What the values of a profile rest on."""
    parts = (getattr(part, f.name) for part in (profile, profile.right, profile.left) for f in fields(part))
    return frozenset(said.basis for said in parts if isinstance(said, Said))


def practice_evidence(trials: Sequence[Trial]) -> Evidence:
    """What trials showed: the best outcome counts, and every outcome is told."""
    if not trials:
        return Evidence(PracticeScale.UNTRIED, _UNTRIED)
    order = {
        Outcome.WORKS: PracticeScale.WORKS,
        Outcome.WORKS_CHANGED: PracticeScale.CHANGED,
        Outcome.FAILS: PracticeScale.FAILS,
    }
    counts = {o: sum(1 for t in trials if t.outcome is o) for o in order}
    best = next(scale for outcome, scale in order.items() if counts[outcome])
    told = joined(
        (message("%(outcome)s %(n)s", outcome=message(o.value), n=n) for o, n in counts.items() if n), ", "
    )
    reason = message_of_number(
        "%(n)s trial: %(outcomes)s.", "%(n)s trials: %(outcomes)s.", len(trials), outcomes=told
    )
    return Evidence(best, (reason,))


@lru_cache(maxsize=65536)
def _date_key(date: str) -> str:
    """Undated slips come last, with those whose date cannot be read (the proof tells of them)."""
    try:
        return dates.parse(date).sort_key() if date else "~"
    except BadInput:
        return "~"


def _words(date: str) -> str:
    try:
        return dates.said(dates.parse(date))
    except BadInput:
        return date
