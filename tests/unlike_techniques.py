"""Many different techniques and rule codes for judging, combined from published ones."""

import random
from dataclasses import replace
from pathlib import Path

from termbase.rules.clauses import RuleCode
from termbase.rules.files import read_codes, read_profiles
from termbase.technique.profile import PLACES, Hand, NamedProfile, Stated

__all__ = ["unlike_codes", "unlike_profiles"]

PUBLISHED = Path(__file__).parent / "outside" / "judging"


def unlike_profiles(number: int) -> list[NamedProfile]:
    """Return `number` different profiles combined from parts of published ones, each with its own sources."""
    dice = random.Random(1868)
    text = (PUBLISHED / "techniques.toml").read_text("utf-8")
    known = [named.profile for named in read_profiles(text, "techniques.toml")]

    def hand(like: Hand, source: str) -> Hand:
        return replace(
            like, places=Stated(tuple(dice.sample(PLACES[:25], dice.randint(1, 3))), "slip", source)
        )

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


def unlike_codes(number: int, run: int) -> list[RuleCode]:
    """Return `number` codes, repeating the published ones under new ids, so that none is cached."""
    known = read_codes((PUBLISHED / "styles.toml").read_text("utf-8"), "styles.toml")
    return [replace(known[count % len(known)], id=f"r{run}-{count}") for count in range(number)]
