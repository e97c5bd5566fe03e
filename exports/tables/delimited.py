"""CSV (RFC 4180) that a spreadsheet opens without running anything in it.

A cell that begins like a formula is written with an apostrophe before it, so that a name such as `=2+3` or
`-hold` stays text (OWASP, "CSV Injection"). UTF-8 with a byte order mark: without one a spreadsheet takes the
accents of a vernacular for something else.
"""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

__all__ = ["BYTE_ORDER_MARK", "MEDIA_TYPE", "csv_lines", "inert"]

MEDIA_TYPE = "text/csv; charset=utf-8"
BYTE_ORDER_MARK = "\ufeff"
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def inert(cell: object) -> str:
    """The text of a cell; one that a spreadsheet would take for a formula gets an apostrophe before it."""
    text = "" if cell is None else str(cell)
    if isinstance(cell, str) and text.lstrip(" \u00a0").startswith(_FORMULA_STARTS):
        return f"'{text}"
    return text


def csv_lines(head: Sequence[str], rows: Iterable[Sequence[object]]) -> Iterator[str]:
    """The lines of a CSV file, byte order mark and heading first, one at a time however many there are."""
    yield BYTE_ORDER_MARK
    yield _line(head)
    for row in rows:
        yield _line(row)


def _line(cells: Sequence[object]) -> str:
    out = io.StringIO()
    csv.writer(out).writerow([inert(cell) for cell in cells])
    return out.getvalue()
