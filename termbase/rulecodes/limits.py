"""Read the years that a limit or a period spans. Limits are never finer than years."""

import re
from typing import Final

from termbase.errors import BadInput
from termbase.messages import message

__all__ = ["Span", "years_of"]

Span = tuple[int | None, int | None]
"""First and last year, inclusive; `None` means open on that side."""

_YEAR: Final = re.compile(r"(?P<year>-?\d{2}[\dX]{2})(?:-\d{2}){0,2}[?~%]?")


def years_of(edtf: str) -> Span:
    """Return the years that an EDTF date or interval spans: `1868`, `186X`, `1868/1884`, `2013/..`, empty
    for all years.

    Raises:
        BadInput: if it is neither a date nor an interval that begins with a four-figure year, or the interval
            ends before it begins.
    """
    if not edtf:
        return (None, None)
    start, slash, end = edtf.partition("/")
    first = _bound(start, "0", edtf)
    last = _bound(end if slash else start, "9", edtf)
    if first is not None and last is not None and last < first:
        raise BadInput(
            message("“%(edtf)s” ends before it begins.", edtf=edtf),
            where=message("years"),
            fix=message("Write the earlier year first: %(end)s/%(start)s.", end=end, start=start),
        )
    return (first, last)


def _bound(text: str, digit: str, whole: str) -> int | None:
    if text in {"", ".."}:
        return None
    found = _YEAR.fullmatch(text)
    if not found:
        raise BadInput(
            message("“%(whole)s” is not a year or an interval of years.", whole=whole),
            where=message("years"),
            fix=message("Write 1868, 1868/1884 or 2013/.. (EDTF)."),
        )
    return int(found["year"].replace("X", digit))
