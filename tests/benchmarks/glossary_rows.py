"""Printing the glossary against the bare typesetter: the same book with no running heads and no checks.

Run by hand: `python tests/benchmarks/glossary_rows.py [entries]`. Reading the record is not measured: the
articles come from memory, and the time it takes to hand them over is taken off. Bare is the same book and the
same template compiled straight to a plain PDF, without running heads and without columns evened out.
"""

import os
import resource
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import msgspec
import typst

from exports.glossary.print import coverage, publishing, rendering, typesetting
from termbase.articles import Article, Judged, Library, judge_cached
from termbase.entries import Definition, Entry, Form, Gender, Origin, PartOfSpeech, Status, Term, Topic
from termbase.evidence import Evidence, MechanicScale, NameScale, PracticeScale, Witness
from termbase.people import Termbase
from termbase.rulecodes import RuleCode
from termbase.rulecodes.clauses import KeepRule, LegRule, StartHold
from termbase.sources import Slip, Source, SourceKind
from termbase.technique import Hand, Profile, Said

GOAL = 1.3
AS_OF = "2026-03-01"
ONE = Evidence(NameScale.ONE, ("1 independent witness in 1 slip, 1898.",))
NONE = Evidence(NameScale.NONE, ("No slip bears witness to this name.",))
MECHANIC = Evidence(MechanicScale.DESCRIBED, ("A slip describes it.",))
PRACTICE = Evidence(PracticeScale.UNTRIED, ("No trial is recorded.",))
PROFILE = Profile(
    right=Hand(Said(("shoulder strap",)), work=Said("push"), essential=Said(False)),
    left=Hand(Said(("belt near side",)), work=Said("pull"), essential=Said(False)),
    leg_use=Said("kick"),
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
EXTRAS = (
    ("  header: page-begin,\n  foreground: running-head,\n", ""),
    ("let break-before = even-break(flow, last)", "let break-before = -1"),
)
SYLLABLES = ("bach", "cod", "gaf", "llor", "sawd", "tro", "ym", "rhed", "dal", "wreg")


class Many:
    """As much of a library as the printer asks for: entries of three names, a quotation and a verdict."""

    def __init__(self, size: int) -> None:
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
        said = Slip(
            "", "s1", "He took the strap with his right hand, and the belt at the near hip.", page="3"
        )
        definition = Definition(
            "en", "A hold of the belt with the left hand, taken low at the near hip.", "s1"
        )
        judged = (Judged(CODE, judge_cached(PROFILE, CODE, ()), None),)
        for n in range(1, self.size + 1):
            stem = "".join(SYLLABLES[int(figure)] for figure in f"{n:05}")
            terms = _terms(n, stem)
            slip = replace(said, id=f"q{n}", term_id=terms[1].id)
            yield Article(
                entry=Entry(f"c{n:05}", Topic.HOLD, terms, (definition,), PROFILE),
                slips={terms[1].id: (slip,)},
                trials=(),
                lines=(),
                related=(),
                judged=judged,
                names={t.id: ONE if t is terms[1] else NONE for t in terms},
                dated={terms[1].id: (Witness((slip.id,), "1898"),)},
                mechanic=MECHANIC,
                practice=PRACTICE,
            )


def _terms(n: int, stem: str) -> tuple[Term, ...]:
    noun = PartOfSpeech.NOUN
    return (
        Term(f"t{3 * n}", f"{stem}-hold", "en", Origin.IN_USE, part_of_speech=noun, status=Status.PREFERRED),
        Term(
            f"t{3 * n + 1}", f"{stem}iad", "cy", Origin.IN_USE, part_of_speech=noun, gender=Gender.MASCULINE,
            forms=(Form("plural", f"{stem}iadau"),),
        ),
        Term(f"t{3 * n + 2}", f"{stem}fa", "cy", Origin.WORD_LIST, part_of_speech=noun),
    )  # fmt: skip


def rows(size: int = 5000) -> list[tuple[str, float, float, float]]:
    """Name, our seconds, the bare typesetter's, the ratio that ours may not exceed; processor time of all."""
    library = cast(Library, Many(size))
    with tempfile.TemporaryDirectory() as folder:
        handing_over = _seconds(lambda: sum(1 for _ in library.articles()))
        path = Path(folder) / "many.pdf"
        ours = _seconds(lambda: publishing.publish_pdf(library, path, as_of=AS_OF)) - handing_over
        data = msgspec.json.encode(rendering.render(library, as_of=AS_OF))
        bare = _seconds(lambda: _bare(Path(folder), data))
    return [(f"glossary of {size} entries, PDF", ours, bare, GOAL)]


def _bare(folder: Path, data: bytes) -> None:
    template = typesetting.TEMPLATE.read_text(encoding="utf-8")
    for extra, plain in EXTRAS:
        if extra not in template:
            raise LookupError(f"the template no longer says {extra!r}")
        template = template.replace(extra, plain)
    (folder / "glossary.typ").write_text(template, encoding="utf-8")
    (folder / "book.json").write_bytes(data)
    typst.compile(
        str(folder / "glossary.typ"),
        output=str(folder / "bare.pdf"),
        font_paths=[str(coverage.PRINT_FONTS)],
        ignore_system_fonts=True,
    )


def _seconds(work: Callable[[], object]) -> float:
    start = sum(os.times()[:4])
    work()
    return sum(os.times()[:4]) - start


if __name__ == "__main__":
    for name, ours, bare, goal in rows(int(sys.argv[1]) if len(sys.argv) > 1 else 5000):
        print(f"{name}: {ours:.2f} s, bare {bare:.2f} s, ratio {ours / bare:.2f} (goal {goal})")
    memory = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss // 1024
    print(f"largest memory of the typesetter: {memory} MB")
