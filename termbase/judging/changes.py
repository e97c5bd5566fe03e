"""Find the smallest change to a profile that would change its verdict."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import combinations, product
from typing import Final, NamedTuple

from termbase.judging.deciding import judge
from termbase.judging.verdict import FITTING, UNKNOWN, Change, Circumstances, Edit, Verdict, VerdictWord
from termbase.rules.clauses import RuleCode
from termbase.technique.profile import (
    CONTACTS,
    LEG_USES,
    PLACES,
    USE_KINDS,
    Contact,
    Facing,
    Hand,
    LegUse,
    Profile,
    Stated,
)

__all__ = ["smallest_change"]

_MOST: Final = 4
"""Changing more attributes than this makes it another technique."""
_KEPT: Final = 3
"""How many useful edits of one attribute are kept."""
_FACINGS: Final[tuple[Facing, ...]] = ("front", "side", "back to him", "behind him", "same way")


class _Turn(NamedTuple):
    """One attribute set to another value."""

    edit: Edit
    make: Callable[[Profile], Profile]


def smallest_change(
    profile: Profile, code: RuleCode, circumstances: Circumstances = UNKNOWN, names: Iterable[str] = ()
) -> Change | None:
    """Return the fewest attribute changes that would make a technique that breaks the rules fit.

    One change is tried before two, and two before three; ties follow the order of the profile's attributes
    and of the vocabulary. `None` if the verdict is not *breaks the rules*, if four attributes are not
    enough, or if it is barred by its name.

    Raises:
        BadInput: as for `judge`.
    """
    called = tuple(names)

    def judged(changed: Profile) -> Verdict:
        return judge(changed, code, circumstances, called)

    verdict = judged(profile)
    if verdict.word is not VerdictWord.BREAKS:
        return None
    useful = _useful(profile, verdict, judged)
    for size in range(1, min(_MOST, len(useful)) + 1):
        for attributes in combinations(useful, size):
            for turns in product(*attributes):
                word = judged(_made(profile, turns)).word
                if word in FITTING:
                    return Change(tuple(turn.edit for turn in turns), word)
    return None


def _made(profile: Profile, turns: Iterable[_Turn]) -> Profile:
    for turn in turns:
        profile = turn.make(profile)
    return profile


def _useful(profile: Profile, verdict: Verdict, judged: Callable[[Profile], Verdict]) -> list[list[_Turn]]:
    """Return, for each attribute that a clause checks, the first few edits that leave fewer breaches or
    unknowns."""
    kept = []
    for turns in _turns(profile, verdict):
        better = [turn for turn in turns if _amiss(judged(turn.make(profile))) < _amiss(verdict)]
        if better:
            kept.append(better[:_KEPT])
    return kept


def _amiss(verdict: Verdict) -> tuple[int, int]:
    if verdict.word in FITTING:
        return 0, 0
    truths = [reason.truth for reason in verdict.reasons]
    return truths.count(False), truths.count(None)


def _turns(profile: Profile, verdict: Verdict) -> Iterator[Iterable[_Turn]]:
    amiss = [reason for reason in verdict.reasons if reason.truth is not True]
    looked_at = {reason.attribute.split(".")[0] for reason in amiss}
    if any(reason.template == "hands.none kept" for reason in amiss):
        looked_at.add("left")
    if any(reason.template == "named.barred" for reason in amiss):
        looked_at |= {"leg_use", "facing", "falls_on_him", "first_down"}
    if "right" in looked_at:
        yield _hand_turns("right", profile.right, lambda done, hand: replace(done, right=hand))
    if "left" in looked_at:
        yield _hand_turns("left", profile.left, lambda done, hand: replace(done, left=hand))
    if "leg_use" in looked_at:
        yield _leg_turns(profile)
    yield from (turns for attribute, turns in _BODY.items() if attribute in looked_at)


def _hand_turns(side: str, hand: Hand, put: Callable[[Profile, Hand], Profile]) -> Iterator[_Turn]:
    """Yield edits of a hand: keep its hold, be free to hold elsewhere, hold elsewhere."""

    def turn(field: str, value: str, changed: Hand) -> _Turn:
        return _Turn(Edit(f"{side}.{field}", value), lambda done: put(done, changed))

    if hand.lets_go and hand.lets_go.value:
        yield turn("lets_go", "no", replace(hand, lets_go=Stated(False)))
    if hand.essential is None or hand.essential.value:
        yield turn("essential", "no", replace(hand, essential=Stated(False)))
    for place in PLACES:
        yield turn("places", place, replace(hand, places=Stated((place,)), lets_go=Stated(False)))


def _leg_turns(profile: Profile) -> list[_Turn]:
    """Return leg edits: kinds of the stated use first, then other uses, then a leg merely placed, then no
    leg."""
    kinds = USE_KINDS.get(profile.leg_use.value, ()) if profile.leg_use else ()
    others = [use for use in LEG_USES if use not in {*kinds, *USE_KINDS, "placed", "none"}]
    return [_leg(use) for use in (*kinds, *others, "placed", "none")]


def _leg(use: LegUse) -> _Turn:
    return _Turn(Edit("leg_use", use), lambda done: replace(done, leg_use=Stated(use)))


def _contact(part: Contact) -> _Turn:
    return _Turn(Edit("contact", part), lambda done: replace(done, contact=Stated((part,))))


def _facing(way: Facing) -> _Turn:
    return _Turn(Edit("facing", way), lambda done: replace(done, facing=Stated(way)))


def _not_on_him(done: Profile) -> Profile:
    return replace(done, falls_on_him=Stated(False))


_BODY: Final[dict[str, tuple[_Turn, ...]]] = {
    "leg_when": (
        _Turn(
            Edit("leg_when", "once he is off it"),
            lambda done: replace(done, leg_when=Stated("once he is off it")),
        ),
    ),
    "contact": tuple(_contact(part) for part in CONTACTS),
    "facing": tuple(_facing(way) for way in _FACINGS),
    "first_down": (_Turn(Edit("first_down", "he"), lambda done: replace(done, first_down=Stated("he"))),),
    "falls_on_him": (
        _Turn(Edit("falls_on_him", "no"), lambda done: replace(done, falls_on_him=Stated(False))),
    ),
    "pressure": (_Turn(Edit("pressure", "none"), lambda done: replace(done, pressure=Stated("none"))),),
    "ground": (_Turn(Edit("ground", "standing"), lambda done: replace(done, ground=Stated("standing"))),),
}
