"""Judging is fast enough for a matrix: 2,000 techniques under 50 codes within 5 seconds."""

from pathlib import Path
from time import process_time

from termbase.judging.deciding import judge_many
from termbase.judging.ground import judge_ground, judge_pressure
from termbase.judging.hands import judge_hands
from termbase.judging.legs import judge_legs
from termbase.judging.naming import judge_named
from termbase.judging.prepared import prepare
from termbase.judging.verdict import UNKNOWN
from termbase.technique.profile import NamedProfile
from tests.unlike_techniques import unlike_codes, unlike_profiles

HERE = Path(__file__).parents[2] / "outside" / "judging"
BUDGET = 5 / 100_000
"""Seconds of processor time for one verdict with its reasons."""


def matrix(profiles: list[NamedProfile], run: int) -> float:
    rules = unlike_codes(50, run)
    start = process_time()
    assert sum(1 for _ in judge_many(profiles, rules)) == len(profiles) * 50
    return process_time() - start


def bare(profiles: list[NamedProfile]) -> float:
    """Run the same checks without building results."""
    ready = [prepare(code, code.clauses) for code in unlike_codes(50, 0)]
    start = process_time()
    for named in profiles:
        for code in ready:
            judge_hands(named.profile, code)
            judge_legs(named.profile, code)
            judge_pressure(named.profile, code)
            judge_ground(named.profile, code)
            judge_named(named.profile, frozenset(), code, UNKNOWN)
    return process_time() - start


def test_a_matrix_is_judged_within_its_budget_and_near_the_bare_checks() -> None:
    profiles = unlike_profiles(300)
    seconds = min(matrix(profiles, run) for run in range(2))
    assert (
        seconds <= 2 * len(profiles) * 50 * BUDGET
    )  # twice: making the codes ready weighs more on fewer profiles
    assert seconds <= 5 * bare(profiles)
