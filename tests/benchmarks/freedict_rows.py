"""A whole real dictionary (FreeDict English-Welsh, GPL, Debian's dict-freedict-eng-cym) imported and
exported.

Import: split, parsed, entries with slips, keys and history, against splitting it into pairs and inserting
only those into SQLite. Export: TBX from the database, checked, against lxml writing the same elements from
memory.
"""

import sqlite3
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from lxml import etree
from platformdirs import user_cache_path

from exports.tbx.writer import write_tbx
from termbase.acts import pages
from termbase.acts.accepting import accept_all_clear
from termbase.acts.sources import save_source
from termbase.overviews.articles import Library
from termbase.record.pages import Line
from termbase.record.people import Termbase
from termbase.record.sources import Source, SourceKind
from termbase.search.likeness import Resembler
from termbase.store.engine import Store
from termbase.transcripts import read_transcript
from termbase.wordlists.pattern_files import write_pattern
from termbase.wordlists.stock import STOCK

PATTERN = "two lines, labels in angle brackets"


def rows() -> list[tuple[str, float, float, float | None]]:
    """Name, our seconds, the bare libraries' seconds, and the ratio not to be exceeded (None: only
    reported)."""
    file = user_cache_path("wordhold-tests") / "freedict-eng-cym.txt"
    if not file.exists():
        return []  # fetched by tests/outside when the registry can be reached
    with tempfile.TemporaryDirectory() as folder:
        store = Store.create(f"{folder}/in.sqlite", Termbase("FreeDict", vernaculars=("cy",)), by="benchmark")
        taken_in = _seconds(lambda: _import(store, file))
        bare_in = _seconds(lambda: _bare_import(Path(folder) / "bare.sqlite", file))
        out = Path(folder) / "out.tbx"
        sent_out = _seconds(lambda: _export(store, out))
        elements = list(etree.parse(str(out)).getroot().iter("{*}conceptEntry"))
        bare_out = _seconds(lambda: _bare_export(Path(folder) / "bare.tbx", elements))
        store.close()
    return [
        ("FreeDict English-Welsh in", taken_in, bare_in, None),
        ("FreeDict English-Welsh out as TBX, checked", sent_out, bare_out, None),
    ]


def _import(store: Store, file: Path) -> None:
    source = Source("", "FreeDict", SourceKind.WORD_LIST, "FreeDict", pattern=write_pattern(STOCK[PATTERN]))
    with store.act("benchmark", "entered FreeDict") as act:
        saved = save_source(act, source)
        page = pages.add_page(act, saved.id, "all", read_transcript(file.read_bytes(), str(file)))
    with store.act("benchmark", "accepted FreeDict") as act:
        lines = [x for x in act.all(Line, page_id=page.id) if x.parsed is not None]
        accept_all_clear(act, lines, Resembler(act), also_alike=True)


def _bare_import(place: Path, file: Path) -> None:
    records = [r.split("\n", 1) for r in file.read_text("utf-8").split("\n\n")]
    with sqlite3.connect(place) as connection:
        connection.execute("CREATE TABLE entry (headword TEXT, gloss TEXT)")
        pairs = [(r[0], r[1] if len(r) > 1 else "") for r in records]
        connection.executemany("INSERT INTO entry VALUES (?, ?)", pairs)
    connection.close()


def _export(store: Store, place: Path) -> None:
    with store.read() as reader:
        write_tbx(Library(reader), place)


def _bare_export(place: Path, elements: list[etree._Element]) -> None:
    with etree.xmlfile(str(place), encoding="utf-8") as out, out.element("tbx"):
        for element in elements:
            out.write(element)


def _seconds(work: Callable[[], None]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start
