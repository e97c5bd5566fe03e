"""Grade what the record proves, from slips and trials, on three plain scales with reasons.

Counts and dates are those of independent witnesses (`termbase.evidence.witnesses`), not of slips. A grade
is given in words (`Evidence.words`); if the grade's own word would say more than is known, the words give
the counts: *worked in 1 of 10 trials*, *described (12 of 18 stated values, in 3 passages)*.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from enum import StrEnum

from termbase.dates import edtf
from termbase.errors import BadInput
from termbase.evidence.witnesses import SURE, Attestation, Witness, attestation, date_key, proves_use
from termbase.messages import message, message_of_number
from termbase.record.entries import Origin, Term
from termbase.record.sources import Certainty, Slip, SlipKind
from termbase.record.trials import Outcome, Trial
from termbase.technique.profile import REFERRED_ID, Profile, Stated

__all__ = [
    "IN_USE", "Evidence", "MechanicScale", "NameEvidence", "NameScale", "PracticeScale", "evidence_of",
    "known_origin", "mechanic_evidence", "name_evidence", "practice_evidence", "statements",
]  # fmt: skip

_NO_SLIP = (message("There are no slips for this name."),)
_INFERRED = (message("Its profile is borrowed from an analogue in a living style."),)
_NOT_DESCRIBED = (message("No slip, figure or analogue says how it is done."),)
_UNTRIED = (message("No trials are recorded."),)


class NameScale(StrEnum):
    """How well a name is attested, best first."""

    SEVERAL = "in use by several witnesses"
    ONE = "in use by one witness"
    QUOTED = "quoted"
    WORD_LIST = "word-list only"
    NONE = "no slip"


class MechanicScale(StrEnum):
    """How the mechanic is known, best first."""

    DESCRIBED = "described"
    PICTURED = "pictured"
    INFERRED = "inferred from an analogue"
    NOT_DESCRIBED = "not described"


class PracticeScale(StrEnum):
    """What trials on the mat showed, best first. One more failure never leads to a better place."""

    WORKS = "worked in every trial"
    MIXED = "worked in some trials"
    CHANGED = "works with a change"
    FAILS = "fails"
    UNTRIED = "untried"


IN_USE = frozenset({NameScale.SEVERAL, NameScale.ONE})
"""The places of a name that has a witness of use."""


@dataclass(frozen=True)
class Evidence:
    """A place on a scale and the reasons for it, one sentence each.

    Attributes:
        scale: the place.
        reasons: why.
        counts: the place in words, where they say more than its name does; else empty.
    """

    scale: NameScale | MechanicScale | PracticeScale
    reasons: tuple[str, ...]
    counts: str = ""

    @property
    def words(self) -> str:
        """The grade in the words shown to the reader."""
        return self.counts or message(self.scale.value)


@dataclass(frozen=True)
class NameEvidence(Evidence):
    """The evidence of a name.

    Attributes:
        used: its witnesses of use, earliest first; the first and last year of a name are theirs.
        counted: the witnesses that its place rests on: those of use, else those that quote it, else those
            that list it.
        without_name: ids of slips whose quotation does not contain the name.
    """

    used: tuple[Witness, ...] = ()
    counted: tuple[Witness, ...] = ()
    without_name: frozenset[str] = frozenset()


def name_evidence(term: Term, slips: Sequence[Slip], issued: Mapping[str, str]) -> NameEvidence:
    """Grade how well a name is attested by its slips (`termbase.evidence.witnesses.attestation`).

    Args:
        term: the name.
        slips: the quotations that are sorted to it.
        issued: EDTF date of each source by id, for slips that give none.
    """
    return evidence_of(attestation(term, slips, issued))


def evidence_of(found: Attestation) -> NameEvidence:
    """Return the evidence for a name whose witnesses are already grouped."""
    if found.of_use:
        scale = NameScale.SEVERAL if len(found.of_use) > 1 else NameScale.ONE
        counted, first = found.of_use, _counted(found.of_use, len(_proving(found)))
    elif found.quoting:
        scale, counted = NameScale.QUOTED, found.quoting
        first = message("It is quoted, but no quotation proves that it was used.")
    elif found.listing:
        listed = sum(1 for s in found.slips if s.kind is SlipKind.HEADWORD)
        scale, counted, first = NameScale.WORD_LIST, found.listing, _listed(listed)
    else:
        scale, counted = NameScale.NONE, ()
        first = _NO_SLIP[0] if not found.slips else message("No slip quotes it.")
    return NameEvidence(
        scale,
        (first, *_left_out(found)),
        used=found.of_use,
        counted=counted,
        without_name=found.without_name,
    )


def _proving(found: Attestation) -> list[Slip]:
    return [
        s
        for s in found.slips
        if s.kind is SlipKind.USE and s.certainty in SURE and s.id not in found.without_name
    ]


def _listed(listed: int) -> str:
    return message_of_number(
        "%(n)s headword in a word-list, no secure quotation from use.",
        "%(n)s headwords in a word-list, no secure quotation from use.",
        listed,
    )


def _left_out(found: Attestation) -> tuple[str, ...]:
    """Return which slips do not count as use, and why; every slip for one reason only."""
    absent = [s for s in found.slips if s.id in found.without_name]
    there = [s for s in found.slips if s.id not in found.without_name]
    spoken = (SlipKind.MENTION, SlipKind.DEFINITION, SlipKind.RULE)
    unstated = [
        s
        for s in there
        if s.kind is SlipKind.NOT_STATED or (s.kind is SlipKind.USE and s.certainty is Certainty.NOT_STATED)
    ]
    doubtful = [s for s in there if s.kind is SlipKind.USE and s.certainty is Certainty.DOUBTFUL]
    told = [s for s in there if s.kind in spoken]
    described = [s for s in there if s.kind is SlipKind.DESCRIPTION]
    reasons = (
        message_of_number(
            "%(n)s quotation does not contain the name and does not count.",
            "%(n)s quotations do not contain the name and do not count.",
            len(absent),
        ),
        message_of_number(
            "%(n)s doubtful slip left out of the count.",
            "%(n)s doubtful slips left out of the count.",
            len(doubtful),
        ),
        message_of_number(
            "%(n)s quotation does not prove use: its kind or its certainty is not stated.",
            "%(n)s quotations do not prove use: their kind or their certainty is not stated.",
            len(unstated),
        ),
        message_of_number(
            "%(n)s mention, definition or rule, which is not counted as use.",
            "%(n)s mentions, definitions or rules, which are not counted as use.",
            len(told),
        ),
        message_of_number(
            "%(n)s description of the movement, which does not attest the name.",
            "%(n)s descriptions of the movement, which do not attest the name.",
            len(described),
        ),
    )
    groups = (absent, doubtful, unstated, told, described)
    return tuple(reason for reason, slips in zip(reasons, groups, strict=True) if slips)


def _counted(found: Sequence[Witness], slips: int) -> str:
    """Say how many witnesses in how many slips, and between which dates."""
    counts = {
        "witnesses": message_of_number(
            "%(n)s independent witness", "%(n)s independent witnesses", len(found)
        ),
        "slips": message_of_number("%(n)s slip", "%(n)s slips", slips),
    }
    dated = [w.date for w in found if w.date]
    if not dated:
        return message("%(witnesses)s in %(slips)s.", **counts)
    first, last = min(dated, key=date_key), max(dated, key=date_key)
    if first == last:
        return message("%(witnesses)s in %(slips)s, %(date)s.", **counts, date=_words(first))
    return message(
        "%(witnesses)s in %(slips)s, %(first)s to %(last)s.",
        **counts,
        first=_words(first),
        last=_words(last),
    )


def known_origin(term: Term, slips: Iterable[Slip]) -> Origin:
    """Return where a name comes from, as far as its slips show it.

    A name that is marked *word-list* or *not stated* was in use when one of its slips proves use; one marked
    *not stated* is of a word-list when it has a headword. What an editor states otherwise is never changed:
    Proof asks where it contradicts the slips.
    """
    if term.origin not in (Origin.WORD_LIST, Origin.NOT_STATED):
        return term.origin
    mine = tuple(slips)
    if any(proves_use(slip, term) for slip in mine):
        return Origin.IN_USE
    return Origin.WORD_LIST if any(s.kind is SlipKind.HEADWORD for s in mine) else term.origin


def mechanic_evidence(profile: Profile | None, pictures: int, witnesses: Sequence[Witness] = ()) -> Evidence:
    """Grade how the mechanic is known: how much of its profile rests on slips, and how many figures show it.

    Args:
        profile: what the technique needs, if anything is stated.
        pictures: how many figures the entry has.
        witnesses: the witnesses of the entry's slips, so that a reprint is not taken for another passage.
    """
    stated = statements(profile) if profile else ()
    resting = [said for said in stated if said.basis == "slip"]
    if resting:
        return _described(len(resting), len(stated), _passages(resting, witnesses))
    if pictures:
        return Evidence(MechanicScale.PICTURED, (_shown(pictures),))
    if any(said.basis == "analogue" for said in stated):
        return Evidence(MechanicScale.INFERRED, _INFERRED)
    return Evidence(MechanicScale.NOT_DESCRIBED, _NOT_DESCRIBED)


def _described(resting: int, stated: int, passages: int) -> Evidence:
    of_these = message_of_number(
        "%(resting)s of %(n)s stated value", "%(resting)s of %(n)s stated values", stated, resting=resting
    )
    if not passages:
        reason = message("Based on an unnamed slip: %(values)s.", values=of_these)
        return Evidence(
            MechanicScale.DESCRIBED, (reason,), message("described (%(values)s)", values=of_these)
        )
    where = message_of_number("%(n)s passage", "%(n)s passages", passages)
    reasons = [message("Based on slips: %(values)s. Passages: %(n)s.", values=of_these, n=passages)]
    if passages > 1:
        reasons.append(message("Whether the passages agree is not recorded."))
    counts = message("described (%(values)s, in %(passages)s)", values=of_these, passages=where)
    return Evidence(MechanicScale.DESCRIBED, tuple(reasons), counts)


def _passages(resting: Sequence[Stated[object]], witnesses: Sequence[Witness]) -> int:
    """Return how many independent passages are named."""
    place = {slip_id: number for number, witness in enumerate(witnesses) for slip_id in witness.slip_ids}
    named = {part for said in resting for part in REFERRED_ID.findall(said.ref)}
    return len({place.get(part, part) for part in named})


def _shown(pictures: int) -> str:
    return message_of_number("%(n)s figure shows it.", "%(n)s figures show it.", pictures)


def statements(profile: Profile) -> tuple[Stated[object], ...]:
    """Return everything that a profile states."""
    parts = (getattr(part, f.name) for part in (profile, profile.right, profile.left) for f in fields(part))
    return tuple(said for said in parts if isinstance(said, Stated))


def practice_evidence(trials: Sequence[Trial]) -> Evidence:
    """Grade what trials showed, successes and failures together; every outcome is reported."""
    if not trials:
        return Evidence(PracticeScale.UNTRIED, _UNTRIED)
    every = len(trials)
    works, changed, fails = (sum(1 for t in trials if t.outcome is o) for o in Outcome)
    reason = message(
        "Trials: %(n)s. Worked: %(works)s. Worked with a change: %(changed)s. Failed: %(fails)s.",
        n=every,
        works=works,
        changed=changed,
        fails=fails,
    )
    if works:
        scale = PracticeScale.WORKS if works == every else PracticeScale.MIXED
        counts = message_of_number(
            "worked in %(works)s of %(n)s trial", "worked in %(works)s of %(n)s trials", every, works=works
        )
        if changed:
            counts = message("%(worked)s, with a change in %(n)s more", worked=counts, n=changed)
    elif changed:
        scale = PracticeScale.CHANGED
        counts = message_of_number(
            "worked with a change in %(changed)s of %(n)s trial",
            "worked with a change in %(changed)s of %(n)s trials",
            every,
            changed=changed,
        )
    else:
        scale = PracticeScale.FAILS
        counts = message_of_number("failed in %(n)s trial", "failed in all %(n)s trials", every)
    return Evidence(scale, (reason,), counts)


def _words(date: str) -> str:
    try:
        return edtf.said(edtf.parse(date))
    except BadInput:
        return date
