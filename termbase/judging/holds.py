"""Judge one hand: whether it may hold as described, and where else it could do the same work."""

from collections.abc import Callable
from functools import lru_cache
from typing import Literal, NamedTuple

from msgspec import Struct, structs

from termbase.judging.body import same_work, zone_holds
from termbase.judging.prepared import Prepared
from termbase.judging.verdict import Missing, Params, Truth, both, either
from termbase.rules.clauses import AnyClause
from termbase.technique.profile import KINDS, PLACES, Hand, Place, Profile, Where, Work, kinds_of

__all__ = ["Outcome", "Side", "judge_hand"]

Side = Literal["right", "left"]
_ORDER = {place: rank for rank, place in enumerate(PLACES)}


class _Need(Struct, frozen=True, gc=False):
    """What one hand needs, without provenance: everything the outcome depends on."""

    side: Side
    places: tuple[Place, ...] | None
    also: tuple[Place, ...] | None
    work: Work | None
    essential: bool | None
    lets_go: bool
    ground: Where | None
    hold: int
    crossed: bool


class _Held(Struct, frozen=True, gc=False):
    """One place under the code: whether it may be held, why, and whether it is on the start hold."""

    truth: Truth
    template: str = ""
    clauses: tuple[AnyClause, ...] = ()
    ask: tuple[Missing, ...] = ()
    on_hold: Truth = None


class _ReasonParts(Struct, frozen=True, gc=False):
    """The parts of a reason that can be cached."""

    template: str
    path: str
    clauses: tuple[str, ...]
    sources: tuple[str, ...]
    params: Params


class Outcome(Struct, frozen=True, gc=False):
    """The result for one hand. *kept* says whether it is on the start hold, for rules that require one hand
    there."""

    described: Truth
    changed: Truth
    kept: Truth
    may_keep: Truth
    why: _Held
    attribute: str
    reason: _ReasonParts
    ask: tuple[Missing, ...] = ()
    to: tuple[Place, ...] = ()


def judge_hand(hand: Hand, side: Side, profile: Profile, code: Prepared, form: tuple[int, bool]) -> Outcome:
    """Judge one hand under the code; *form* is the index of the start hold and whether the hands are
    swapped."""
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
    cached = code.recall(need, Outcome)
    return code.remember(need, _outcome(need, code)) if cached is None else cached


def _outcome(need: _Need, code: Prepared) -> Outcome:
    if not need.places:
        return _unstated(need, code)
    strict, loose = _standings(need, code)
    standing = loose if need.essential is False else strict
    held = [standing[place] for place in need.places]
    described = _best([each.truth for each in held])
    why = next(each for each in held if each.truth is described)
    shown = tuple([place for place in need.places if standing[place].truth is described])
    kept = _best([each.on_hold for each in held])
    attribute, one_hand = "places", _wants_one(code)
    ask = why.ask if described is None else ()
    if kept is None and one_hand:
        ask = (*ask, _ask_part(need))
    if need.lets_go and _must_stay(code):
        why = _Held(False, "hand.lets go", (code.keep,) if code.keep else ())
        described, kept, attribute = False, False, "lets_go"
    if described is True and not one_hand:
        return Outcome(True, True, kept, kept, why, attribute, _reason_parts(need, why, attribute, shown, ()))
    other = _elsewhere(need, loose)
    may_keep = either(kept, other.on_hold)
    if (described is False and other.truth is None) or (one_hand and not kept and may_keep is None):
        ask = (*ask, *_ask_elsewhere(need, other))
    to: tuple[Place, ...] = ()
    if other.good:
        to = tuple(sorted(_plainest(other.good, strict), key=_preference(need, code)))
    parts = _reason_parts(need, why, attribute, shown, () if described else to)
    return Outcome(described, either(described, other.truth), kept, may_keep, why, attribute, parts, ask, to)


class _Standing(dict[Place, _Held]):
    """The result of each place for one hand."""


class _Standings(NamedTuple):
    """The results of every place: strict, and loose where any part of it will do."""

    strict: _Standing
    loose: _Standing


def _standings(need: _Need, code: Prepared) -> _Standings:
    """Return the result of every place for a hand with these needs."""
    work = need.work if code.flat_hand else None  # the work matters only for a flat hand
    key = (need.side, work, need.ground, need.hold, need.crossed)
    cached = code.recall(key, _Standings)
    if cached is not None:
        return cached
    strictly, loosely = structs.replace(need, essential=None), structs.replace(need, essential=False)
    standings = _Standings(
        _Standing((place, _place(place, strictly, code)) for place in PLACES),
        _Standing((place, _place(place, loosely, code)) for place in PLACES),
    )
    return code.remember(key, standings)


def _best(truths: list[Truth]) -> Truth:
    """Return `any_of` without a generator, because this runs for every hand under every code."""
    if True in truths:
        return True
    return None if None in truths else False


class _Elsewhere(NamedTuple):
    """The result for other places.

    Attributes:
        truth: whether one of them will do.
        on_hold: whether one on the start hold will do.
        good: those that will certainly do.
        unsure: whether one would do if the work could be done from it.
        ask: what the code does not say about one of them.
    """

    truth: Truth
    on_hold: Truth
    good: list[Place]
    unsure: bool
    ask: tuple[Missing, ...]


def _elsewhere(need: _Need, standing: _Standing) -> _Elsewhere:
    """Judge the other places under the code."""
    truth: Truth = False
    on_hold: Truth = False
    good: list[Place] = []
    unsure = False
    ask: tuple[Missing, ...] = ()
    for place, sure in _replacements(need.places or (), need.also, need.work, need.essential, need.lets_go):
        held = standing[place]
        if held.truth is False:
            continue
        if sure and held.truth:
            good.append(place)
            truth = True
            on_hold = either(on_hold, held.on_hold)
            continue
        truth = either(truth, None)
        on_hold = either(on_hold, both(None, held.on_hold))
        unsure = unsure or sure is None
        if sure:
            ask = ask or held.ask
    return _Elsewhere(truth, on_hold, good, unsure, ask)


@lru_cache(maxsize=4096)
def _replacements(
    places: tuple[Place, ...],
    also: tuple[Place, ...] | None,
    work: Work | None,
    essential: bool | None,
    lets_go: bool,
) -> tuple[tuple[Place, Truth], ...]:
    """Return the places that could replace these, and whether each certainly can.

    They are those on record and, unless the hold is essential, those that do the same work. If it is not
    stated whether it is essential, any place might do. A hand that lets go could instead stay.
    """
    recorded = also or ()
    own: Truth = None if essential is None else True
    replacements: list[tuple[Place, Truth]] = []
    if lets_go and essential is not True:
        replacements += [(place, own) for place in places]
    replacements += [(place, True) for place in recorded]
    if essential is True:
        return tuple(replacements)
    listed = frozenset((*places, *recorded))
    if essential is None:
        replacements += [(place, None) for place in PLACES if place not in listed and place != "free"]
        return tuple(replacements)
    sure, perhaps = same_work((*places, *recorded), work)
    replacements += [(place, True) for place in PLACES if place in sure - listed]
    if also is None:
        replacements += [(place, None) for place in PLACES if place in perhaps - listed]
    return tuple(replacements)


def _plainest(places: list[Place], strict: _Standing) -> list[Place]:
    """Drop the kinds of a genus if any kind will do, and drop a genus if only some of its kinds will."""
    whole = [place for place in places if place in KINDS and strict[place].truth]
    under = {kind for genus in whole for kind in kinds_of(genus)[1:]}
    return [place for place in places if place not in under and (place not in KINDS or place in whole)]


def _ask_elsewhere(need: _Need, other: _Elsewhere) -> tuple[Missing, ...]:
    """Return what to find out to know whether another place will do: whether the hold is essential, which
    other places do the work, or else what the code says about one of them."""
    if other.unsure:
        field = "essential" if need.essential is None else "also"
        return (Missing("attribute", f"{need.side}.{field}", "", f"ask.{field}"),)
    return other.ask


def _preference(need: _Need, code: Prepared) -> Callable[[Place], tuple[bool, bool, int]]:
    on_hold = _held_by(need, code)
    return lambda place: (place not in (need.also or ()), place not in on_hold, _ORDER[place])


def _unstated(need: _Need, code: Prepared) -> Outcome:
    """Judge a hand that is not stated: it matters only if the code has clauses about hands."""
    if not code.ruled_grips:
        why = _Held(True)
        return Outcome(True, True, True, True, why, "places", _reason_parts(need, why, "places", (), ()))
    ask = Missing("attribute", f"{need.side}.places", "", "ask.attribute")
    clauses: tuple[AnyClause, ...] = code.starts[need.hold : need.hold + 1]
    why = _Held(None, "hand.not stated", clauses, (ask,))
    return Outcome(None, None, None, None, why, "places", _reason_parts(need, why, "places", (), ()), (ask,))


def _wants_one(code: Prepared) -> bool:
    return bool(code.starts and code.keep and code.keep.keep == "one hand")


def _must_stay(code: Prepared) -> bool:
    return bool(
        code.keep and code.keep.keep in {"both hands", "within a zone"} and code.keep.loss != "nothing"
    )


def _held_by(need: _Need, code: Prepared) -> frozenset[Place]:
    """Return the places of the start hold for this hand, or for the other hand if the hands are swapped."""
    if not code.starts:
        return frozenset()
    right, left = code.held[need.hold]
    return right if (need.side == "right") is not need.crossed else left


def _zone_of(need: _Need, code: Prepared) -> frozenset[Place]:
    """Return the places this hand may shift to, with the hands swapped or not; none for the hand that must
    stay."""
    shifts = code.keep.shifts if code.keep else None
    as_taken = need.side if not need.crossed else ("left" if need.side == "right" else "right")
    return code.zone if shifts in {None, as_taken} else frozenset()


def _on_hold(place: Place, need: _Need, code: Prepared, zone: bool = False) -> tuple[Truth, bool]:
    """Return whether a place is on the start hold, and whether that depends on the part held."""
    held = _held_by(need, code) | (_zone_of(need, code) if zone else frozenset())
    if place in held:
        return True, False
    kinds = [kind in held for kind in kinds_of(place)[1:]]
    if not any(kinds):
        return False, False
    whole = len(kinds) > 1 and all(kinds)  # a genus with one kind is more than that kind
    return (True, False) if need.essential is False or whole else (None, True)


def _place(place: Place, need: _Need, code: Prepared) -> _Held:
    return structs.replace(_law(place, need, code), on_hold=_on_hold(place, need, code)[0])


def _law(place: Place, need: _Need, code: Prepared) -> _Held:
    """Judge whether this hand may hold this place at the throw, and why."""
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
    if cell.status == "allowed":
        return _Held(True, "hand.allowed" if law else "", law)
    if cell.status == "not worn":
        return _Held(False, "hand.not worn", law)
    if cell.status == "barred":
        if code.flat_hand and zone_holds("above the waist", place):
            if need.work in {"push", "steer"}:
                return _Held(True, "hand.flat", (code.flat_hand,))
            if need.work is None:
                asked = Missing("attribute", f"{need.side}.work", code.flat_hand.id, "ask.attribute")
                return _Held(None, "hand.flat unknown", (code.flat_hand, *law), (asked,))
        return _Held(False, "hand.barred", law)
    if cell.status == "unsettled":
        clause = cell.clause.id if cell.clause else ""
        return _Held(None, "hand.unsettled", law, (Missing("unsettled", subject, clause, "ask.unsettled"),))
    if cell.status == "where":
        return _Held(None, "hand.where", law, (Missing("attribute", "ground", "", "ask.attribute"),))
    if cell.status == "part":
        if need.essential is False and cell.some:
            return _Held(True, "hand.allowed", law)
        return _Held(None, "hand.part", law, (_ask_part(need),))
    if not code.ruled_grips and need.essential is False:
        return _Held(True)
    return _Held(None, "hand.silent", (), (Missing("silence", subject, "", "ask.silence"),))


def _reason_parts(
    need: _Need, why: _Held, attribute: str, shown: tuple[Place, ...], to: tuple[Place, ...]
) -> _ReasonParts:
    """Return the parts of a reason other than the provenance of the value."""
    params: Params = (("hand", need.side), ("place", _or(shown)))
    if to:
        params = (*params, ("to", _or(to)))
    return _ReasonParts(
        why.template,
        f"{need.side}.{attribute}",
        tuple(clause.id for clause in why.clauses),
        tuple(dict.fromkeys(source for clause in why.clauses for source in clause.sources)),
        params,
    )


def _or(places: tuple[Place, ...]) -> str:
    return " / ".join(places)
