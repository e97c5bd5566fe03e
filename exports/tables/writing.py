"""Writing tables to CSV or XLSX, row by row: the entries, and the CSV of any list.

XLSX: every text is a cell of type text; one that looks like a formula is marked, so that it stays text when
edited. Characters that XML does not allow are written as `_xHHHH_` (ECMA-376 part 1, 22.9.2.19,
ST_Xstring).
"""

import csv
import io
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import Final

from openpyxl import Workbook
from openpyxl.cell import Cell as FileCell
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Alignment, Font

from exports.field_labels import label_of
from exports.files import atomic_write
from exports.losses import LeftOut, Loss, loss_sentences
from exports.tables.cells import Cell
from exports.tables.columns import Column, Row, Rows, chosen, columns_of
from exports.tables.leftout import LEFT_OUT
from termbase.errors import BadInput
from termbase.messages import message, message_of_number
from termbase.overviews.articles import Article, Library

__all__ = [
    "BYTE_ORDER_MARK",
    "LONGEST_CELL",
    "MEDIA_TYPE",
    "TableReport",
    "check_columns",
    "csv_lines",
    "inert",
    "restored",
    "write_entries",
    "write_table",
]


# CSV follows RFC 4180; a spreadsheet can open it without running anything in it. A cell that begins like a
# formula gets an apostrophe before it, so that a name such as `=2+3` or `-hold` stays text (OWASP, "CSV
# Injection"). A text that already has such an apostrophe gets another, so that removing one on import always
# restores the original. The encoding is UTF-8 with a byte order mark by default: without one, spreadsheets
# misread the accents of a vernacular.

MEDIA_TYPE = "text/csv; charset=utf-8"
BYTE_ORDER_MARK = "\ufeff"
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def inert(cell: object) -> str:
    """Return the text of a cell; one that a spreadsheet would take for a formula gets an apostrophe before
    it."""
    text = "" if cell is None else str(cell)
    return f"'{text}" if isinstance(cell, str) and _needs_apostrophe(text) else text


def restored(text: str) -> str:
    """Return the text that `inert` was given."""
    return text[1:] if text.startswith("'") and _needs_apostrophe(text[1:]) else text


def csv_lines(head: Sequence[str], rows: Iterable[Sequence[object]], *, mark: bool = True) -> Iterator[str]:
    """Yield the lines of a CSV file, the heading first.

    Args:
        head: the heading.
        rows: the rows.
        mark: begin with a byte order mark.
    """
    if mark:
        yield BYTE_ORDER_MARK
    yield _line(head)
    for row in rows:
        yield _line(row)


def _needs_apostrophe(text: str) -> bool:
    return text.lstrip("'").lstrip(" \u00a0").startswith(_FORMULA_STARTS)


def _line(cells: Sequence[object]) -> str:
    out = io.StringIO()
    csv.writer(out).writerow([inert(cell) for cell in cells])
    return out.getvalue()


LONGEST_CELL: Final = 32_767
"""Maximum number of characters in an XLSX cell."""
MOST_ROWS: Final = 1_048_576
_REPORT_EVERY: Final = 400
_UNFIT: Final = re.compile("[\x00-\x08\x0b-\x1f\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")


@dataclass(frozen=True)
class TableReport:
    """What was written.

    Attributes:
        rows: number of rows.
        left_out: what is in the entries but has no column in the table.
    """

    rows: int
    left_out: tuple[Loss, ...]

    def readable(self) -> tuple[str, ...]:
        """Return how many rows, and what was left out and why."""
        return (message_of_number("%(n)s row.", "%(n)s rows.", self.rows), *loss_sentences(self.left_out))


def check_columns(
    library: Library, *, rows: Rows = "names", columns: Sequence[str] = (), **_: object
) -> None:
    """Check that a table with such rows has these columns, each as `key` or `key=title`.

    Raises:
        BadInput: the column does not exist, or two have the same title.
    """
    chosen(columns_of(library, rows), columns)


def write_entries(
    library: Library,
    path: Path,
    *,
    rows: Rows = "names",
    columns: Sequence[str] = (),
    mark: bool = True,
    ids: Sequence[str] | None = None,
    on_progress: Callable[[int], None] | None = None,
) -> TableReport:
    """Write the entries as a table, and count what it leaves out.

    Args:
        library: the articles.
        path: path of the file: `.xlsx`, or CSV with any extension.
        rows: one per name, one per concept, or one per slip for a name.
        columns: its columns, each as `key` or `key=title`; all columns if none are given. If
            columns are chosen, nothing is counted as left out.
        mark: begin a CSV file with a byte order mark.
        ids: the entries, in this order; all of them if None.
        on_progress: called regularly with the number of entries done.

    Raises:
        BadInput: the column does not exist, or a cell is too long or there are too many rows for XLSX.
        OSError: it cannot be written there.
    """
    left_out = LeftOut({} if columns else LEFT_OUT[rows])
    wanted = chosen(columns_of(library, rows), columns)
    number = write_table(
        library, path, wanted, rows=rows, mark=mark, ids=ids, on_progress=on_progress, left_out=left_out
    )
    return TableReport(number, left_out.losses(label_of))


def write_table(
    library: Library,
    path: Path,
    columns: Sequence[Column],
    *,
    rows: Rows = "names",
    mark: bool = True,
    ids: Sequence[str] | None = None,
    on_progress: Callable[[int], None] | None = None,
    left_out: LeftOut | None = None,
) -> int:
    """Write a table; the file extension determines the format. Return the number of rows.

    Args:
        library: the articles.
        path: path of the file: `.xlsx`, or CSV with any extension.
        columns: its columns.
        rows: one per name, one per concept, or one per slip for a name.
        mark: begin a CSV file with a byte order mark.
        ids: the entries, in this order; all of them if None.
        on_progress: called regularly with the number of entries done.
        left_out: counts what the table has no column for, given each entry with its slips and trials.

    Raises:
        BadInput: a cell is too long or there are too many rows for XLSX.
        OSError: it cannot be written there.
    """
    articles = library.articles(ids)
    seen = _seen(articles, left_out) if left_out else articles
    counted = _Counted(_rows(seen, columns, rows, on_progress))
    head = [column.title for column in columns]
    with atomic_write(path) as unfinished:
        if path.suffix.lower() == ".xlsx":
            _write_xlsx(unfinished, head, counted)
        else:
            with unfinished.open("x", encoding="utf-8", newline="") as file:
                file.writelines(csv_lines(head, counted, mark=mark))
    return counted.number


class _Counted:
    """Counts the rows that are read from it."""

    def __init__(self, rows: Iterator[list[Cell]]) -> None:
        self._rows = rows
        self.number = 0

    def __iter__(self) -> Iterator[list[Cell]]:
        for self.number, row in enumerate(self._rows, 1):  # noqa: B020 - counting is the point
            yield row


def _seen(articles: Iterable[Article], left_out: LeftOut) -> Iterator[Article]:
    """Yield the articles, and pass each one to the counter of losses."""
    for article in articles:
        left_out.see(article.entry, *chain.from_iterable(article.slips.values()), *article.trials)
        yield article


def _rows(
    articles: Iterable[Article],
    columns: Sequence[Column],
    rows: Rows,
    on_progress: Callable[[int], None] | None,
) -> Iterator[list[Cell]]:
    number = 0
    for number, article in enumerate(articles, 1):
        yield from _rows_of(article, columns, rows)
        if on_progress and number % _REPORT_EVERY == 0:
            on_progress(number)
    if on_progress:
        on_progress(number)


def _rows_of(article: Article, columns: Sequence[Column], rows: Rows) -> Iterator[list[Cell]]:
    for row in _rows_for(article, rows):
        yield [column.get(row) for column in columns]


def _rows_for(article: Article, rows: Rows) -> Iterator[Row]:
    terms = article.entry.terms
    if rows == "slips":
        yield from (Row(article, term, slip) for term in terms for slip in article.slips.get(term.id, ()))
    elif rows == "names" and terms:
        yield from (Row(article, term) for term in terms)
    else:
        yield Row(article)


def _write_xlsx(path: Path, head: list[str], rows: Iterator[list[Cell]] | _Counted) -> None:
    book = Workbook(write_only=True)
    sheet = book.create_sheet("Names")
    sheet.freeze_panes = "A2"

    def text(value: str, number: int, title: str, *, bold: bool = False) -> str | FileCell:
        if len(value) > LONGEST_CELL:
            what = message(
                "An XLSX cell can hold %(longest_cell)s characters; this text has %(length)s.",
                longest_cell=f"{LONGEST_CELL:,}",
                length=f"{len(value):,}",
            )
            place = message("row %(number)s, %(title)s", number=number, title=title)
            raise BadInput(what, where=place, fix=message("Leave out that column, or export CSV."))
        looks_like_more = value.startswith("#") or inert(value) != value
        if not (bold or looks_like_more or "\n" in value):
            return _fit(value)  # a cell with its own style takes four times as long
        cell = WriteOnlyCell(sheet, value=_fit(value))
        cell.data_type = "s"  # even if it looks like a formula: `=2+3` is a name here
        if looks_like_more:
            cell.quotePrefix = True
        if "\n" in value:
            cell.alignment = Alignment(wrap_text=True, vertical="top")
        if bold:
            cell.font = Font(bold=True)
        return cell

    sheet.append([text(title, 1, title, bold=True) for title in head])
    for number, row in enumerate(rows, 2):
        if number > MOST_ROWS:
            raise BadInput(
                message("XLSX can hold at most %(most_rows)s rows.", most_rows=f"{MOST_ROWS:,}"),
                where="table",
                fix=message("Export CSV instead."),
            )
        sheet.append(
            text(str(cell), number, title) if isinstance(cell, str) and cell else cell
            for cell, title in zip(row, head, strict=True)
        )
    book.save(path)


def _fit(text: str) -> str:
    return _UNFIT.sub(lambda match: f"_x{ord(match[0]):04X}_", text)
