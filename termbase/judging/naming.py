"""Judge what is barred or allowed by name, by likeness, or by consent for one bout."""

from termbase.judging.prepared import Prepared
from termbase.judging.verdict import Circumstances, Finding, Missing, Truth, all_of, any_of, find
from termbase.rules.clauses import Likeness, NamedRule
from termbase.technique.profile import USE_KINDS, Profile, Stated

__all__ = ["judge_named"]

_GENERA: dict[object, frozenset[str]] = {
    **{genus: frozenset(kinds) for genus, kinds in USE_KINDS.items()},
    "joint": frozenset({"shoulder", "elbow", "wrist", "fingers", "spine", "hip", "knee", "ankle"}),
    "leg": frozenset(
        {"foot", "sole", "heel", "ankle", "shin", "calf", "knee", "thigh", "inner thigh", "outer thigh"}
    ),
    "thigh": frozenset({"inner thigh", "outer thigh"}),
}
"""Values of a use, pressure, limb or contact that do not say which kind, with their kinds."""


def judge_named(
    profile: Profile, names: frozenset[str], code: Prepared, bout: Circumstances
) -> list[Finding]:
    """Judge the clauses that name techniques. *names* are case-folded; a likeness also matches other names.

    A permission by name outweighs the code's own bans in this family, but never what the two wrestlers agreed
    to bar; the caller uses it to settle whatever else is unknown.
    """
    met = [
        (rule, truth)
        for rule, called in code.named
        if (truth := _meets(profile, names, rule, called, bout)) is not False
    ]
    if not met:
        return []
    agreed = [_finding(profile, rule, truth) for rule, truth in met if rule.by_consent]
    permissions = [(rule, truth) for rule, truth in met if rule.stance == "allowed" and not rule.by_consent]
    bans = [(rule, truth) for rule, truth in met if rule.stance != "allowed" and not rule.by_consent]
    if any(truth for _, truth in permissions):
        return [_finding(profile, rule, truth) for rule, truth in permissions if truth] + agreed
    findings = [_finding(profile, rule, truth) for rule, truth in bans]
    if bans and permissions:
        findings = [_perhaps(profile, rule) for rule, _ in permissions]
    return findings + agreed


def _finding(profile: Profile, rule: NamedRule, truth: Truth) -> Finding:
    if truth is None:
        return _perhaps(profile, rule)
    if rule.by_consent:
        return find(False, "named.consent", rule, "", None)
    if rule.stance == "unsettled":
        missing = (Missing("unsettled", "named", rule.id, "ask.named", _called(rule)),)
        return find(None, "named.unsettled", rule, "", None, missing, _called(rule))
    return find(rule.stance == "allowed", f"named.{rule.stance}", rule, "", None, (), _called(rule))


def _perhaps(profile: Profile, rule: NamedRule) -> Finding:
    likeness = _likeness(profile, rule.like) if rule.like else []
    missing = tuple(
        Missing("attribute", name, rule.id, "ask.attribute") for name, truth in likeness if truth is None
    )
    return find(None, "named.perhaps", rule, missing[0].subject, None, missing, _called(rule))


def _called(rule: NamedRule) -> tuple[tuple[str, str], ...]:
    return (("names", " / ".join(rule.names)),)


def _meets(
    profile: Profile, names: frozenset[str], rule: NamedRule, called: frozenset[str], bout: Circumstances
) -> Truth:
    if rule.by_consent:
        agreed = {name.casefold() for name in bout.barred_by_consent}
        return not names.isdisjoint(agreed)
    if not names.isdisjoint(called):
        return True
    return all_of(truth for _, truth in _likeness(profile, rule.like)) if rule.like else False


def _likeness(profile: Profile, like: Likeness) -> list[tuple[str, Truth]]:
    single: tuple[tuple[str, Stated[object] | None, tuple[object, ...]], ...] = (
        ("leg_use", profile.leg_use, like.leg_use),
        ("limb", profile.limb, like.limb),
        ("limb_side", profile.limb_side, like.limb_side),
        ("facing", profile.facing, like.facing),
        ("off_balance", profile.off_balance, like.off_balance),
        ("first_down", profile.first_down, like.first_down),
        ("pressure", profile.pressure, like.pressure),
        ("falls_on_him", profile.falls_on_him, like.falls_on_him),
    )
    results: list[tuple[str, Truth]] = [
        (name, _like(statement.value, wanted) if statement else None)
        for name, statement, wanted in single
        if wanted
    ]
    if like.contact:
        touched = profile.contact
        results.append(
            ("contact", any_of(_like(part, like.contact) for part in touched.value) if touched else None)
        )
    return results


def _like(value: object, wanted: tuple[object, ...]) -> Truth:
    """Return whether a value is one of those wanted; `None` for a genus if only some of its kinds are."""
    if value in wanted or any(value in _GENERA.get(genus, ()) for genus in wanted):
        return True
    return False if _GENERA.get(value, frozenset()).isdisjoint(wanted) else None
