"""Writing TBX against a bare lxml `xmlfile` that writes the same elements.

Run by hand: `python tests/benchmarks/tbx_rows.py [entries]`. Reading the record is not measured: the articles
come from memory, and the time to pass them on is subtracted. The bare writer checks nothing, so
writing is compared with it alone and then together with our check of the whole file.
"""

import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import cast

from lxml import etree

from exports.tbx.writer import render, write_tbx
from termbase.evidence.scales import Evidence, MechanicScale, NameEvidence, NameScale, PracticeScale
from termbase.overviews.articles import Article, Library
from termbase.record.entries import Definition, Entry, Gender, Origin, PartOfSpeech, Status, Term, Topic
from termbase.record.people import Termbase
from termbase.record.sources import Slip, Source, SourceKind

GOAL = 0.6
GOAL_CHECKED = 1.5
Element = tuple[str, dict[str, str], str, tuple["Element", ...]]
NO_SLIP = NameEvidence(NameScale.ONE, ("1 independent witness in 1 slip, 1898.",))
MECHANIC = Evidence(MechanicScale.NOT_DESCRIBED, ("No slip, figure or analogue says how it is done.",))
PRACTICE = Evidence(PracticeScale.UNTRIED, ("No trials are recorded.",))


class Many:
    """The part of a library that the writer uses: `size` entries of three terms and one slip."""

    def __init__(self, size: int) -> None:
        self.size = size
        self.termbase = Termbase(title="Many", vernaculars=("cy",))
        self.sources = {
            "s1": Source("s1", "Advertiser 1898", SourceKind.NEWSPAPER, "At the fair", issued="1898")
        }
        self.codes = ()
        self.reader = SimpleNamespace(all=lambda cls: (), count=lambda cls: 0)

    def languages(self) -> tuple[str, ...]:
        return ("en", "cy")

    def date_of(self, slip: Slip) -> str:
        return slip.date or "1898"

    def articles(self, ids: Sequence[str] | None = None) -> Iterator[Article]:
        noun = Term(
            "", "gafael wregys", "cy", Origin.IN_USE, part_of_speech=PartOfSpeech.NOUN, gender=Gender.FEMININE
        )
        head = replace(noun, text="belt & near hip", language="en", gender=None, status=Status.PREFERRED)
        base = Slip(
            "", "s1", "He took the strap with his right hand, and the belt at the near hip.", page="3"
        )
        definition = Definition("en", "A hold of the belt with the left hand, at the near hip.", "s1")
        for n in range(1, self.size + 1):
            terms = tuple(replace(t, id=f"t{3 * n + k}") for k, t in enumerate((head, noun, noun)))
            entry = Entry(
                f"c{n:04}",
                Topic.HOLD,
                terms,
                definitions=(definition,),
                created_by="A",
                created_on="2026-01-01",
            )
            slip = replace(base, id=f"q{n}", term_id=terms[1].id)
            yield Article(
                entry,
                {terms[1].id: (slip,)},
                (),
                (),
                (),
                (),
                {t.id: NO_SLIP for t in terms},
                {},
                MECHANIC,
                PRACTICE,
            )


def rows(size: int = 100_000) -> list[tuple[str, float, float, float]]:
    """Name, our and the bare writer's seconds of processor time, and the ratio not to be exceeded."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "many.tbx"
        library = cast(Library, Many(size))
        handing_over = _seconds(lambda: sum(1 for _ in library.articles()))
        written = _seconds(lambda: _write_unchecked(library, place)) - handing_over
        checked = _seconds(lambda: write_tbx(library, place)) - handing_over
        element = _an_entry(place)
        bare = _seconds(lambda: _write_bare(Path(folder) / "bare.tbx", element, size))
    return [
        (f"TBX of {size} entries, written", written, bare, GOAL),
        (f"TBX of {size} entries, written and checked", checked, bare, GOAL_CHECKED),
    ]


def _write_unchecked(library: Library, place: Path) -> None:
    with place.open("w", encoding="utf-8") as file:
        file.writelines(render(library))


def _seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def _an_entry(place: Path) -> Element:
    """Return the first entry of a file as plain tuples."""
    for _, element in etree.iterparse(str(place), tag="{*}conceptEntry"):
        return _plain(element)
    raise LookupError(place)


def _plain(element: "etree._Element") -> Element:
    attributes = {str(k): str(v) for k, v in element.attrib.items()}
    return str(element.tag), attributes, element.text or "", tuple(_plain(child) for child in element)


def _write_bare(place: Path, element: Element, size: int) -> None:
    with (
        etree.xmlfile(str(place), encoding="utf-8") as file,
        file.element("{urn:iso:std:iso:30042:ed-2}body"),
    ):
        for _ in range(size):
            _write_element(file, element)


def _write_element(file: "etree._IncrementalFileWriter", element: Element) -> None:
    tag, attributes, text, children = element
    with file.element(tag, attributes):
        if text:
            file.write(text)
        for child in children:
            _write_element(file, child)


if __name__ == "__main__":
    for name, ours, bare, goal in rows(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000):
        print(f"{name}: {ours:.2f} s, bare {bare:.2f} s, ratio {ours / bare:.2f} (goal {goal})")
