"""CSV (RFC 4180) that a spreadsheet opens without running anything in it, and reading it back.

A cell that begins like a formula gets an apostrophe before it, so that a name such as `=2+3` or `-hold` stays
text (OWASP, "CSV Injection"). A text that already has such an apostrophe gets another, so that removing one
on import always restores the original. The encoding is UTF-8 with a byte order mark by default: without one,
spreadsheets misread the accents of a vernacular.
"""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

__all__ = ["BYTE_ORDER_MARK", "MEDIA_TYPE", "csv_lines", "inert", "restored"]

MEDIA_TYPE = "text/csv; charset=utf-8"
BYTE_ORDER_MARK = "\ufeff"
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def inert(cell: object) -> str:
    """Return the text of a cell; one that a spreadsheet would take for a formula gets an apostrophe before
    it."""
    text = "" if cell is None else str(cell)
    return f"'{text}" if isinstance(cell, str) and _needs_one(text) else text


def restored(text: str) -> str:
    """Return the text that `inert` was given."""
    return text[1:] if text.startswith("'") and _needs_one(text[1:]) else text


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


def _needs_one(text: str) -> bool:
    return text.lstrip("'").lstrip(" \u00a0").startswith(_FORMULA_STARTS)


def _line(cells: Sequence[object]) -> str:
    out = io.StringIO()
    csv.writer(out).writerow([inert(cell) for cell in cells])
    return out.getvalue()
