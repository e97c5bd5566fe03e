"""The evidence of names with many slips, compared with only detecting reprints.

Run by hand: `python tests/benchmarks/evidence_rows.py [entries]`. Every name has 100 slips of about 150
letters: most of them contain it in some form, some do not, some are reprints. The goal: searching for the
name in every quotation costs no more than comparing the quotations with one another.
"""

import random
import sys
import time

from termbase.evidence.scales import name_evidence
from termbase.evidence.witnesses import witnesses
from termbase.record.entries import Origin, Term
from termbase.record.sources import Certainty, Slip, SlipKind

SEED = 1898
ENTRIES = 40
SLIPS = 100
GOAL = 2.0
_WORDS = (
    "he the his and of with for by at upon ring field strap belt heel foot ankle shoulder fall fair quarry "
    "umpire champion second turn round left right hold held threw thrown played good down grass crowd match"
)
WORDS = _WORDS.split()
SYLLABLES = ("ba", "cei", "dro", "ffe", "gwy", "lla", "mor", "nant", "pen", "rhy", "sa", "tre", "wys", "clo")

Row = tuple[str, float, float, float]


def rows(entries: int = ENTRIES) -> list[Row]:
    """(what, our seconds, the seconds of the comparison alone, the ratio not to be exceeded)."""
    chance = random.Random(SEED)
    result = []
    for tag in ("en", "cy"):
        named = [_named(n, tag, chance) for n in range(entries)]
        start = time.perf_counter()
        for _term, slips in named:
            witnesses(slips, {})
        bare = time.perf_counter() - start
        start = time.perf_counter()
        for term, slips in named:
            name_evidence(term, slips, {})
        ours = time.perf_counter() - start
        result.append((f"evidence of {entries} names, {SLIPS} slips each ({tag})", ours, bare, GOAL))
    return result


def _named(number: int, tag: str, chance: random.Random) -> tuple[Term, list[Slip]]:
    words = ["".join(chance.choices(SYLLABLES, k=2)) for _ in range(2)]
    term = Term(f"t{number}", "-".join(words), tag, Origin.IN_USE)
    slips: list[Slip] = []
    for n in range(SLIPS):
        text = chance.choices(WORDS, k=26)
        if chance.random() < 0.8:
            text[chance.randrange(26)] = chance.choice(("-", " ", "")).join(words)
        if slips and chance.random() < 0.1:
            text = [slips[-1].text, "again"]
        slips.append(
            Slip(f"q{number}.{n}", f"s{n}", " ".join(text), date=str(1850 + n // 2), term_id=term.id,
                 kind=chance.choice((SlipKind.USE, SlipKind.USE, SlipKind.MENTION)),
                 certainty=chance.choice((Certainty.SECURE, Certainty.PROBABLE)))
        )  # fmt: skip
    return term, slips


if __name__ == "__main__":
    for what, ours, bare, goal in rows(*map(int, sys.argv[1:])):
        print(f"{what:<60} {ours:8.3f} s {bare:8.3f} s {ours / bare:6.2f} (goal {goal})")
