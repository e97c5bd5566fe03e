"""Judge the hands: start hold, keeping it, and grips together, since each affects what the others mean.

Each hand is judged twice: may it hold where it does *as described*, and may it hold *with a change*, that is,
at another place from which it can do the same work?
"""

from typing import Literal

from msgspec import Struct

from termbase.judging.holds import Outcome, Side, judge_hand
from termbase.judging.prepared import Prepared
from termbase.judging.verdict import GripChange, Missing, Reason, Truth, both, either
from termbase.rules.clauses import Stance
from termbase.technique.profile import Hand, Profile

__all__ = ["Hands", "judge_hands"]

_STANCE: dict[Stance | Literal["by consent"] | None, Truth] = {
    "allowed": True,
    "by consent": True,
    "barred": False,
    "unsettled": None,
    None: None,
}


class Hands(Struct, frozen=True, gc=False):
    """The result for both hands: as described, with changed grips, and the reasons."""

    described: Truth
    changed: Truth
    reasons: tuple[Reason, ...] = ()
    missing: tuple[Missing, ...] = ()
    grips: tuple[GripChange, ...] = ()
    left_handed: bool = False


def judge_hands(profile: Profile, code: Prepared) -> Hands:
    """Judge both hands under the code, right-handed or, if that is allowed, left-handed.

    Several start holds are alternatives: the most lenient result counts.
    """
    best = _under(profile, code, 0, False)
    if best.described is True:
        return best
    for hold in range(1, len(code.starts)):
        best = _more_lenient(best, _under(profile, code, hold, False))
    for hold, start in enumerate(code.starts):
        if code.held[hold][0] == code.held[hold][1] or best.described is True:
            continue
        form = profile.left_form
        same: Truth = None if form is None else form.value == "same"
        changing: Truth = either(same, _STANCE[start.left_handed])
        if changing is not False:
            best = _or_crossed(best, _under(profile, code, hold, True), changing, start.id)
    return best


def _more_lenient(first: Hands, second: Hands) -> Hands:
    if _rank(second) > _rank(first):
        return second
    return first


def _rank(hands: Hands) -> tuple[int, int]:
    worth = {True: 2, None: 1, False: 0}
    return worth[hands.changed], worth[hands.described]


def _or_crossed(plain: Hands, crossed: Hands, changing: Truth, start: str) -> Hands:
    """Return the more lenient form; if it is unknown whether the hands may be swapped, ask about that."""
    if _rank(crossed) <= _rank(plain):
        return plain
    if changing is True:
        return Hands(
            crossed.described, crossed.changed, crossed.reasons, crossed.missing, crossed.grips, True
        )
    asks = (
        Missing("attribute", "left_form", start, "ask.left form"),
        Missing("silence", "start hold: left-handed", start, "ask.left-handed"),
    )
    described = plain.described if plain.described else None
    changed = plain.changed if plain.changed else None
    return Hands(described, changed, plain.reasons, (*plain.missing, *asks), plain.grips)


def _under(profile: Profile, code: Prepared, hold: int, crossed: bool) -> Hands:
    right = judge_hand(profile.right, "right", profile, code, (hold, crossed))
    left = judge_hand(profile.left, "left", profile, code, (hold, crossed))
    described, changed = both(right.described, left.described), both(right.changed, left.changed)
    pair = (_reason(right, profile.right), _reason(left, profile.left))
    reasons = [reason for reason in pair if reason]
    missing = right.ask + left.ask
    if code.keep and code.keep.keep == "one hand" and code.starts:
        kept = either(right.kept, left.kept)
        reasons.append(_pair_reason(kept, code, hold))
        described = both(described, kept)
        changed = both(changed, either(right.may_keep, left.may_keep))
    grips: tuple[GripChange, ...] = ()
    if described is not True and changed is True:
        grips = _changes(profile, right, left)
    return Hands(described, changed, tuple(reasons), missing, grips)


def _changes(profile: Profile, right: Outcome, left: Outcome) -> tuple[GripChange, ...]:
    changes = []
    sides: tuple[tuple[Side, Hand, Outcome], ...] = (
        ("right", profile.right, right),
        ("left", profile.left, left),
    )
    for side, hand, outcome in sides:
        if outcome.described is not True or (outcome.kept is False and outcome.may_keep and outcome.to):
            places = hand.places.value if hand.places else ()
            changes.append(GripChange(side, places, outcome.to, outcome.why.template == "hand.lets go"))
    return tuple(changes)


def _reason(outcome: Outcome, hand: Hand) -> Reason | None:
    parts = outcome.reason
    if not parts.template:
        return None
    statement = hand.lets_go if outcome.attribute == "lets_go" else hand.places
    basis, ref = (statement.basis, statement.ref) if statement else (None, "")
    return Reason(
        parts.clauses, parts.sources, parts.path, basis, ref, outcome.described, parts.template, parts.params
    )


def _pair_reason(pair: Truth, code: Prepared, hold: int) -> Reason:
    clauses = (code.starts[hold], code.keep)
    return Reason(
        tuple(clause.id for clause in clauses if clause),
        tuple(dict.fromkeys(source for clause in clauses if clause for source in clause.sources)),
        "right.places",
        None,
        "",
        pair,
        {True: "hands.one kept", None: "hands.one unknown", False: "hands.none kept"}[pair],
    )
