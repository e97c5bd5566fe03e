"""Damaged files against every reader: `python -m tests.stress.hostile --seconds 600 [--only xlsx]`.

Each reader gets valid files, damaged at random from a seed. Either the file is imported, or one of the
project's own errors says what is wrong, where, and how to fix it; any other exception is a bug. The files
that cause one are written to a folder. The suite runs a small sample (`test_hostile_files.py`).
"""

import argparse
import io
import itertools
import random
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import PIL.Image
from pypdfium2 import PdfDocument

from exports.backup.reading import restore
from exports.backup.writing import write_backup
from exports.citations.formats import FORMATS, FormatName, read_works, write_citations
from exports.citations.importing import import_sources, plan_sources
from exports.tables.columns import Column, columns_of_entries, columns_of_names
from exports.tables.importing import import_table, plan_table
from exports.tables.mapping import guess, remapped
from exports.tables.reading import Sheet, read_csv, read_xlsx, sheet_titles
from exports.tables.writing import write_table
from exports.tbx.reader import read_tbx
from exports.tbx.writer import write_tbx
from termbase.acts.rules import import_codes
from termbase.acts.techniques import import_profiles
from termbase.demo.loading import fill, load
from termbase.errors import WordholdError
from termbase.importing.taking import import_file
from termbase.languages import files as languages
from termbase.languages.checking import check_file
from termbase.media.pictures import read_picture
from termbase.overviews.articles import Library
from termbase.overviews.matrix import techniques
from termbase.record.entries import Origin
from termbase.record.people import Termbase
from termbase.record.sources import Source
from termbase.rules.clauses import RuleCode
from termbase.rules.files import read_codes, read_profiles, write_codes, write_profiles
from termbase.store.engine import Store
from termbase.store.writing import Act
from termbase.tomlfiles import decode_toml
from termbase.wordlists.pattern_files import read_pattern, write_pattern
from termbase.wordlists.stock import STOCK
from tests.stress.mutating import (
    damaged_backup,
    damaged_bytes,
    damaged_json,
    damaged_text,
    damaged_xml,
    damaged_zip,
)

__all__ = ["Bench", "Fault", "faults"]

Damage = Callable[[bytes, random.Random], bytes]
FEW = ("c0001", "c0003", "c0012", "c0043", "c0020", "c0002")
FOREIGN = Path(__file__).parents[1] / "exports" / "tbx" / "foreign"


class _Enough(Exception):
    """Ends an act and discards it."""


@dataclass(frozen=True)
class Target:
    """A reader with a valid file for it.

    Attributes:
        name: the kind of file.
        valid: the file.
        damages: ways to damage it.
        read: imports a file, given its path.
    """

    name: str
    valid: bytes
    damages: tuple[Damage, ...]
    read: Callable[[Path], object]


@dataclass(frozen=True)
class Fault:
    """An exception that is not the project's own: the file that caused it, and where it came from."""

    target: str
    seed: int
    content: bytes
    trace: str


class Bench:
    """A termbase and a valid file for every reader."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        demo = fill(str(folder / "demo.sqlite"), load())
        with demo.read() as reader:
            write_tbx(Library(reader), folder / "few.tbx", dialect="wordhold", ids=FEW)
        demo.close()
        self.store = Store.create(str(folder / "few.sqlite"), Termbase("Few", vernaculars=("cy",)), by="Nia")
        with self.store.act("Nia", "took a few entries") as act:
            import_file(act, read_tbx(folder / "few.tbx"))
        self._numbers = itertools.count(1)

    @contextmanager
    def act(self) -> Iterator[Act]:
        """An act that is discarded."""
        try:
            with self.store.act("Nia", "tried") as act:
                yield act
                raise _Enough
        except _Enough:
            pass

    def targets(self) -> Iterator[Target]:
        """Every reader with its valid files."""
        yield from self._tables()
        yield from self._tbx()
        yield from self._works()
        yield from self._toml()
        yield from self._pictures()
        yield self._backup()

    def _written(self, name: str, write: Callable[[Library, Path], object]) -> bytes:
        path = self.folder / f"valid-{name}"
        with self.store.read() as reader:
            write(Library(reader), path)
        return path.read_bytes()

    def _tables(self) -> Iterator[Target]:
        for rows, every in (("names", columns_of_names), ("entries", columns_of_entries)):

            def write(
                library: Library,
                path: Path,
                rows: Literal["names", "entries"] = rows,
                every: Callable[[Library], tuple[Column, ...]] = every,
            ) -> None:
                write_table(library, path, every(library), rows=rows)

            text = self._written(f"{rows}.csv", write)
            yield Target(f"csv of {rows}", text, (damaged_bytes, damaged_text), self._read_csv)
            book = self._written(f"{rows}.xlsx", write)
            yield Target(f"xlsx of {rows}", book, (damaged_zip, damaged_zip, damaged_bytes), self._read_xlsx)

    def _read_csv(self, path: Path) -> None:
        self._take_table(read_csv(path.read_bytes(), path.name))

    def _read_xlsx(self, path: Path) -> None:
        sheet_titles(path)
        self._take_table(read_xlsx(path))

    def _take_table(self, sheet: Sheet) -> None:
        with self.act() as act:
            mapping = remapped(guess(sheet.head, ("en", "cy")), sheet.head, (), ("origin=coined",))
            import_table(act, plan_table(act, sheet, mapping))

    def _tbx(self) -> Iterator[Target]:
        whole = self._written("own.tbx", lambda library, path: write_tbx(library, path, dialect="wordhold"))
        damages = (damaged_xml, damaged_xml, damaged_xml, damaged_bytes)
        yield Target("tbx-wordhold", whole, damages, self._read_tbx)
        for path in sorted(FOREIGN.glob("*.tbx")):
            yield Target(f"tbx {path.stem}", path.read_bytes(), damages, self._read_tbx)

    def _read_tbx(self, path: Path) -> None:
        file = read_tbx(path, origin=Origin.WORD_LIST)
        with self.act() as act:
            import_file(act, file)
        str(file.report())

    def _works(self) -> Iterator[Target]:
        for name, known in FORMATS.items():

            def write(library: Library, path: Path, name: FormatName = name) -> None:
                write_citations(library.reader.all(Source), path, name)

            file = f"works{known.suffixes[0]}"
            damages = (damaged_json,) if name == "csl-json" else (damaged_text,)
            yield Target(
                name,
                self._written(file, write),
                (*damages, damaged_bytes),
                self._read_works(known.suffixes[0]),
            )

    def _read_works(self, suffix: str) -> Callable[[Path], None]:
        def read(path: Path) -> None:
            works = read_works(path.read_bytes(), f"x{suffix}")
            with self.act() as act:
                import_sources(act, plan_sources(act, works, "x"))

        return read

    def _toml(self) -> Iterator[Target]:
        def codes(path: Path) -> None:
            with self.act() as act:
                import_codes(act, read_codes(decode_toml(path.read_bytes(), "x"), "x"))

        def profiles(path: Path) -> None:
            with self.act() as act:
                import_profiles(act, read_profiles(decode_toml(path.read_bytes(), "x"), "x"), "x")

        def language(path: Path) -> None:
            if not check_file(path):
                languages.read(path.read_bytes(), "x")

        with self.store.read() as reader:
            damages = (damaged_text, damaged_text, damaged_bytes)
            yield Target("rule codes", write_codes(reader.all(RuleCode)).encode(), damages, codes)
            named = techniques(reader, "en")
            yield Target("profiles", write_profiles(named).encode(), damages, profiles)
        pattern = write_pattern(next(iter(STOCK.values()))).encode()
        yield Target(
            "line pattern", pattern, damages, lambda p: read_pattern(decode_toml(p.read_bytes(), "x"), "x")
        )
        shipped = Path(languages.__file__).with_name("cy.toml").read_bytes()
        yield Target("language file", shipped, damages, language)

    def _pictures(self) -> Iterator[Target]:
        picture = PIL.Image.effect_noise((60, 40), 50).convert("RGB")
        for kind in ("PNG", "JPEG", "WEBP", "GIF"):
            out = io.BytesIO()
            picture.save(out, kind)
            yield Target(kind, out.getvalue(), (damaged_bytes,), lambda p: read_picture(p.read_bytes(), "x"))
        document = PdfDocument.new()
        document.new_page(200, 300)
        out = io.BytesIO()
        document.save(out)
        yield Target(
            "PDF", out.getvalue(), (damaged_bytes, damaged_bytes), lambda p: read_picture(p.read_bytes(), "x")
        )

    def _backup(self) -> Target:
        valid = self._written(
            "backup.zip", lambda library, path: write_backup(library.reader, path, made_on="2026-03-01")
        )

        def read(path: Path) -> None:
            place = self.folder / f"restored-{next(self._numbers)}.sqlite"
            try:
                restore(path, str(place))
            finally:
                for left in self.folder.glob(f"{place.name}*"):
                    left.unlink()

        return Target("backup", valid, (damaged_backup,), read)


def faults(
    target: Target, seeds: Iterator[int], folder: Path, until: float | None = None
) -> Iterator[Fault | None]:
    """What each damaged file causes: None if it is imported, or rejected with our own error."""
    for seed in seeds:
        if until is not None and time.monotonic() > until:
            return
        chance = random.Random(f"{target.name} {seed}")
        content = chance.choice(target.damages)(target.valid, chance)
        path = folder / "damaged.bin"
        path.write_bytes(content)
        try:
            target.read(path)
        except WordholdError as error:
            if not (error.what and str(error)):
                yield Fault(target.name, seed, content, "The error says nothing.")
                continue
            yield None
        except Exception:
            yield Fault(target.name, seed, content, traceback.format_exc())
        else:
            yield None


def main() -> int:
    """Run for a given time; list the faults by where they occurred."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--only", default="")
    parser.add_argument("--keep", type=Path, default=None, help="folder for files that cause a fault")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        bench = Bench(folder)
        chosen = [t for t in bench.targets() if options.only in t.name]
        places: Counter[str] = Counter()
        each = options.seconds / len(chosen)
        for target in chosen:
            number = failed = 0
            for fault in faults(target, itertools.count(options.seed), folder, time.monotonic() + each):
                number += 1
                if fault is None:
                    continue
                failed += 1
                lines = [line for line in fault.trace.splitlines() if line.strip()]
                at = next(
                    (line.strip() for line in reversed(lines) if "/.venv/" not in line and "File " in line),
                    "",
                )
                key = f"{target.name}: {lines[-1][:160]} | {at[-120:]}"
                places[key] += 1
                if places[key] == 1 and options.keep:
                    options.keep.mkdir(exist_ok=True, parents=True)
                    (options.keep / f"{target.name.replace(' ', '-')}-{fault.seed}").write_bytes(
                        fault.content
                    )
                    (options.keep / f"{target.name.replace(' ', '-')}-{fault.seed}.txt").write_text(
                        fault.trace
                    )
            sys.stdout.write(f"{target.name}: {number} files, {failed} faults\n")
            sys.stdout.flush()
        bench.store.close()
    for key, number in places.most_common():
        sys.stdout.write(f"{number:6} {key}\n")
    return 1 if places else 0


if __name__ == "__main__":
    sys.exit(main())
