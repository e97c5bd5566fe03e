"""2,000 techniques under 50 codes, judged with their reasons, compared with a bare loop over the same
predicates.

The bare loop is what one would write for a yes or no: for each technique and code it checks the same places,
uses, heights, pressures, touches and names, and keeps three truth values. It gives no reasons or citations,
asks no questions, and does not know left-handed forms, footwear or doubtful limits. It caches nothing from
one technique to the next. Its row also shows how often it reaches the same verdict: where it does not, the
bare loop is too simple.
"""

from pathlib import Path
from time import process_time

from termbase.judging.body import height_within, same_work
from termbase.judging.deciding import judge_many
from termbase.judging.prepared import Prepared, prepare
from termbase.judging.verdict import Truth, all_of, any_of
from termbase.rules.clauses import LegRule
from termbase.technique.profile import PLACES, USE_KINDS, Hand, Profile
from tests.unlike_techniques import unlike_codes, unlike_profiles

PUBLISHED = Path(__file__).parents[1] / "outside" / "judging"
TECHNIQUES = 2_000
CODES = 50
BUDGET = 5.0
"""Seconds for all of them."""
GOAL = 5.0
"""Maximum ratio to the time of the bare loop."""


def bare_word(profile: Profile, names: frozenset[str], code: Prepared) -> str:
    """Only the verdict."""
    right, left = _hand(profile.right, profile, code, 0), _hand(profile.left, profile, code, 1)
    rest = all_of((_legs(profile, code), _pressure(profile, code), _ground(profile, code)))
    if any(not names.isdisjoint(called) and rule.stance == "barred" for rule, called in code.named):
        rest = False
    changed = all_of((right[1], left[1], rest))
    if changed is not True:
        return "breaks the rules" if changed is False else "open"
    return "fits" if right[0] and left[0] else "fits with a changed grip"


def _hand(hand: Hand, profile: Profile, code: Prepared, side: int) -> tuple[Truth, Truth]:
    """Whether a hand may hold as described, and whether it may from some place that does the same work."""
    if hand.places is None:
        return (True, True) if not code.ruled_grips else (None, None)
    grips = code.grips[profile.ground.value if profile.ground else None]
    held = code.held[0][side] if code.held else frozenset()
    kept = code.keep is not None and code.keep.keep in {"both hands", "within a zone"} and bool(held)
    reach = held | code.zone if kept else held

    def may(place: str) -> Truth:
        if place in reach:
            return True
        return False if kept else grips[place].truth  # type: ignore[index]

    described = any_of(may(place) for place in hand.places.value)
    if described:
        return True, True
    sure: set[str] = set(hand.also.value if hand.also else ())
    perhaps: set[str] = set()
    if hand.essential is None:
        perhaps = set(PLACES)
    elif not hand.essential.value:
        result, doubtful = same_work(hand.places.value, hand.work.value if hand.work else None)
        sure |= result
        perhaps = set(doubtful) if hand.also is None else set()
    changed = any_of(may(place) for place in sure)
    if not changed and any(may(place) is not False for place in perhaps):
        changed = None
    return described, described if changed is False else changed


def _legs(profile: Profile, code: Prepared) -> Truth:
    if profile.leg_use is None:
        return None if any(rule.stance != "allowed" or rule.height for rule in code.legs) else True
    use = profile.leg_use.value
    if use == "none":
        return True
    best: tuple[int, int, Truth] | None = None
    for rule in code.legs:
        level = _level(use, rule)
        if not level or (rule.when and profile.leg_when and profile.leg_when.value != rule.when):
            continue
        within = True if rule.height is None else None
        if rule.height and profile.contact:
            within = height_within(profile.contact.value, rule.height)
        if rule.stance == "barred" and rule.height and within:
            continue
        truth: Truth = within if rule.stance == "allowed" else False if rule.stance == "barred" else None
        rank = (level, {"barred": 3, "unsettled": 2, "allowed": 1}[rule.stance], truth)
        if best is None or rank[:2] > best[:2]:
            best = rank
    return best[2] if best else (True if use == "placed" else None)


def _level(use: str, rule: LegRule) -> int:
    if use in rule.uses:
        return 3
    if any(use in USE_KINDS.get(named, ()) for named in rule.uses if named != "any"):
        return 2
    return 1 if "any" in rule.uses and use != "placed" else 0


def _pressure(profile: Profile, code: Prepared) -> Truth:
    if profile.pressure is None:
        return None if any(rule.barred or rule.unsettled for rule in code.pressure) else True
    pressure = profile.pressure.value
    if pressure == "none":
        return True
    named: tuple[str, ...] = (
        (pressure, "any") if pressure in {"neck", "throat", "pain"} else (pressure, "joint", "any")
    )
    for name in named:
        if any(name in rule.barred for rule in code.pressure):
            return False
        if any(name in rule.unsettled for rule in code.pressure):
            return None
        if any(name in rule.allowed for rule in code.pressure):
            return True
    return None


def _ground(profile: Profile, code: Prepared) -> Truth:
    truths: list[Truth] = []
    for rule in code.ground:
        if rule.work in {"barred", "unsettled"}:
            where = profile.ground.value if profile.ground else None
            truths.append(None if where is None else where == "standing")
        if rule.touch in {"loses", "stops play"} and not (
            profile.ground and profile.ground.value != "standing"
        ):
            first = profile.first_down.value if profile.first_down else None
            truths.append(None if first is None or first == "both" else first == "he")
        if rule.fall_on_him == "barred":
            truths.append(None if profile.falls_on_him is None else not profile.falls_on_him.value)
    return all_of(truths)


def timed(techniques: int = TECHNIQUES, under: int = CODES) -> tuple[float, float, float]:
    """Processor seconds for ours and the bare loop, and how often both reach the same verdict.

    Each is the better of three runs, in turns; to make the codes ready counts for both.
    """
    result = unlike_profiles(techniques)
    ours: list[float] = []
    bare: list[float] = []
    same = 0
    for run in range(3):
        rules = unlike_codes(under, run)
        start = process_time()
        words = [verdict.word for _, _, verdict in judge_many(result, rules)]
        ours.append(process_time() - start)
        start = process_time()
        ready = [prepare(code, code.clauses) for code in rules]
        plain = [
            bare_word(named.profile, frozenset((named.name.casefold(),)), code)
            for named in result
            for code in ready
        ]
        bare.append(process_time() - start)
        same = sum(each == other for each, other in zip(words, plain, strict=True))
    return min(ours), min(bare), same / len(words)


def rows(techniques: int = TECHNIQUES, under: int = CODES) -> list[tuple[str, float, float, float | None]]:
    """Name, our seconds, the bare loop's (or the seconds allowed), the ratio not to be exceeded."""
    ours, bare, same = timed(techniques, under)
    what = f"judging {techniques:,} x {under} with reasons"
    allowed = BUDGET * techniques * under / (TECHNIQUES * CODES)
    return [
        (f"{what} (bare: {same:.0%} the same)", ours, bare, GOAL),
        (f"{what}, against its budget", ours, allowed, 1.0),
    ]
