"""The hands: start hold, keeping it, and grips, judged together, since each decides what the others mean.

Two questions are asked of each hand: may it hold where it does *as described*, and may it *with a change*,
that is from another place from which the same work can be done.
"""

from collections.abc import Callable, Iterator
from typing import Literal, NamedTuple

from msgspec import Struct, structs

from termbase.judging.body import same_work, zone_holds
from termbase.judging.logic import Truth, any_of, both, either
from termbase.judging.prepared import Prepared
from termbase.judging.verdict import GripChange, Missing, Params, Reason
from termbase.rulecodes.clauses import AnyClause, Stance
from termbase.technique.profile import PLACES, Hand, Place, Profile, Where, Work, kinds_of

__all__ = ["Hands", "judge_hands"]

Side = Literal["right", "left"]
_ORDER = {place: rank for rank, place in enumerate(PLACES)}
_STANCE: dict[Stance | None, Truth] = {"allowed": True, "barred": False, "unsettled": None, None: None}


class Hands(Struct, frozen=True):
    """Both hands judged: as described, with changed grips, and why."""

    described: Truth
    changed: Truth
    reasons: tuple[Reason, ...] = ()
    missing: tuple[Missing, ...] = ()
    grips: tuple[GripChange, ...] = ()
    left_handed: bool = False


class _Need(Struct, frozen=True):
    """One hand's needs, without their provenance: what the outcome depends on."""

    side: Side
    places: tuple[Place, ...] | None
    also: tuple[Place, ...] | None
    work: Work | None
    essential: bool | None
    lets_go: bool
    ground: Where | None
    hold: int
    crossed: bool


class _Held(Struct, frozen=True):
    """One place under the code: whether it may be held and why."""

    truth: Truth
    template: str = ""
    clauses: tuple[AnyClause, ...] = ()
    ask: tuple[Missing, ...] = ()


class _Outcome(Struct, frozen=True):
    """One hand judged. *kept* says whether it is on the start hold, for rules that want one hand there."""

    described: Truth
    changed: Truth
    kept: Truth
    may_keep: Truth
    why: _Held
    attribute: str
    ask: tuple[Missing, ...] = ()
    to: tuple[Place, ...] = ()


def judge_hands(profile: Profile, code: Prepared) -> Hands:
    """Both hands under the code, in the right-handed form or, where that is allowed, the left-handed.

    Several start holds are alternatives: the kindest counts.
    """
    best = _under(profile, code, 0, False)
    if best.described is True:
        return best
    for hold in range(1, len(code.starts)):
        best = _kinder(best, _under(profile, code, hold, False))
    for hold, start in enumerate(code.starts):
        if code.held[hold][0] == code.held[hold][1] or best.described is True:
            continue
        form = profile.left_form
        same: Truth = None if form is None else form.value == "same"
        changing: Truth = either(same, _STANCE[start.left_handed])
        if changing is not False:
            best = _or_crossed(best, _under(profile, code, hold, True), changing, start.id)
    return best


def _kinder(one: Hands, other: Hands) -> Hands:
    if _rank(other) > _rank(one):
        return other
    return one


def _rank(hands: Hands) -> tuple[int, int]:
    worth = {True: 2, None: 1, False: 0}
    return worth[hands.changed], worth[hands.described]


def _or_crossed(plain: Hands, crossed: Hands, changing: Truth, start: str) -> Hands:
    """The kinder of the two forms; where it is not known that the hands may change over, that is asked."""
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
    right = _hand(profile.right, "right", profile, code, (hold, crossed))
    left = _hand(profile.left, "left", profile, code, (hold, crossed))
    described, changed = both(right.described, left.described), both(right.changed, left.changed)
    reasons = [
        made
        for made in (
            _reason(right, profile.right, "right", code),
            _reason(left, profile.left, "left", code),
        )
        if made
    ]
    missing = right.ask + left.ask
    if code.keep and code.keep.keep == "one hand" and code.starts:
        pair = either(right.kept, left.kept)
        reasons.append(_pair_reason(pair, code, hold))
        described = both(described, pair)
        changed = both(changed, either(right.may_keep, left.may_keep))
    grips: tuple[GripChange, ...] = ()
    if described is not True and changed is True:
        grips = _changes(profile, right, left)
    return Hands(described, changed, tuple(reasons), missing, grips)


def _changes(profile: Profile, right: _Outcome, left: _Outcome) -> tuple[GripChange, ...]:
    made = []
    sides: tuple[tuple[Side, Hand, _Outcome], ...] = (
        ("right", profile.right, right),
        ("left", profile.left, left),
    )
    for side, hand, outcome in sides:
        if outcome.described is not True or (outcome.kept is False and outcome.may_keep and outcome.to):
            places = hand.places.value if hand.places else ()
            made.append(GripChange(side, places, outcome.to, outcome.why.template == "hand.lets go"))
    return tuple(made)


def _reason(outcome: _Outcome, hand: Hand, side: Side, code: Prepared) -> Reason | None:
    why = outcome.why
    if not why.template:
        return None
    said = hand.lets_go if outcome.attribute == "lets_go" else hand.places
    shown = hand.places.value if hand.places else ()
    params: Params = (("hand", side), ("place", _or(shown)), ("code", code.code.name))
    if outcome.to and outcome.described is not True:
        params = (*params, ("to", _or(outcome.to)))
    return Reason(
        tuple(clause.id for clause in why.clauses),
        tuple(dict.fromkeys(source for clause in why.clauses for source in clause.sources)),
        f"{side}.{outcome.attribute}",
        said.basis if said else None,
        said.ref if said else "",
        outcome.described,
        why.template,
        params,
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


def _or(places: tuple[Place, ...]) -> str:
    return " / ".join(places)


def _hand(hand: Hand, side: Side, profile: Profile, code: Prepared, form: tuple[int, bool]) -> _Outcome:
    need = _Need(
        side,
        hand.places.value if hand.places else None,
        hand.also.value if hand.also else None,
        hand.work.value if hand.work else None,
        hand.essential.value if hand.essential else None,
        bool(hand.lets_go and hand.lets_go.value),
        profile.ground.value if profile.ground else None,
        *form,
    )
    found = code.tried.get(need)
    if found is None:
        found = code.tried[need] = _outcome(need, code)
    if not isinstance(found, _Outcome):
        raise TypeError(f"not an outcome: {found!r}")
    return found


def _outcome(need: _Need, code: Prepared) -> _Outcome:
    if need.places is None:
        return _unstated(need, code)
    held = [_place(place, need, code) for place in need.places]
    described = any_of(each.truth for each in held)
    why = next(each for each in held if each.truth is described)
    kept = any_of(_on_hold(place, need, code)[0] for place in need.places)
    attribute = "places"
    ask = why.ask if described is None else ()
    if kept is None and _wants_one(code):
        ask = (*ask, _ask_part(need))
    if need.lets_go and _must_stay(code):
        why = _Held(False, "hand.lets go", (code.keep,) if code.keep else ())
        described, kept, attribute = False, False, "lets_go"
    if described is True and not _wants_one(code):
        return _Outcome(True, True, kept, kept, why, attribute)
    tried = [
        _Tried(place, sure, _place(place, loose, code), _on_hold(place, loose, code)[0])
        for place, sure, loose in _stand_ins(need)
    ]
    good = [one.place for one in tried if one.sure and one.held.truth]
    elsewhere = any_of(both(one.sure, one.held.truth) for one in tried)
    may_keep = either(kept, any_of(both(one.sure, both(one.held.truth, one.on_hold)) for one in tried))
    if (described is False and elsewhere is None) or (_wants_one(code) and not kept and may_keep is None):
        ask = (*ask, *_ask_elsewhere(need, tried))
    to = tuple(sorted(good, key=_preference(need, code)))
    return _Outcome(described, either(described, elsewhere), kept, may_keep, why, attribute, ask, to)


class _Tried(NamedTuple):
    """Another place: whether the same work can surely be done from it, and how it stands with the code."""

    place: Place
    sure: Truth
    held: _Held
    on_hold: Truth


def _stand_ins(need: _Need) -> Iterator[tuple[Place, Truth, _Need]]:
    """Other places that may do, and how sure that is: those on record, and unless the hold is essential those
    that do the same work. Where it is not stated whether it is, any place at all may do or not. Each comes
    with the need as it is of that place, where any part will do."""
    loose = structs.replace(need, essential=False)
    places, also = need.places or (), need.also or ()
    if need.lets_go and need.essential is not True:
        yield from ((place, need.essential is False or None, loose) for place in places)
    yield from ((place, True, loose) for place in also)
    if need.essential is True:
        return
    listed = frozenset((*places, *also))
    sure, perhaps = same_work((*places, *also), need.work)
    if need.essential is None:
        yield from ((place, None, loose) for place in PLACES if place not in listed and place != "free")
        return
    yield from ((place, True, loose) for place in PLACES if place in sure - listed)
    if need.also is None:
        yield from ((place, None, loose) for place in PLACES if place in perhaps - listed)


def _ask_elsewhere(need: _Need, tried: list[_Tried]) -> tuple[Missing, ...]:
    """What would tell whether another place will do: whether the hold is essential, which other places do
    the work, or failing these what the code says of one."""
    if any(one.sure is None and one.held.truth is not False for one in tried):
        field = "essential" if need.essential is None else "also"
        return (Missing("attribute", f"{need.side}.{field}", "", f"ask.{field}"),)
    return next((one.held.ask for one in tried if one.sure and one.held.truth is None), ())


def _preference(need: _Need, code: Prepared) -> Callable[[Place], tuple[bool, bool, int]]:
    on_hold = _held_by(need, code)
    return lambda place: (place not in (need.also or ()), place not in on_hold, _ORDER[place])


def _unstated(need: _Need, code: Prepared) -> _Outcome:
    """A hand of which nothing is said matters only if the code says anything of hands."""
    if not code.ruled_grips:
        return _Outcome(True, True, True, True, _Held(True), "places")
    ask = Missing("attribute", f"{need.side}.places", "", "ask.attribute")
    clauses: tuple[AnyClause, ...] = code.starts[need.hold : need.hold + 1]
    why = _Held(None, "hand.not stated", clauses, (ask,))
    return _Outcome(None, None, None, None, why, "places", (ask,))


def _wants_one(code: Prepared) -> bool:
    return bool(code.starts and code.keep and code.keep.keep == "one hand")


def _must_stay(code: Prepared) -> bool:
    return bool(
        code.keep and code.keep.keep in {"both hands", "within a zone"} and code.keep.loss != "nothing"
    )


def _held_by(need: _Need, code: Prepared) -> frozenset[Place]:
    """The places of the start hold for this hand; of the other hand where the hold is changed over."""
    if not code.starts:
        return frozenset()
    right, left = code.held[need.hold]
    return right if (need.side == "right") is not need.crossed else left


def _on_hold(place: Place, need: _Need, code: Prepared, zone: bool = False) -> tuple[Truth, bool]:
    """Whether a place is on the start hold, and whether that hangs on the part held."""
    held = _held_by(need, code) | (code.zone if zone else frozenset())
    if place in held:
        return True, False
    kinds = [kind in held for kind in kinds_of(place)[1:]]
    if not any(kinds):
        return False, False
    return (True, False) if need.essential is False or all(kinds) else (None, True)


def _place(place: Place, need: _Need, code: Prepared) -> _Held:
    """Whether this hand may hold this place at the throw, and why."""
    start = code.starts[need.hold : need.hold + 1]
    keep = code.keep.keep if code.keep and code.keep.loss != "nothing" else None
    law: tuple[AnyClause, ...] = (*start, code.keep) if code.keep else start
    if start and keep in {"both hands", "within a zone"}:
        on_hold, part = _on_hold(place, need, code, keep == "within a zone")
        if on_hold is None or part:
            return _Held(None, "hand.part", law, (_ask_part(need),))
        return _Held(on_hold, "hand.kept" if on_hold else "hand.lost", law)
    if start and _on_hold(place, need, code)[0]:
        return _Held(True, "hand.start", start)
    cell = _grip(place, need, code)
    unsaid = code.keep is None or (code.keep.keep is None and code.keep.loss != "nothing")
    if start and unsaid and cell.truth is not False:
        ask = Missing("silence", "keeping", start[0].id, "ask.silence")
        return _Held(None, "hand.keeping unsaid", start, (ask,))
    return cell


def _ask_part(need: _Need) -> Missing:
    return Missing("attribute", f"{need.side}.places", "", "ask.part")


def _grip(place: Place, need: _Need, code: Prepared) -> _Held:
    cell = code.grips[need.ground][place]
    law: tuple[AnyClause, ...] = (cell.clause,) if cell.clause else ()
    subject = f"grips: {place}"
    if cell.spoken == "allowed":
        return _Held(True, "hand.allowed" if law else "", law)
    if cell.spoken == "barred":
        if code.flat_hand and zone_holds("above the waist", place):
            if need.work in {"push", "steer"}:
                return _Held(True, "hand.flat", (code.flat_hand,))
            if need.work is None:
                asked = Missing("attribute", f"{need.side}.work", code.flat_hand.id, "ask.attribute")
                return _Held(None, "hand.flat unknown", (code.flat_hand, *law), (asked,))
        return _Held(False, "hand.barred", law)
    if cell.spoken == "unsettled":
        clause = cell.clause.id if cell.clause else ""
        return _Held(None, "hand.unsettled", law, (Missing("unsettled", subject, clause, "ask.unsettled"),))
    if cell.spoken == "where":
        return _Held(None, "hand.where", law, (Missing("attribute", "ground", "", "ask.attribute"),))
    if cell.spoken == "part":
        if need.essential is False and cell.some:
            return _Held(True, "hand.allowed", law)
        return _Held(None, "hand.part", law, (_ask_part(need),))
    if not code.ruled_grips and need.essential is False:
        return _Held(True)
    return _Held(None, "hand.silent", (), (Missing("silence", subject, "", "ask.silence"),))
