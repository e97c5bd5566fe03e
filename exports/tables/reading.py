"""Reading a table: heading and rows of a CSV file or an XLSX sheet, with the place of every cell."""

import csv
import io
import re
import warnings
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Final
from xml.parsers import expat

from openpyxl import Workbook, load_workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet._read_only import ReadOnlyWorksheet

from exports.files import opened_zip
from exports.tables.detecting import delimiter_of, encoding_of, table_text
from exports.tables.writing import restored
from termbase.errors import BadInput, WordholdError
from termbase.messages import joined, message

__all__ = ["LARGEST_CSV", "Row", "Sheet", "read_csv", "read_xlsx", "sheet_titles"]

LARGEST_CSV: Final = 256 * 1024 * 1024
MOST_COLUMNS: Final = 1000
MOST_ROWS: Final = 1_048_576
"""Maximum rows of a sheet (ECMA-376, part 1, 18.3.1.73); a damaged file may number them higher."""
LONGEST_FIELD: Final = 4 * 1024 * 1024
_ESCAPED: Final = re.compile(r"_x([0-9A-Fa-f]{4})_")
# The library warns about what it ignores (styles, drop-down lists), which we do not need.
warnings.filterwarnings("ignore", category=UserWarning, module="openpyxl")


@dataclass(frozen=True)
class Row:
    """One row: its line or number in the file, and its cells as text; an unreadable cell is its error."""

    number: int
    cells: tuple[str | BadInput, ...]


@dataclass(frozen=True)
class Sheet:
    """A table.

    Attributes:
        name: name of the file.
        head: the headings.
        rows: the rows below, without blank ones.
        place: returns where a cell is, from the row's number and the column's index.
        encoding: the encoding in which a CSV file was read; empty for XLSX.
        delimiter: the delimiter between its cells.
    """

    name: str
    head: tuple[str, ...]
    rows: tuple[Row, ...]
    place: Callable[[int, int], str]
    encoding: str = ""
    delimiter: str = ""


def read_csv(content: bytes, name: str, *, delimiter: str = "", encoding: str = "") -> Sheet:
    """Read a CSV file.

    Args:
        content: the file.
        name: its name, for messages.
        delimiter: the cell separator; detected from the rows if empty.
        encoding: encoding of the text, one of `ENCODINGS`; detected from its bytes if empty.

    Raises:
        BadInput: it is not text, or not a table.
    """
    encoding = encoding or encoding_of(content)
    text = table_text(content, name, encoding, LARGEST_CSV)
    between = delimiter or delimiter_of(text)
    csv.field_size_limit(LONGEST_FIELD)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=between, strict=True)

    def lines() -> Iterator[tuple[int, list[str]]]:
        start = 1
        try:
            for cells in reader:
                yield start, [restored(cell) for cell in cells]
                start = reader.line_num + 1
        except csv.Error as error:
            raise BadInput(
                message("This is not valid CSV: %(error)s.", error=error),
                where=message("%(file)s, line %(line)s", file=name, line=start),
                fix=message("Check that all quotation marks are closed."),
            ) from error

    head, rows = _head_and_rows(lines(), name)

    def place(line: int, column: int) -> str:
        return message(
            "%(file)s, line %(line)s, column %(number)s%(title)s",
            file=name,
            line=line,
            number=column + 1,
            title=_titled(head, column),
        )

    return Sheet(name, head, rows, place, encoding, between)


def read_xlsx(path: Path, *, name: str = "", sheet: str = "") -> Sheet:
    """Read a sheet of an XLSX file: the one with the given title, else the first.

    Raises:
        BadInput: it is not an XLSX file, is damaged, or has no such sheet.
    """
    name = name or path.name
    with _opened_book(path, name) as book:
        titles = _titles(book)
        if not titles:
            raise BadInput(
                message("It has no sheet that contains cells."),
                where=name,
                fix=message("Choose another file."),
            )
        if sheet and sheet not in titles:
            raise BadInput(
                message("There is no sheet %(sheet)r.", sheet=sheet)
                if sheet not in book.sheetnames
                else message("The sheet %(sheet)r is a chart and has no cells.", sheet=sheet),
                where=name,
                fix=message("Use one of: %(sheets)s.", sheets=", ".join(titles)),
            )
        chosen = book[sheet or titles[0]]
        if not isinstance(chosen, ReadOnlyWorksheet):  # a read-only book has no other
            raise _damaged(path, name)
        head, rows = _head_and_rows(_numbered(chosen, name), name)

    def place(number: int, column: int) -> str:
        return message(
            "%(file)s, cell %(cell)s%(title)s",
            file=name,
            cell=f"{get_column_letter(column + 1)}{number}",
            title=_titled(head, column),
        )

    return Sheet(name, head, rows, place)


def sheet_titles(path: Path, *, name: str = "") -> tuple[str, ...]:
    """Return the titles of the sheets of an XLSX file.

    Raises:
        BadInput: it is not an XLSX file, or is damaged.
    """
    with _opened_book(path, name or path.name) as book:
        return _titles(book)


def _titles(book: Workbook) -> tuple[str, ...]:
    """Return the titles of the sheets that have cells; a chart sheet has none."""
    return tuple(sheet.title for sheet in book.worksheets)


def _numbered(sheet: ReadOnlyWorksheet, name: str) -> Iterator[tuple[int, list[str | BadInput]]]:
    """Yield the rows of a sheet, each with its number.

    Raises:
        BadInput: there are more rows or columns than a sheet can have.
    """
    sheet.reset_dimensions()  # the declared size may be wrong, and every row would be padded to it
    for number, cells in enumerate(sheet.rows, 1):
        if number > MOST_ROWS or len(cells) > MOST_COLUMNS:
            raise BadInput(
                message(
                    "It has more than %(rows)s rows or %(columns)s columns.",
                    rows=f"{MOST_ROWS:,}",
                    columns=f"{MOST_COLUMNS:,}",
                ),
                where=message("%(file)s, row %(number)s", file=name, number=number),
                fix=message("Delete rows and columns you do not need, including empty ones."),
            )
        yield number, [_cell(cell.value, cell.data_type) for cell in cells]


@contextmanager
def _opened_book(path: Path, name: str) -> Iterator[Workbook]:
    with opened_zip(path, message("an XLSX file"), name):
        pass
    try:
        with path.open("rb") as file:  # opened by path, it would be rejected for its extension
            book = load_workbook(file, read_only=True)
            try:
                yield book
            finally:
                book.close()
    except (WordholdError, FileNotFoundError, PermissionError):
        raise
    except Exception as error:  # damaged files make the library raise almost any exception
        raise _damaged(path, name) from error


def _damaged(path: Path, name: str) -> BadInput:
    """Return the error for a damaged workbook; it names the first file inside that cannot be read, if any."""
    place, fault = "", ""
    with zipfile.ZipFile(path) as archive:
        for member in archive.namelist():
            if not member.endswith((".xml", ".rels")):
                continue
            try:
                with archive.open(member) as content:
                    expat.ParserCreate().ParseFile(content)
            except expat.ExpatError as error:
                place, fault = member, expat.ErrorString(error.code)
            except Exception as error:  # it cannot be unpacked
                place, fault = member, str(error)
            if place:
                break
    what = (
        message("A file inside it is damaged: %(fault)s.", fault=fault)
        if place
        else message("This is not an XLSX file, or it is damaged.")
    )
    fix = message("Open it in a spreadsheet program and save it again, or save the sheet as CSV.")
    return BadInput(what, where=joined((name, place), ", "), fix=fix)


def _titled(head: tuple[str, ...], column: int) -> str:
    return f" “{head[column]}”" if column < len(head) and head[column] else ""


def _head_and_rows(
    lines: Iterator[tuple[int, list[str]]] | Iterator[tuple[int, list[str | BadInput]]], name: str
) -> tuple[tuple[str, ...], tuple[Row, ...]]:
    head: tuple[str, ...] = ()
    rows: list[Row] = []
    for number, cells in lines:
        if not any(isinstance(cell, BadInput) or cell.strip() for cell in cells):
            continue
        if not head:
            head = tuple("" if isinstance(cell, BadInput) else cell.strip() for cell in cells)
            if len(head) > MOST_COLUMNS:
                raise BadInput(
                    message("It has %(number)s columns, which is too many.", number=len(head)),
                    where=name,
                    fix=message("Remove the ones you do not need."),
                )
            continue
        rows.append(Row(number, tuple(cells)))
    if not head:
        raise BadInput(
            message("It has no headings."),
            where=name,
            fix=message("Put the column names in line 1."),
        )
    return head, tuple(rows)


def _cell(value: object, data_type: str) -> str | BadInput:
    if value is None:
        return ""
    if data_type == "f":
        return BadInput(message("It contains a formula."), fix=message("Replace it with its value."))
    if data_type == "e":
        return BadInput(
            message("It contains the error %(value)s.", value=value),
            fix=message("Correct it in the spreadsheet."),
        )
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time().isoformat() == "00:00:00" else value.isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return _ESCAPED.sub(lambda match: chr(int(match[1], 16)), str(value)).replace("\r\n", "\n")
