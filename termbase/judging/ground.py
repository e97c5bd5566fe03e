"""Judge pressure and the ground."""

from typing import Literal

from termbase.judging.prepared import Prepared
from termbase.judging.verdict import Finding, Missing, ask, find
from termbase.rules.clauses import GroundRule, PressureRule, Stance, Touch
from termbase.technique.profile import Pressure, Profile

__all__ = ["judge_ground", "judge_pressure"]

_JOINTS: frozenset[Pressure] = frozenset(
    {"shoulder", "elbow", "wrist", "fingers", "spine", "hip", "knee", "ankle"}
)
_TOUCHES: dict[Touch, int] = {"loses": 4, "stops play": 3, "costs a point": 2, "nothing": 1}
_STANCES: dict[Stance, int] = {"barred": 3, "unsettled": 2, "allowed": 1}


def judge_pressure(profile: Profile, code: Prepared) -> list[Finding]:
    """Judge what is pressed or bent under the pressure clauses; the most specific clause decides."""
    stated = profile.pressure
    if stated is None:
        rule = next((rule for rule in code.pressure if rule.barred or rule.unsettled), None)
        if rule is None:
            return []
        return [find(None, "pressure.not stated", rule, "pressure", None, ask("attribute", "pressure", rule))]
    if stated.value == "none":
        return [find(True, "pressure.none", rule, "pressure", stated) for rule in code.pressure[:1]]
    params = (("pressure", stated.value),)
    best = max(
        (match for rule in code.pressure if (match := _presses(rule, stated.value))),
        key=lambda match: (match[0], _STANCES[match[1]]),
        default=None,
    )
    if stated.value == "joint":
        doubt = next((rule for rule in code.pressure if _one_joint(rule, best[1] if best else None)), None)
        if doubt:
            which = (Missing("attribute", "pressure", doubt.id, "ask.joint"),)
            return [find(None, "pressure.which joint", doubt, "pressure", stated, which, params)]
    if best is None:
        missing = ask("silence", f"pressure: {stated.value}")
        return [find(None, "pressure.silent", None, "pressure", stated, missing, params)]
    _, stance, rule = best
    if stance == "unsettled":
        missing = ask("unsettled", f"pressure: {stated.value}", rule)
        return [find(None, "pressure.unsettled", rule, "pressure", stated, missing, params)]
    return [find(stance == "allowed", f"pressure.{stance}", rule, "pressure", stated, (), params)]


def _presses(rule: PressureRule, pressure: Pressure) -> tuple[int, Stance, PressureRule] | None:
    best: tuple[int, Stance, PressureRule] | None = None
    lists: tuple[tuple[tuple[Pressure | Literal["any"], ...], Stance], ...] = (
        (rule.barred, "barred"),
        (rule.unsettled, "unsettled"),
        (rule.allowed, "allowed"),
    )
    for names, stance in lists:
        level = 0
        if pressure in names:
            level = 3
        elif pressure in _JOINTS and "joint" in names:
            level = 2
        elif "any" in names:
            level = 1
        if level and (best is None or level > best[0]):
            best = (level, stance, rule)
    return best


def _one_joint(rule: PressureRule, stance: Stance | None) -> bool:
    """Return whether a rule treats one joint differently from joints in general."""
    return any(
        name in _JOINTS and listed != stance
        for names, listed in (
            (rule.barred, "barred"),
            (rule.unsettled, "unsettled"),
            (rule.allowed, "allowed"),
        )
        for name in names
    )


def judge_ground(profile: Profile, code: Prepared) -> list[Finding]:
    """Judge the ground clauses: wrestling on the ground, who touches first, and coming down on him."""
    findings = [_work(profile, code)]
    if not (profile.ground and profile.ground.value == "on the ground"):
        findings.append(_touch(profile, code))
    findings.append(_fall_on(profile, code))
    return [finding for finding in findings if finding]


def _work(profile: Profile, code: Prepared) -> Finding | None:
    stated, rule = profile.ground, _strictest(code, "work")
    ending = _touching(code)
    ends = ending if ending and ending.touch in {"loses", "stops play"} else None
    law = rule or ends
    if stated is None:
        if law is None or (rule and rule.work == "allowed"):
            return None
        return find(None, "ground.not stated", law, "ground", None, ask("attribute", "ground", law))
    if stated.value == "standing":
        return find(True, "ground.standing", law, "ground", stated) if law else None
    if law is None:
        return find(None, "ground.silent", None, "ground", stated, ask("silence", "ground: work"))
    if rule is None:
        return find(False, "ground.ended", law, "ground", stated)
    if rule.work == "unsettled":
        return find(None, "ground.unsettled", rule, "ground", stated, ask("unsettled", "ground: work", rule))
    return find(rule.work == "allowed", f"ground.{rule.work}", rule, "ground", stated)


def _strictest(code: Prepared, field: Literal["work", "fall_on_him"]) -> GroundRule | None:
    best: GroundRule | None = None
    strength = 0
    for rule in code.ground:
        stance = rule.work if field == "work" else rule.fall_on_him
        if stance and _STANCES[stance] > strength:
            best, strength = rule, _STANCES[stance]
    return best


def _touching(code: Prepared) -> GroundRule | None:
    rules = [rule for rule in code.ground if rule.touch]
    return max(rules, key=lambda rule: _TOUCHES[rule.touch] if rule.touch else 0, default=None)


def _touch(profile: Profile, code: Prepared) -> Finding | None:
    """Judge what it costs to touch first. If wrestling on the ground is allowed, touching breaks no rule;
    if it is not, it matters who is down first even if no clause says what it costs."""
    stated, rule, together = profile.first_down, _touching(code), _both_rule(code)
    costly = rule is not None and rule.touch in {"loses", "stops play"}
    work = _strictest(code, "work")
    if stated is None:
        standing_only = work if rule is None and work and work.work != "allowed" else None
        law = rule if costly else together or standing_only
        if law is None:
            return None
        return find(None, "touch.not stated", law, "first_down", None, ask("attribute", "first_down", law))
    if stated.value == "he":
        return find(True, "touch.he", rule, "first_down", stated) if rule else None
    if stated.value == "both" and together is not None:
        if together.both == "loses":
            return find(False, "touch.both lose", together, "first_down", stated)
        return find(
            None, "touch.again", together, "first_down", stated, ask("attribute", "first_down", together)
        )
    if stated.value == "both" and any(each.both for each in code.ground):
        rule = next(each for each in code.ground if each.both)
        return find(True, "touch.both count", rule, "first_down", stated)
    if rule is not None and (stated.value == "thrower" or not costly):
        return find(not costly, f"touch.{rule.touch}", rule, "first_down", stated)
    if rule is None and work and work.work == "allowed":
        return find(True, "touch.implied", work, "first_down", stated)
    subject = f"ground: {stated.value} touching first"
    return find(None, "touch.silent", rule, "first_down", stated, ask("silence", subject, rule))


def _both_rule(code: Prepared) -> GroundRule | None:
    """Return the clause under which both touching together does not win."""
    costs = {"loses": 2, "wrestled again": 1}
    rules = [rule for rule in code.ground if rule.both in costs]
    return max(rules, key=lambda rule: costs[rule.both or ""], default=None)


def _fall_on(profile: Profile, code: Prepared) -> Finding | None:
    stated, rule = profile.falls_on_him, _strictest(code, "fall_on_him")
    if rule is None or (stated is None and rule.fall_on_him == "allowed"):
        return None
    if stated is None:
        missing = ask("attribute", "falls_on_him", rule)
        return find(None, "fall on.not stated", rule, "falls_on_him", None, missing)
    if not stated.value:
        return find(True, "fall on.no", rule, "falls_on_him", stated)
    if rule.fall_on_him == "unsettled":
        missing = ask("unsettled", "ground: falling on him", rule)
        return find(None, "fall on.unsettled", rule, "falls_on_him", stated, missing)
    return find(rule.fall_on_him == "allowed", f"fall on.{rule.fall_on_him}", rule, "falls_on_him", stated)
