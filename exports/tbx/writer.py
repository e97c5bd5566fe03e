"""Writes a termbase as TBX: as a stream, checked, and only then moved to its place."""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Final

from exports.files import atomic_write
from exports.tbx.context import Context
from exports.tbx.entries import EntryWriter, Parts
from exports.tbx.header import header
from exports.tbx.plans import Values
from exports.tbx.records import back
from exports.tbx.reports import LossReport
from exports.tbx.styles import DIALECTS, DialectName
from exports.tbx.validating import check_file
from termbase.overviews.articles import Library
from termbase.record.entries import Redirect
from termbase.record.pages import Page
from termbase.record.sources import Slip
from termbase.store.bulk import EntryBatch, collector_at_rest, columns_of, entry_batches, last_act

__all__ = ["Export", "render", "write_tbx"]

_BATCH = 400
_EMPTY: Final = {
    "forms": "[]",
    "foreign_notes": "[]",
    "language_reading": '{"by":"","on":"","reopened":{}}',
    "practice_reading": '{"by":"","on":"","reopened":{}}',
    "apart": False,
}
"""Column values that count as empty, besides None and empty text."""


def write_tbx(
    library: Library,
    path: Path,
    *,
    dialect: DialectName = "basic-dca",
    ids: Sequence[str] | None = None,
    on_progress: Callable[[int], None] | None = None,
) -> LossReport:
    """Write entries as a TBX file.

    The same record gives the same bytes. The file is written beside its target, checked as a whole, and only
    then moved there; if anything fails, an existing file is untouched and nothing else remains.

    Args:
        library: the articles, with the sources, people and rule codes they refer to.
        path: the target file.
        dialect: dialect and style, see `exports.tbx.styles.DIALECTS`.
        ids: the entries to write, in this order; None for all, in order of creation.
        on_progress: called from time to time with the number of entries done.

    Returns:
        the report of what was kept and lost.

    Raises:
        NotValid: the file would have broken the standard.
        BadInput: there is a database at the path.
        OSError: the file cannot be written.
    """
    export = Export(library, dialect, ids, on_progress)
    with atomic_write(path) as unfinished:
        with unfinished.open("x", encoding="utf-8", newline="\n", buffering=1 << 20) as file:
            file.writelines(export.render())
        check_file(unfinished, "wordhold" if export.style.whole else export.style.style)
    return export.report()


def render(library: Library, dialect: DialectName = "basic-dca") -> Iterator[str]:
    """Yield a file of all entries in pieces, unchecked."""
    return Export(library, dialect).render()


class Export:
    """Writes one file; `report` is complete after the last piece of `render`.

    TBX-Basic is written from articles, with computed values; TBX-Wordhold, which is the record alone, from
    table rows.

    Attributes:
        style: how it is written.
    """

    def __init__(
        self,
        library: Library,
        dialect: DialectName,
        ids: Sequence[str] | None = None,
        on_progress: Callable[[int], None] | None = None,
    ) -> None:
        self.style = DIALECTS[dialect]
        self._context = Context(library, self.style, ids)
        self._on_progress = on_progress
        self._images: dict[str, None] = {}
        self._done = 0

    def render(self) -> Iterator[str]:
        """Yield the file in pieces."""
        context = self._context
        yield header(context)
        entries = EntryWriter(context, Values(rows=self.style.whole))
        body = False
        for piece in self._whole(entries) if self.style.whole else self._articles(entries):
            if piece and not body:
                body = True
                yield "<body>\n"
            yield piece
        if body:
            yield "</body>\n"
        entries.finish()
        yield from back(context, self._images)
        if not self.style.whole and context.ids is None:
            self._count_the_rest()
        if not self.style.whole and self._on_progress:
            self._on_progress(self._done)

    def report(self) -> LossReport:
        """Return what was kept and what was lost."""
        context = self._context
        return context.tally.report(self.style, context.escaper.replaced)

    def _articles(self, entries: EntryWriter) -> Iterator[str]:
        for article in self._context.library.articles(self._context.ids):
            entry = article.entry
            yield entries.write(Parts(entry, entry.terms, entry.definitions, (), (), article.slips, article))
            self._done += 1
            if self._on_progress and self._done % _BATCH == 0:
                self._on_progress(self._done)

    def _whole(self, entries: EntryWriter) -> Iterator[str]:
        reader, ids = self._context.library.reader, self._context.ids
        with collector_at_rest():
            for batch in entry_batches(reader, ids):
                yield "".join(map(entries.write, _parts_of(batch)))
                self._count(batch)
                if self._on_progress:
                    self._on_progress(self._done)
        self._context.tally.left_out["history"] = last_act(reader)

    def _count(self, batch: EntryBatch) -> None:
        """Count the values in the table columns: all of them are in the file."""
        carried = self._context.tally.carried
        self._done += len(batch.entries)
        for part, rows in batch.all_rows.items():
            if not rows:
                continue
            record = part if part == "entry" else part.removesuffix("s")
            first = () if record in ("entry", "slip") else ("",)
            names = (*first, *columns_of("slip" if record == "slip" else part))
            for name, column in zip(names, zip(*rows, strict=True), strict=True):
                if name:
                    empty = column.count("") + column.count(None)
                    if name in _EMPTY:
                        empty += column.count(_EMPTY[name])
                    carried[f"{record}.{name}"] += len(column) - empty
            if record in ("figure", "slip") and self._context.ids is not None:
                place = names.index("image_id")
                self._images |= dict.fromkeys(str(row[place]) for row in rows if row[place])

    def _count_the_rest(self) -> None:
        """Count records without an entry: pages, unsorted slips, and states of merged entries."""
        tally, reader = self._context.tally, self._context.library.reader
        counted = tally.carried["slip.id"] + tally.left_out["slip.text"]
        for path, number in (
            ("page", reader.count(Page)),
            ("slip.unsorted", reader.count(Slip) - counted),
            ("redirect", reader.count(Redirect)),
        ):
            if number:
                tally.left_out[path] += number


def _parts_of(batch: EntryBatch) -> Iterator[Parts]:
    """Return the entries of a batch with the rows that belong to them."""
    terms, definitions, relations = (batch.parts[name] for name in ("terms", "definitions", "relations"))
    others = [batch.parts[name] for name in ("analogues", "figures", "rulings")]
    if not any(others):  # nearly always
        others = []
    for entry in batch.entries:
        i = str(entry[0])
        yield Parts(
            entry, terms.get(i, ()), definitions.get(i, ()), relations.get(i, ()),
            [rows.get(i, ()) for rows in others], batch.slips,
        )  # fmt: skip
