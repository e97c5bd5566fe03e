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
"""The most attributes to change; more would make it another technique."""
_KEPT: Final = 3
"""The most useful edits to keep for each attribute."""
_FACINGS: Final[tuple[Facing, ...]] = ("front", "side", "back to him", "behind him", "same way")


class _Option(NamedTuple):
    """One attribute set to another value."""

    edit: Edit
    apply: Callable[[Profile], Profile]


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
    given = tuple(names)

    def judged(changed: Profile) -> Verdict:
        return judge(changed, code, circumstances, given)

    verdict = judged(profile)
    if verdict.word is not VerdictWord.BREAKS:
        return None
    useful = _useful(profile, verdict, judged)
    for size in range(1, min(_MOST, len(useful)) + 1):
        for attributes in combinations(useful, size):
            for options in product(*attributes):
                word = judged(_applied(profile, options)).word
                if word in FITTING:
                    return Change(tuple(option.edit for option in options), word)
    return None


def _applied(profile: Profile, options: Iterable[_Option]) -> Profile:
    for option in options:
        profile = option.apply(profile)
    return profile


def _useful(profile: Profile, verdict: Verdict, judged: Callable[[Profile], Verdict]) -> list[list[_Option]]:
    """Return, for each attribute that a clause checks, the first few edits that leave fewer breaches or
    unknowns."""
    kept = []
    for options in _options(profile, verdict):
        better = [
            option
            for option in options
            if _unmet_counts(judged(option.apply(profile))) < _unmet_counts(verdict)
        ]
        if better:
            kept.append(better[:_KEPT])
    return kept


def _unmet_counts(verdict: Verdict) -> tuple[int, int]:
    if verdict.word in FITTING:
        return 0, 0
    truths = [reason.truth for reason in verdict.reasons]
    return truths.count(False), truths.count(None)


def _options(profile: Profile, verdict: Verdict) -> Iterator[Iterable[_Option]]:
    unmet = [reason for reason in verdict.reasons if reason.truth is not True]
    attributes = {reason.attribute.split(".")[0] for reason in unmet}
    if any(reason.template == "hands.none kept" for reason in unmet):
        attributes.add("left")
    if any(reason.template == "named.barred" for reason in unmet):
        attributes |= {"leg_use", "facing", "falls_on_him", "first_down"}
    if "right" in attributes:
        yield _hand_options("right", profile.right, lambda done, hand: replace(done, right=hand))
    if "left" in attributes:
        yield _hand_options("left", profile.left, lambda done, hand: replace(done, left=hand))
    if "leg_use" in attributes:
        yield _leg_options(profile)
    yield from (options for attribute, options in _BODY.items() if attribute in attributes)


def _hand_options(side: str, hand: Hand, put: Callable[[Profile, Hand], Profile]) -> Iterator[_Option]:
    """Yield edits of a hand: it keeps its hold, may hold elsewhere, or holds elsewhere."""

    def option(field: str, value: str, changed: Hand) -> _Option:
        return _Option(Edit(f"{side}.{field}", value), lambda done: put(done, changed))

    if hand.lets_go and hand.lets_go.value:
        yield option("lets_go", "no", replace(hand, lets_go=Stated(False)))
    if hand.essential is None or hand.essential.value:
        yield option("essential", "no", replace(hand, essential=Stated(False)))
    for place in PLACES:
        yield option("places", place, replace(hand, places=Stated((place,)), lets_go=Stated(False)))


def _leg_options(profile: Profile) -> list[_Option]:
    """Return leg edits: kinds of the stated use first, then other uses, then a leg merely placed, then no
    leg."""
    kinds = USE_KINDS.get(profile.leg_use.value, ()) if profile.leg_use else ()
    others = [use for use in LEG_USES if use not in {*kinds, *USE_KINDS, "placed", "none"}]
    return [_leg(use) for use in (*kinds, *others, "placed", "none")]


def _leg(use: LegUse) -> _Option:
    return _Option(Edit("leg_use", use), lambda done: replace(done, leg_use=Stated(use)))


def _contact(part: Contact) -> _Option:
    return _Option(Edit("contact", part), lambda done: replace(done, contact=Stated((part,))))


def _facing(way: Facing) -> _Option:
    return _Option(Edit("facing", way), lambda done: replace(done, facing=Stated(way)))


_BODY: Final[dict[str, tuple[_Option, ...]]] = {
    "leg_when": (
        _Option(
            Edit("leg_when", "once he is off it"),
            lambda done: replace(done, leg_when=Stated("once he is off it")),
        ),
    ),
    "contact": tuple(_contact(part) for part in CONTACTS),
    "facing": tuple(_facing(way) for way in _FACINGS),
    "first_down": (_Option(Edit("first_down", "he"), lambda done: replace(done, first_down=Stated("he"))),),
    "falls_on_him": (
        _Option(Edit("falls_on_him", "no"), lambda done: replace(done, falls_on_him=Stated(False))),
    ),
    "pressure": (_Option(Edit("pressure", "none"), lambda done: replace(done, pressure=Stated("none"))),),
    "ground": (_Option(Edit("ground", "standing"), lambda done: replace(done, ground=Stated("standing"))),),
}
