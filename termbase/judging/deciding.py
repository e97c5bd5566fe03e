"""Judge a profile under a rule code and return a verdict."""

from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from typing import NamedTuple

from msgspec import structs

from termbase.judging.ground import judge_ground, judge_pressure
from termbase.judging.hands import Hands, judge_hands
from termbase.judging.legs import judge_legs
from termbase.judging.naming import judge_named
from termbase.judging.prepared import Prepared, prepare
from termbase.judging.verdict import (
    UNKNOWN,
    Circumstances,
    Finding,
    Missing,
    Reason,
    Truth,
    Verdict,
    VerdictWord,
)
from termbase.rules.clauses import AnyClause, Limits, RuleCode, Span, years_of
from termbase.technique.profile import NamedProfile, Profile

__all__ = ["judge", "judge_many"]


class Bench(NamedTuple):
    """A code prepared for one bout, as it is and as it would be if more were known about the bout.

    Attributes:
        readings: the code with all doubtful clauses (the reading shown), with only some of them, and with
            none.
        doubtful: the clauses whose limits may or may not apply to the bout.
        bout: the bout.
    """

    readings: tuple[Prepared, ...]
    doubtful: tuple[AnyClause, ...]
    bout: Circumstances


def judge(
    profile: Profile, code: RuleCode, circumstances: Circumstances = UNKNOWN, names: Iterable[str] = ()
) -> Verdict:
    """Judge whether a technique is within a body of rules, and why.

    Args:
        profile: what the technique needs.
        code: the rules.
        circumstances: the bout, for clauses limited in place, years or class; an unknown that
            would matter makes the verdict open.
        names: the technique's names, for rules that go by name; letter case does not matter.

    Raises:
        BadInput: if a clause's years or the code's period cannot be read.
    """
    return _judge(profile, _bench(code, circumstances), frozenset(name.casefold() for name in names))


def judge_many(
    profiles: Iterable[NamedProfile], codes: Iterable[RuleCode], circumstances: Circumstances = UNKNOWN
) -> Iterator[tuple[NamedProfile, RuleCode, Verdict]]:
    """Yield every profile under every code, profile by profile; each code is prepared once.

    Raises:
        BadInput: as for `judge`.
    """
    benches = [(code, _bench(code, circumstances)) for code in codes]
    for named in profiles:
        names = frozenset(name.casefold() for name in (named.name, *named.names))
        for code, bench in benches:
            yield named, code, _judge(named.profile, bench, names)


@lru_cache(maxsize=256)
def _bench(code: RuleCode, bout: Circumstances) -> Bench:
    sure: list[AnyClause] = []
    doubtful: list[AnyClause] = []
    for clause in sorted(code.clauses, key=lambda clause: clause.id):
        applies = _applies(clause.limits, code, bout)
        if applies:
            sure.append(clause)
        elif applies is None:
            doubtful.append(clause)
    limits = list(dict.fromkeys(clause.limits for clause in doubtful))
    feet = bout.footwear
    readings = [prepare(code, (*sure, *doubtful), feet)]
    for limit in limits:
        readings.append(
            prepare(code, (*sure, *(clause for clause in doubtful if clause.limits != limit)), feet)
        )
        readings.append(
            prepare(code, (*sure, *(clause for clause in doubtful if clause.limits == limit)), feet)
        )
    if len(limits) > 1:
        readings.append(prepare(code, tuple(sure), feet))
    return Bench(tuple(readings), tuple(doubtful), bout)


def _applies(limits: Limits, code: RuleCode, bout: Circumstances) -> Truth:
    place = _same(limits.place, bout.place)
    if place is None and limits.place.casefold() == code.place.casefold():
        place = True
    wrestlers = _same(limits.wrestlers, bout.wrestlers)
    years = _in_force(years_of(limits.years), code.period, bout.year)
    if False in (place, wrestlers, years):
        return False
    return None if None in (place, wrestlers, years) else True


def _same(limit: str, known: str) -> Truth:
    if not limit:
        return True
    return limit.casefold() == known.casefold() if known else None


def _in_force(span: Span, period: str, year: int | None) -> Truth:
    """Return whether a clause's years cover the bout's year or, if that is unknown, the code's period."""
    if span == (None, None):
        return True
    known = (year, year) if year is not None else years_of(period)
    if known == (None, None):
        return None
    starts = [float("-inf") if start is None else start for start in (span[0], known[0])]
    ends = [float("inf") if end is None else end for end in (span[1], known[1])]
    if starts[1] >= starts[0] and ends[1] <= ends[0]:
        return True
    return False if ends[1] < starts[0] or starts[1] > ends[0] else None


def _judge(profile: Profile, bench: Bench, names: frozenset[str]) -> Verdict:
    verdict = _verdict(profile, bench.readings[0], names, bench.bout)
    if not bench.doubtful:
        return verdict
    others = [_verdict(profile, reading, names, bench.bout) for reading in bench.readings[1:]]
    if all(other.word == verdict.word for other in others):
        return verdict
    asks = [
        missing for other in (verdict, *others) if other.word is VerdictWord.OPEN for missing in other.missing
    ]
    asks += [missing for clause in bench.doubtful for missing in _ask_bout(clause, bench.bout)]
    return structs.replace(verdict, word=VerdictWord.OPEN, missing=tuple(dict.fromkeys(asks)), grips=())


def _ask_bout(clause: AnyClause, bout: Circumstances) -> Iterator[Missing]:
    limits = clause.limits
    for field, limit, known in (
        ("place", limits.place, bout.place),
        ("year", limits.years, bout.year is not None),
        ("wrestlers", limits.wrestlers, bout.wrestlers),
    ):
        if limit and not known:
            yield Missing("circumstance", field, clause.id, "ask.circumstance", (("limit", limit),))


def _verdict(profile: Profile, code: Prepared, names: frozenset[str], bout: Circumstances) -> Verdict:
    hands = judge_hands(profile, code)
    named = judge_named(profile, names, code, bout) if code.named else []
    findings = _cached(profile, code, ("leg_use", "leg_when", "limb", "contact"), judge_legs)
    findings += _cached(profile, code, ("pressure",), judge_pressure)
    if any(finding.truth for finding in named):
        findings = [_settled(finding) for finding in findings]
        hands = _settled_hands(hands)
    findings += _cached(profile, code, ("ground", "first_down", "falls_on_him"), judge_ground)
    findings += named
    word = _word(hands, findings)
    reasons = (*hands.reasons, *[finding.reason for finding in findings])
    if word in (VerdictWord.FITS, VerdictWord.BREAKS):
        return Verdict(word, code.code.id, code.code.version, reasons, left_handed=hands.left_handed)
    missing, grips = hands.missing, hands.grips
    if word is VerdictWord.OPEN:
        asks = [*hands.missing, *[gap for finding in findings for gap in finding.missing]]
        missing, grips = tuple(dict.fromkeys(asks)), ()
    return Verdict(word, code.code.id, code.code.version, reasons, missing, grips, hands.left_handed)


def _cached(
    profile: Profile,
    code: Prepared,
    attributes: tuple[str, ...],
    check: Callable[[Profile, Prepared], list[Finding]],
) -> list[Finding]:
    """Return a check's findings, cached by the values it depends on; only the provenance of the values is
    updated."""
    statements = [getattr(profile, attribute) for attribute in attributes]
    key = (check, *[None if statement is None else statement.value for statement in statements])
    cached: list[Finding] | None = code.recall(key, list)
    if cached is None:
        cached = code.remember(key, check(profile, code))
    return [_as_stated(finding, profile) for finding in cached] if cached else []


def _as_stated(finding: Finding, profile: Profile) -> Finding:
    reason = finding.reason
    statement = getattr(profile, reason.attribute)
    if statement is None or (statement.basis == reason.basis and statement.ref == reason.ref):
        return finding
    stated = Reason(
        reason.clauses,
        reason.sources,
        reason.attribute,
        statement.basis,
        statement.ref,
        reason.truth,
        reason.template,
        reason.params,
    )
    return Finding(finding.truth, stated, finding.missing)


def _word(hands: Hands, findings: list[Finding]) -> VerdictWord:
    unknown = hands.changed is None
    if hands.changed is False:
        return VerdictWord.BREAKS
    for finding in findings:
        if finding.truth is False:
            return VerdictWord.BREAKS
        unknown = unknown or finding.truth is None
    if unknown:
        return VerdictWord.OPEN
    return VerdictWord.FITS if hands.described else VerdictWord.FITS_CHANGED


def _settled(finding: Finding) -> Finding:
    """Treat an undecided check as met when the code allows the technique by name, since the code refers to
    it. This does not settle who comes down first, which decides a bout whatever the technique."""
    return Finding(True, finding.reason) if finding.truth is None else finding


def _settled_hands(hands: Hands) -> Hands:
    if hands.changed is not None and hands.described is not None:
        return hands
    described = True if hands.described is None else hands.described
    changed = True if hands.changed is None else hands.changed
    return structs.replace(hands, described=described, changed=changed, missing=())
