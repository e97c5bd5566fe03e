"""CSV (RFC 4180) that a spreadsheet opens without running anything in it, and reading it back.

A cell that begins like a formula is written with an apostrophe before it, so that a name such as `=2+3` or
`-hold` stays text (OWASP, "CSV Injection"); a text that has such an apostrophe of its own gets another, so
that taking one away on the way in always gives back what was there. UTF-8 with a byte order mark unless told
otherwise: without one a spreadsheet takes the accents of a vernacular for something else.
"""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

__all__ = ["BYTE_ORDER_MARK", "MEDIA_TYPE", "csv_lines", "inert", "restored"]

MEDIA_TYPE = "text/csv; charset=utf-8"
BYTE_ORDER_MARK = "\ufeff"
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def inert(cell: object) -> str:
    """The text of a cell; one that a spreadsheet would take for a formula gets an apostrophe before it."""
    text = "" if cell is None else str(cell)
    return f"'{text}" if isinstance(cell, str) and _needs_one(text) else text


def restored(text: str) -> str:
    """The text that `inert` was given."""
    return text[1:] if text.startswith("'") and _needs_one(text[1:]) else text


def csv_lines(head: Sequence[str], rows: Iterable[Sequence[object]], *, mark: bool = True) -> Iterator[str]:
    """The lines of a CSV file, heading first, one at a time however many there are.

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


def _needs_one(text: str) -> bool:
    return text.lstrip("'").lstrip(" \u00a0").startswith(_FORMULA_STARTS)


def _line(cells: Sequence[object]) -> str:
    out = io.StringIO()
    csv.writer(out).writerow([inert(cell) for cell in cells])
    return out.getvalue()
