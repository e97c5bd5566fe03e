"""The judging is fast enough for a matrix: 2,000 techniques under 50 codes within 5 seconds."""

import random
from dataclasses import replace
from pathlib import Path
from time import process_time

from termbase.judging import UNKNOWN, judge_many
from termbase.judging.hands import judge_hands
from termbase.judging.legwork import judge_legs
from termbase.judging.naming import judge_named
from termbase.judging.prepared import prepare
from termbase.judging.pressing import judge_ground, judge_pressure
from termbase.rulecodes import RuleCode
from termbase.rulefiles import read_codes, read_profiles
from termbase.technique import PLACES, Hand, NamedProfile, Said

HERE = Path(__file__).parents[1] / "outside" / "judging"
BUDGET = 5 / 100_000
"""Seconds of processor time for one verdict with its reasons."""


def profiles(number: int) -> list[NamedProfile]:
    """As many unlike profiles, put together from parts of published ones, each with sources of its own."""
    dice = random.Random(1868)
    known = [named.profile for named in read_profiles((HERE / "techniques.toml").read_text("utf-8"), "")]

    def hand(like: Hand, source: str) -> Hand:
        places = tuple(dice.sample(PLACES[:25], dice.randint(1, 3)))
        return replace(like, places=Said(places, "slip", source))

    made = []
    for count in range(number):
        one, other, third, fourth = (dice.choice(known) for _ in range(4))
        profile = replace(
            one,
            right=hand(other.right, f"s{count}"),
            left=hand(third.left, f"s{count}"),
            leg_use=fourth.leg_use,
            contact=fourth.contact,
            pressure=third.pressure,
            ground=other.ground,
        )
        made.append(NamedProfile(f"c{count}", f"throw {count}", profile=profile))
    return made


def codes(number: int, run: int) -> list[RuleCode]:
    known = read_codes((HERE / "styles.toml").read_text("utf-8"), "")
    return [replace(known[count % len(known)], id=f"r{run}-{count}") for count in range(number)]


def matrix(found: list[NamedProfile], run: int) -> float:
    rules = codes(50, run)
    start = process_time()
    assert sum(1 for _ in judge_many(found, rules)) == len(found) * 50
    return process_time() - start


def bare(found: list[NamedProfile]) -> float:
    """The same checks with nothing made of them."""
    ready = [prepare(code, code.clauses) for code in codes(50, 0)]
    start = process_time()
    for named in found:
        for code in ready:
            judge_hands(named.profile, code)
            judge_legs(named.profile, code)
            judge_pressure(named.profile, code)
            judge_ground(named.profile, code)
            judge_named(named.profile, frozenset(), code, UNKNOWN)
    return process_time() - start


def test_a_matrix_is_judged_within_its_budget_and_near_the_bare_checks() -> None:
    found = profiles(300)
    taken = min(matrix(found, run) for run in range(2))
    assert (
        taken <= 2 * len(found) * 50 * BUDGET
    )  # twice: making the codes ready weighs more on fewer profiles
    assert taken <= 5 * bare(found)
