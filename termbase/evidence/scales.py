"""Grade what the record proves, from slips and trials, on three scales with reasons.

Counts and dates are those of independent witnesses (`termbase.evidence.witnesses`), not of slips. A grade has
words to show (`Evidence.words`); if the name of the grade would say more than is known, they give the counts:
*worked in 1 of 10 trials*, *described (12 of 18 stated values, in 3 passages)*.
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
    """What trials on the mat showed, best first. Another failure never leads to a better grade."""

    WORKS = "worked in every trial"
    MIXED = "worked in some trials"
    CHANGED = "works with a change"
    FAILS = "fails"
    UNTRIED = "untried"


IN_USE = frozenset({NameScale.SEVERAL, NameScale.ONE})
"""The grades of a name that has a witness of use."""


@dataclass(frozen=True)
class Evidence:
    """A grade on a scale and the reasons for it, one sentence each.

    Attributes:
        scale: the grade.
        reasons: why.
        counts: the grade in words if they say more than its name; otherwise empty.
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
        used: its witnesses of use, earliest first; they give the first and last year of a name.
        counted: the witnesses that its grade is based on: those of use, or else those that quote it, or else
            those that list it.
        without_name: ids of slips whose quotation does not contain the name.
    """

    used: tuple[Witness, ...] = ()
    counted: tuple[Witness, ...] = ()
    without_name: frozenset[str] = frozenset()


def name_evidence(term: Term, slips: Sequence[Slip], issued: Mapping[str, str]) -> NameEvidence:
    """Grade how well a name is attested by its slips (`termbase.evidence.witnesses.attestation`).

    Args:
        term: the name.
        slips: the quotations sorted to it.
        issued: EDTF date of each source by id, for slips that give none.
    """
    return evidence_of(attestation(term, slips, issued))


def evidence_of(attested: Attestation) -> NameEvidence:
    """Return the evidence for a name whose witnesses are already grouped."""
    if attested.of_use:
        scale = NameScale.SEVERAL if len(attested.of_use) > 1 else NameScale.ONE
        counted, first = attested.of_use, _counted(attested.of_use, len(_proving(attested)))
    elif attested.quoting:
        scale, counted = NameScale.QUOTED, attested.quoting
        first = message("It is quoted, but no quotation proves that it was used.")
    elif attested.listing:
        listed = sum(1 for s in attested.slips if s.kind is SlipKind.HEADWORD)
        scale, counted, first = NameScale.WORD_LIST, attested.listing, _listed(listed)
    else:
        scale, counted = NameScale.NONE, ()
        first = _NO_SLIP[0] if not attested.slips else message("No slip quotes it.")
    return NameEvidence(
        scale,
        (first, *_left_out(attested)),
        used=attested.of_use,
        counted=counted,
        without_name=attested.without_name,
    )


def _proving(attested: Attestation) -> list[Slip]:
    return [
        s
        for s in attested.slips
        if s.kind is SlipKind.USE and s.certainty in SURE and s.id not in attested.without_name
    ]


def _listed(listed: int) -> str:
    return message_of_number(
        "%(n)s headword in a word-list, no secure quotation from use.",
        "%(n)s headwords in a word-list, no secure quotation from use.",
        listed,
    )


def _left_out(attested: Attestation) -> tuple[str, ...]:
    """Return which slips do not count as use, and why; each slip has one reason only."""
    absent = [s for s in attested.slips if s.id in attested.without_name]
    present = [s for s in attested.slips if s.id not in attested.without_name]
    spoken = (SlipKind.MENTION, SlipKind.DEFINITION, SlipKind.RULE)
    unstated = [
        s
        for s in present
        if s.kind is SlipKind.NOT_STATED or (s.kind is SlipKind.USE and s.certainty is Certainty.NOT_STATED)
    ]
    doubtful = [s for s in present if s.kind is SlipKind.USE and s.certainty is Certainty.DOUBTFUL]
    mentioned = [s for s in present if s.kind in spoken]
    described = [s for s in present if s.kind is SlipKind.DESCRIPTION]
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
            len(mentioned),
        ),
        message_of_number(
            "%(n)s description of the movement, which does not attest the name.",
            "%(n)s descriptions of the movement, which do not attest the name.",
            len(described),
        ),
    )
    groups = (absent, doubtful, unstated, mentioned, described)
    return tuple(reason for reason, slips in zip(reasons, groups, strict=True) if slips)


def _counted(witnesses: Sequence[Witness], slips: int) -> str:
    """Return how many witnesses there are in how many slips, and between which dates."""
    counts = {
        "witnesses": message_of_number(
            "%(n)s independent witness", "%(n)s independent witnesses", len(witnesses)
        ),
        "slips": message_of_number("%(n)s slip", "%(n)s slips", slips),
    }
    dated = [w.date for w in witnesses if w.date]
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

    A name marked *word-list* or *not stated* was in use if one of its slips proves use; one marked *not
    stated* comes from a word-list if it has a headword. Any other origin stated by an editor is never
    changed: Proof reports it if it contradicts the slips.
    """
    if term.origin not in (Origin.WORD_LIST, Origin.NOT_STATED):
        return term.origin
    mine = tuple(slips)
    if any(proves_use(slip, term) for slip in mine):
        return Origin.IN_USE
    return Origin.WORD_LIST if any(s.kind is SlipKind.HEADWORD for s in mine) else term.origin


def mechanic_evidence(profile: Profile | None, pictures: int, witnesses: Sequence[Witness] = ()) -> Evidence:
    """Grade how the mechanic is known: how much of its profile is based on slips, or how many figures show
    it.

    Args:
        profile: what the technique needs, if anything is stated.
        pictures: how many figures the entry has.
        witnesses: the witnesses of the entry's slips, so that a reprint does not count as another passage.
    """
    stated = statements(profile) if profile else ()
    from_slips = [stated_value for stated_value in stated if stated_value.basis == "slip"]
    if from_slips:
        return _described(len(from_slips), len(stated), _passages(from_slips, witnesses))
    if pictures:
        return Evidence(MechanicScale.PICTURED, (_shown(pictures),))
    if any(stated_value.basis == "analogue" for stated_value in stated):
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
    named = {part for stated_value in resting for part in REFERRED_ID.findall(stated_value.ref)}
    return len({place.get(part, part) for part in named})


def _shown(pictures: int) -> str:
    return message_of_number("%(n)s figure shows it.", "%(n)s figures show it.", pictures)


def statements(profile: Profile) -> tuple[Stated[object], ...]:
    """Return everything that a profile states."""
    parts = (getattr(part, f.name) for part in (profile, profile.right, profile.left) for f in fields(part))
    return tuple(part_value for part_value in parts if isinstance(part_value, Stated))


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
