"""Importing, exporting and checking a large TBX-Wordhold file, compared with the bare libraries.

Run by hand: `python tests/benchmarks/tbx_import_rows.py [entries]`. Seconds are of processor time.

Importing: a bare `iterparse` of the file, then a bare `sqlite3` that runs the same statements as the import
with the same rows (including history and search keys), in the same tables with the same indexes. Exporting: a
bare lxml `xmlfile` that writes the same elements from memory; ours reads them from the database. Checking: a
bare `iterparse`. Memory: the peak of a process that does nothing else, less what it uses once all modules are
imported.
"""

import pickle
import random
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from lxml import etree
from sqlalchemy import event

from exports.tbx.reader import read_tbx
from exports.tbx.validating import check_file
from exports.tbx.writer import render
from termbase.importing.taking import import_file
from termbase.overviews.articles import Library
from termbase.record.entries import (
    Definition,
    Entry,
    Gender,
    Origin,
    PartOfSpeech,
    Relation,
    RelationKind,
    Status,
    Term,
    Topic,
)
from termbase.record.people import Person, Termbase
from termbase.record.sources import Slip, Source, SourceKind
from termbase.store.engine import Store

GOAL_IN, GOAL_OUT, GOAL_CHECK = 1.6, 0.6, 2.5
MOST_IN, MOST_CHECK = 100, 64  # megabytes
SYLLABLES = (
    "gaf", "bach", "wreg", "ys", "iad", "dal", "cyn", "mae", "llwy", "ren", "tor", "hen", "glo", "pen",
)  # fmt: skip
Element = tuple[str, dict[str, str], str, tuple["Element", ...]]


def rows(size: int = 100_000) -> list[tuple[str, float, float, float]]:
    """Name, our and the bare libraries' seconds of processor time, and the ratio not to be exceeded."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        made, file = folder / "made.db", folder / "made.tbx"
        _fill(made, size)
        out = _seconds(lambda: _write(made, file))
        bare_out = _write_bare(folder / "bare.tbx", file, size)
        came_in = _seconds(lambda: _take(folder / "taken.db", file))
        parse = _seconds(lambda: _parse(file))
        bare_in = parse + _run_bare(_recorded(folder / "again.db", file, folder / "tape"), folder / "bare.db")
        check = _seconds(lambda: check_file(file, "wordhold"))
    return [
        (f"TBX-Wordhold of {size} entries, imported", came_in, bare_in, GOAL_IN),
        (f"TBX-Wordhold of {size} entries, written from the database", out, bare_out, GOAL_OUT),
        (f"TBX-Wordhold of {size} entries, checked", check, parse, GOAL_CHECK),
    ]


def memory(size: int = 100_000) -> list[tuple[str, float, float]]:
    """Name, peak of a separate process, and the maximum allowed; in megabytes."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        made, file = folder / "made.db", folder / "made.tbx"
        _fill(made, size)
        _write(made, file)
        return [
            (f"{what} {size} entries", _peak(what, str(file), str(folder / "peak.db")), most)
            for what, most in (("take", MOST_IN), ("check", MOST_CHECK))
        ]


def _fill(place: Path, size: int) -> None:
    store = Store.create(str(place), Termbase("Many", vernaculars=("cy",)), by="Nia")
    dice = random.Random(1868)
    with store.act("Nia", "made many") as act:
        act.add(Person("p1", "Nia"))
        act.add(Source("s1", "Advertiser 1898", SourceKind.NEWSPAPER, "At the fair", issued="1898"))
        act.flush()
        for start in range(1, size + 1, 2000):
            for n in range(start, min(start + 2000, size + 1)):
                entry, slip = _entry(n, dice)
                act.add(entry)
                act.add(slip)
            act.flush()
    store.close()


def _entry(n: int, dice: random.Random) -> tuple[Entry, Slip]:
    def word() -> str:
        return "".join(dice.choices(SYLLABLES, k=3))

    noun = PartOfSpeech.NOUN
    terms = (
        Term(f"t{3 * n}", f"{word()} hold", "en", Origin.WORD_LIST, part_of_speech=noun,
             status=Status.PREFERRED),
        Term(f"t{3 * n + 1}", f"{word()} {word()}", "cy", Origin.IN_USE, part_of_speech=noun,
             gender=Gender.FEMININE),
        Term(f"t{3 * n + 2}", word(), "cy", Origin.REBUILT, part_of_speech=noun, gender=Gender.MASCULINE),
    )  # fmt: skip
    definition = Definition("en", "A hold of the belt with the left hand, at the near hip.", "s1")
    relations = (Relation(RelationKind.SEE_ALSO, f"c{n - 1:04}"),) if n % 5 == 0 else ()
    entry = Entry(f"c{n:04}", Topic.HOLD, terms, definitions=(definition,), relations=relations)
    quoted = f"He took the {terms[1].text} with his right hand, and the belt at the near hip."
    return entry, Slip(f"q{n}", "s1", quoted, page="3", term_id=terms[1].id)


def _write(place: Path, file: Path) -> None:
    store = Store.open(str(place))
    with store.read() as reader, file.open("w", encoding="utf-8", newline="\n") as out:
        out.writelines(render(Library(reader), "wordhold"))
    store.close()


def _take(place: Path, file: Path) -> None:
    store = Store.create(str(place), Termbase("Empty"), by="Owain")
    with store.act("Owain", "took in many") as act:
        import_file(act, read_tbx(file))
    store.close()


def _parse(file: Path) -> None:
    for _, element in etree.iterparse(str(file), tag="{*}conceptEntry", huge_tree=True):
        element.clear()
        while element.getprevious() is not None:
            del element.getparent()[0]


def _recorded(place: Path, file: Path, tape: Path) -> Path:
    """The statements of an import with their rows, in order, on a file."""
    store = Store.create(str(place), Termbase("Empty"), by="Owain")
    with tape.open("wb") as out:

        def keep(connection: Any, cursor: Any, statement: str, rows: Any, context: Any, many: bool) -> None:
            if statement.lstrip().upper().startswith(("INSERT", "UPDATE", "DELETE")):
                every = rows if many else [rows]
                plain = [tuple(bytes(v) if isinstance(v, memoryview) else v for v in row) for row in every]
                pickle.dump((statement, plain), out)

        event.listen(store.engine, "before_cursor_execute", keep)
        with store.act("Owain", "took in many") as act:
            import_file(act, read_tbx(file))
    store.close()
    return tape


def _run_bare(tape: Path, place: Path) -> float:
    """The statements again, by `executemany` alone; the rows are read before each starts the clock."""
    Store.create(str(place), Termbase("Empty"), by="Owain").close()
    target = sqlite3.connect(place, isolation_level=None)
    target.execute("PRAGMA synchronous=NORMAL")
    target.execute("PRAGMA foreign_keys=ON")
    target.execute("BEGIN IMMEDIATE")
    spent = 0.0
    with tape.open("rb") as source:
        while True:
            try:
                statement, rows = pickle.load(source)
            except EOFError:
                break
            start = time.process_time()
            target.executemany(statement, rows)
            spent += time.process_time() - start
    start = time.process_time()
    target.execute("COMMIT")
    spent += time.process_time() - start
    target.close()
    return spent


def _elements(file: Path) -> list[Element]:
    """Every twentieth entry as plain tuples: all would fill the memory, and one would make all entries
    alike."""
    elements = []
    for number, (_, element) in enumerate(etree.iterparse(str(file), tag="{*}conceptEntry")):
        if number % 20 == 0:
            elements.append(_plain(element))
        element.clear()
    return elements


def _plain(element: "etree._Element") -> Element:
    attributes = {str(k): str(v) for k, v in element.attrib.items()}
    return str(element.tag), attributes, element.text or "", tuple(_plain(child) for child in element)


def _repeated(elements: list[Element], size: int) -> Iterator[Element]:
    for n in range(size):
        yield elements[n // 20]


def _write_bare(place: Path, example: Path, size: int) -> float:
    elements = _elements(example)
    start = time.process_time()
    with (
        etree.xmlfile(str(place), encoding="utf-8") as file,
        file.element("{urn:iso:std:iso:30042:ed-2}body"),
    ):
        for element in _repeated(elements, size):
            _write_element(file, element)
    return time.process_time() - start


def _write_element(file: "etree._IncrementalFileWriter", element: Element) -> None:
    tag, attributes, text, children = element
    with file.element(tag, attributes):
        if text:
            file.write(text)
        for child in children:
            _write_element(file, child)


def _seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def _peak(what: str, file: str, place: str) -> float:
    command = [sys.executable, __file__, what, file, place]
    ran = subprocess.run(command, check=True, capture_output=True, text=True, cwd=Path(__file__).parents[2],
                         env={"PYTHONPATH": "."})  # fmt: skip
    return float(ran.stdout)


def _peak_of_this_process() -> float:
    """In megabytes; Linux only. (`getrusage` would include the parent process.)"""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmHWM")) / 1024


if __name__ == "__main__":
    if sys.argv[1:] and not sys.argv[1].isdigit():
        asked, file_name, database = sys.argv[1:]
        before = _peak_of_this_process()
        if asked == "take":
            _take(Path(database), Path(file_name))
        else:
            check_file(Path(file_name), "wordhold")
        print(_peak_of_this_process() - before)
    else:
        number = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
        for row, ours, bare, goal in rows(number):
            print(f"{row}: {ours:.2f} s, bare {bare:.2f} s, ratio {ours / bare:.2f} (goal {goal})")
        for row, peak, most in memory(number):
            print(f"{row}: {peak:.0f} MB (most {most})")
