"""What the printed glossary adds to typesetting its text, each step compared with the one before.

Run by hand: `python tests/benchmarks/glossary_rows.py [entries]`; it also prints the peak memory of each.
The book is made once, from articles in memory. Then it is typeset, in a separate process each time (the
typesetter caches its results): without running heads and tags; with running heads; as published, PDF/A and
PDF/UA; and with a different figure in every article.
"""

import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import cycle, islice, product
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import msgspec

from exports.glossary.book import assembling, coverage
from exports.glossary.book.book import Selection
from exports.glossary.pdf import typesetting
from termbase.evidence.scales import Evidence, MechanicScale, NameEvidence, NameScale, PracticeScale
from termbase.evidence.witnesses import Witness
from termbase.overviews.articles import Article, Judged, Library
from termbase.record.entries import (
    Definition,
    Entry,
    Gender,
    InflectedForm,
    Origin,
    PartOfSpeech,
    Status,
    Term,
    Topic,
)
from termbase.record.people import Termbase
from termbase.record.sources import Slip, Source, SourceKind
from termbase.rules.clauses import KeepRule, LegRule, RuleCode, StartHold
from termbase.store.verdicts import judge_cached
from termbase.technique.profile import LEG_USES, PLACES, Direction, Hand, Profile, Stated

HEADS, TAGS, FIGURES = 1.25, 1.2, 1.7
AS_OF = "2026-03-01"
USED = (Witness(("q0",), "1898"),)
ONE = NameEvidence(NameScale.ONE, ("1 independent witness in 1 slip, 1898.",), used=USED, counted=USED)
NONE = NameEvidence(NameScale.NONE, ("There are no slips for this name.",))
MECHANIC = Evidence(MechanicScale.DESCRIBED, ("A slip describes it.",))
PRACTICE = Evidence(PracticeScale.UNTRIED, ("No trials are recorded.",))
PROFILE = Profile(
    right=Hand(Stated(("shoulder strap",)), work=Stated("push"), essential=Stated(False)),
    left=Hand(Stated(("belt near side",)), work=Stated("pull"), essential=Stated(False)),
    leg_use=Stated("kick"),
)
CODE = RuleCode(
    "r1",
    "Glanmorwen Fair rules (1868)",
    clauses=(
        StartHold(id="F2", right=("shoulder strap",), left=("belt near side",)),
        KeepRule(id="F3", keep="both hands"),
        LegRule(id="F4", stance="barred", uses=("kick",)),
    ),
)
HEAD_LINES = "  header: page-begin,\n  foreground: running-head,\n"
SYLLABLES = ("bach", "cod", "gaf", "llor", "sawd", "tro", "ym", "rhed", "dal", "wreg")


class Many:
    """The part of a library that the printer uses: entries of three names, a quotation and a verdict.

    `varied`: techniques differ, so that no figure is that of the entry before.
    """

    def __init__(self, size: int, varied: bool = False) -> None:
        self.profiles = _varied() if varied else cycle((PROFILE,))
        self.size = size
        self.termbase = Termbase(
            title="Many", vernaculars=("cy",), notice="Invented, and evidence of nothing."
        )
        self.sources = {
            "s1": Source("s1", "Lantern", SourceKind.NEWSPAPER, "The Quarry Lantern", issued="1898")
        }
        self.codes = (CODE,)
        self.reader = SimpleNamespace(count=lambda cls: size)

    def date_of(self, slip: Slip) -> str:
        return slip.date or "1898"

    def articles(self, ids: Sequence[str] | None = None) -> Iterator[Article]:
        base = Slip(
            "", "s1", "He took the strap with his right hand, and the belt at the near hip.", page="3"
        )
        definition = Definition(
            "en", "A hold of the belt with the left hand, taken low at the near hip.", "s1"
        )
        for n in range(1, self.size + 1):
            stem = "".join(SYLLABLES[int(figure)] for figure in f"{n:05}")
            terms = _terms(n, stem)
            profile = next(self.profiles)
            slip = replace(base, id=f"q{n}", term_id=terms[1].id)
            yield Article(
                entry=Entry(f"c{n:05}", Topic.HOLD, terms, definitions=(definition,), technique=profile),
                slips={terms[1].id: (slip,)},
                trials=(),
                lines=(),
                related=(),
                judged=(Judged(CODE, judge_cached(profile, CODE, ()), None),),
                names={t.id: ONE if t is terms[1] else NONE for t in terms},
                dated={terms[1].id: (Witness((slip.id,), "1898"),)},
                mechanic=MECHANIC,
                practice=PRACTICE,
            )


def _varied() -> Iterator[Profile]:
    """Yield profiles; about 6,000 in a row differ."""
    directions: tuple[Direction, ...] = ("left", "right", "backward", "forward")
    ways = product(PLACES, PLACES, LEG_USES, directions)
    for right, left, use, direction in islice(cycle(ways), 0, None, 7):
        yield Profile(
            right=Hand(Stated((right,)), work=Stated("push")),
            left=Hand(Stated((left,)), work=Stated("pull")),
            leg_use=Stated(use),
            contact=Stated(("calf",)),
            off_balance=Stated(direction),
        )


def _terms(n: int, stem: str) -> tuple[Term, ...]:
    noun = PartOfSpeech.NOUN
    return (
        Term(f"t{3 * n}", f"{stem}-hold", "en", Origin.IN_USE, part_of_speech=noun, status=Status.PREFERRED),
        Term(
            f"t{3 * n + 1}", f"{stem}iad", "cy", Origin.IN_USE, part_of_speech=noun, gender=Gender.MASCULINE,
            forms=(InflectedForm("plural", f"{stem}iadau"),),
        ),
        Term(f"t{3 * n + 2}", f"{stem}fa", "cy", Origin.WORD_LIST, part_of_speech=noun),
    )  # fmt: skip


def rows(size: int = 5000) -> list[tuple[str, float, float, float]]:
    """Name, our seconds, those of the step before, the ratio not to be exceeded; processor time of all."""
    return [(f"{name}, {size} entries", *both, goal) for name, both, goal, _ in steps(size)]


def steps(size: int) -> Iterator[tuple[str, tuple[float, float], float, int]]:
    """Each step with its seconds and those of the step before, its goal, and its memory in megabytes."""
    plain, drawn = (
        msgspec.json.encode(
            assembling.render(cast(Library, Many(size, drawn)), Selection(figures=drawn), as_of=AS_OF)
        )
        for drawn in (False, True)
    )
    template = typesetting.TEMPLATE.read_text(encoding="utf-8")
    if HEAD_LINES not in template:
        raise LookupError(f"the template no longer says {HEAD_LINES!r}")
    bare, _ = _set(plain, template.replace(HEAD_LINES, ""), tagged=False)
    headed, memory = _set(plain, template, tagged=False)
    yield "glossary, running heads against none", (headed, bare), HEADS, memory
    tagged, memory = _set(plain, template, tagged=True)
    yield "glossary, PDF/A and PDF/UA against plain PDF", (tagged, headed), TAGS, memory
    pictured, memory = _set(drawn, template, tagged=True)
    yield "glossary, a figure in each article against none", (pictured, tagged), FIGURES, memory


SETTING = """
import os, resource, sys, typst
folder, fonts_folder, tagged = sys.argv[1:4]
fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[fonts_folder])
compiler = typst.Compiler(folder + "/book.typ", root=folder, font_paths=fonts, ignore_system_fonts=True)
options = {"pdf_standards": ["a-2a", "ua-1"]} if tagged == "True" else {"pdf_tags": False}
compiler.compile(output=folder + "/book.pdf", format="pdf", timestamp=0, **options)
print(sum(os.times()[:2]), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)
"""


def _set(data: bytes, template: str, *, tagged: bool) -> tuple[float, int]:
    """Return the seconds and megabytes that typesetting a book takes."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "book.json").write_bytes(data)
        (Path(folder) / "book.typ").write_text(template, encoding="utf-8")
        command = [sys.executable, "-c", SETTING, folder, str(coverage.PRINT_FONTS), str(tagged)]
        seconds, memory = subprocess.run(command, capture_output=True, check=True, text=True).stdout.split()
    return float(seconds), int(memory)


if __name__ == "__main__":
    for name, (ours, before), goal, memory in steps(int(sys.argv[1]) if len(sys.argv) > 1 else 5000):
        line = f"{name}: {ours:.2f} s against {before:.2f} s, ratio {ours / before:.2f} (goal {goal})"
        print(f"{line}; {memory} MB", flush=True)
