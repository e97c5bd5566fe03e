"""Judge the legs: which clause covers the leg's action, and whether it stays within the allowed height.

The most specific clause decides: one that names the use outweighs one on trips in general, which outweighs
one on any use; one that names the moment or the footwear outweighs one that does not. At the same level a ban
outweighs a permission. The height limit of a permission binds every use under it, unless a more specific
permission has its own limit.
"""

from typing import NamedTuple

from termbase.judging.body import FOOT, height_within
from termbase.judging.prepared import Prepared
from termbase.judging.verdict import Finding, Missing, Truth, all_of, ask, find
from termbase.rules.clauses import LegRule
from termbase.technique.profile import USE_KINDS, LegUse, Profile

__all__ = ["judge_legs"]

_NOTHING: tuple[Missing, ...] = ()
_STRENGTH = {"barred": 3, "unsettled": 2, "allowed": 1}


class _Match(NamedTuple):
    """A clause that covers the use, how specific it is, and whether it certainly applies."""

    level: int
    rule: LegRule
    certain: bool
    ask: tuple[Missing, ...] = ()


def judge_legs(profile: Profile, code: Prepared) -> list[Finding]:
    """Judge the leg's action under the leg clauses."""
    stated = profile.leg_use
    if stated is None:
        rule = next((rule for rule in code.legs if rule.stance != "allowed" or rule.height), None)
        if rule is None:
            return []
        return [find(None, "leg.not stated", rule, "leg_use", None, ask("attribute", "leg_use", rule))]
    if stated.value == "none":
        return [find(True, "leg.none", rule, "leg_use", stated) for rule in code.legs[:1]]
    kinds = USE_KINDS.get(stated.value, (stated.value,))
    judged = [_judge_kind(profile, kind, stated.value, code) for kind in kinds]
    if len({all_of(finding.truth for finding in findings) for findings in judged}) == 1:
        return judged[0]
    rule = next((rule for rule in code.legs if rule.stance != "allowed"), code.legs[0])
    missing = (Missing("attribute", "leg_use", rule.id, f"ask.{stated.value}"),)
    return [find(None, "leg.which", rule, "leg_use", stated, missing, _use(stated.value))]


def _judge_kind(profile: Profile, use: LegUse, shown: LegUse, code: Prepared) -> list[Finding]:
    """Judge one kind of use under the leg clauses; *shown* is the use as stated, for the sentences."""
    matches = _matches(profile, use, code)
    if not matches:
        if use == "placed":
            return []
        silence = ask("silence", f"legs: {shown}")
        return [find(None, "leg.silent", None, "leg_use", profile.leg_use, silence, _use(shown))]
    findings = [_stance(profile, shown, matches)]
    limit = next((match for match in matches if match.rule.stance == "allowed" and match.rule.height), None)
    if limit is not None and findings[0].truth is not False:
        findings.append(_height(profile, shown, limit))
    return findings


def _use(use: LegUse) -> tuple[tuple[str, str], ...]:
    return (("use", use),)


def _matches(profile: Profile, use: LegUse, code: Prepared) -> list[_Match]:
    matches = [match for rule in code.legs if (match := _match(profile, use, rule, code))]
    return sorted(matches, key=lambda match: (match.level, _STRENGTH[match.rule.stance]), reverse=True)


def _match(profile: Profile, use: LegUse, rule: LegRule, code: Prepared) -> _Match | None:
    level, certain, missing = _level(use, rule), True, _NOTHING
    if not level:
        return None
    if rule.when:
        if profile.leg_when is None:
            certain, missing = False, (*missing, *ask("attribute", "leg_when", rule))
        elif profile.leg_when.value != rule.when:
            return None
        level += 1
    if rule.footwear:
        if code.feet is None:
            certain, missing = False, (*missing, _ask_feet(rule))
        elif code.feet != rule.footwear:
            return None
        level += 1
    if rule.stance == "barred" and rule.height:
        within = _within(profile, rule)
        if within:
            return None
        if within is None:
            certain, missing = False, (*missing, *_ask_height(profile, rule))
    return _Match(level, rule, certain, missing)


def _level(use: LegUse, rule: LegRule) -> int:
    """Return how specifically a rule covers a use, in steps of three so that naming the moment and the
    footwear fits between."""
    if use in rule.uses:
        return 9
    if any(use in USE_KINDS.get(named, ()) for named in rule.uses if named != "any"):
        return 6
    return 3 if "any" in rule.uses and use != "placed" else 0


def _ask_feet(rule: LegRule) -> Missing:
    return Missing("circumstance", "footwear", rule.id, "ask.circumstance", (("limit", rule.footwear or ""),))


def _stance(profile: Profile, use: LegUse, matches: list[_Match]) -> Finding:
    """Return what the most specific certain clause says, unless a stronger uncertain one would differ."""
    stated = profile.leg_use
    sure = next((match for match in matches if match.certain), None)
    doubts = matches[: matches.index(sure)] if sure else matches
    verdict = sure.rule.stance if sure else None
    doubt = next((match for match in doubts if match.rule.stance != verdict), None)
    if doubt is not None:
        return find(None, "leg.doubt", doubt.rule, "leg_use", stated, doubt.ask, _use(use))
    rule = sure.rule if sure else matches[0].rule
    if rule.stance == "unsettled":
        missing = ask("unsettled", f"legs: {use}", rule)
        return find(None, "leg.unsettled", rule, "leg_use", stated, missing, _use(use))
    allowed = rule.stance == "allowed"
    return find(allowed, "leg.allowed" if allowed else "leg.barred", rule, "leg_use", stated, (), _use(use))


def _height(profile: Profile, use: LegUse, limit: _Match) -> Finding:
    rule, contact = limit.rule, profile.contact
    truth = _within(profile, rule)
    if truth is not True and not limit.certain:
        truth = None
    params = (
        ("use", use),
        ("contact", " / ".join(contact.value) if contact else ""),
        ("height", rule.height or ""),
    )
    if truth is None:
        missing = (*_ask_height(profile, rule), *limit.ask)
        return find(None, "leg.height unknown", rule, "contact", contact, missing, params)
    return find(truth, "leg.within" if truth else "leg.too high", rule, "contact", contact, (), params)


def _within(profile: Profile, rule: LegRule) -> Truth:
    """Return whether the contact stays within a rule's height; a rule on feet does not bind thigh or hip."""
    if rule.height is None:
        return True
    if rule.feet_only and profile.limb and profile.limb.value not in FOOT and profile.limb.value != "leg":
        return True
    if profile.contact is None:
        return None
    within = height_within(profile.contact.value, rule.height)
    foot = profile.limb is not None and profile.limb.value in FOOT
    return None if within is False and rule.feet_only and not foot else within


def _ask_height(profile: Profile, rule: LegRule) -> tuple[Missing, ...]:
    asks: tuple[Missing, ...] = ()
    if profile.contact is None or (rule.height and height_within(profile.contact.value, rule.height) is None):
        asks = ask("attribute", "contact", rule)
    if rule.feet_only and (profile.limb is None or profile.limb.value == "leg"):
        asks = (*asks, *ask("attribute", "limb", rule))
    return asks
