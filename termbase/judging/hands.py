"""Judge the hands: start hold, keeping it, and grips together, since each affects what the others mean.

Two questions are asked of each hand: may it hold where it does *as described*, and may it *with a change*,
that is from another place from which the same work can be done.
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


def _more_lenient(one: Hands, other: Hands) -> Hands:
    if _rank(other) > _rank(one):
        return other
    return one


def _rank(hands: Hands) -> tuple[int, int]:
    worth = {True: 2, None: 1, False: 0}
    return worth[hands.changed], worth[hands.described]


def _or_crossed(plain: Hands, crossed: Hands, changing: Truth, start: str) -> Hands:
    """Return the more lenient form; if it is unknown whether the hands may be swapped, ask for that."""
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
    reasons = [made for made in pair if made]
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
    made = []
    sides: tuple[tuple[Side, Hand, Outcome], ...] = (
        ("right", profile.right, right),
        ("left", profile.left, left),
    )
    for side, hand, outcome in sides:
        if outcome.described is not True or (outcome.kept is False and outcome.may_keep and outcome.to):
            places = hand.places.value if hand.places else ()
            made.append(GripChange(side, places, outcome.to, outcome.why.template == "hand.lets go"))
    return tuple(made)


def _reason(outcome: Outcome, hand: Hand) -> Reason | None:
    told = outcome.told
    if not told.template:
        return None
    said = hand.lets_go if outcome.attribute == "lets_go" else hand.places
    basis, ref = (said.basis, said.ref) if said else (None, "")
    return Reason(
        told.clauses, told.sources, told.path, basis, ref, outcome.described, told.template, told.params
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
