"""Dates of CSL-JSON to and from EDTF.

A date that date-parts can express completely (a day, a month, a year, a range of these, a season, a circa) is
written so. Any other is written in words, with the nearest years as date-parts if both its bounds are known.
The exact EDTF is also written to `edtf`, which the schema of CSL 1.0.2 data provides.
"""

from collections.abc import Sequence
from typing import Final

from termbase.dates import edtf as dates
from termbase.dates.edtf import CalendarDate, Range
from termbase.errors import BadInput, ReportedAt
from termbase.messages import message

__all__ = ["csl_date", "edtf_of"]

CslDate = dict[str, object]
_SEASONS: Final = {"21": 1, "22": 2, "23": 3, "24": 4}
_CODES: Final = {number: code for code, number in _SEASONS.items()}


def csl_date(edtf: str) -> CslDate:
    """Return a date as CSL-JSON."""
    parsed = dates.parse(edtf)
    member = parsed.members[0]
    date: CslDate | None = None
    if parsed.kind == "date" and isinstance(member, CalendarDate):
        date = _single(member)
    elif parsed.kind == "interval" and isinstance(member, Range):
        date = _between(member)
    if date is None:
        date = {"literal": dates.readable(parsed)}
    if _from_structure(date) != edtf:
        date["edtf"] = edtf
    return date


def edtf_of(date: object, where: str) -> str:
    """Return the EDTF for a date of CSL-JSON; empty if it contains nothing.

    Raises:
        BadInput: EDTF cannot express the date.
    """
    if isinstance(date, str):
        return _checked(date, where) if date.strip() else ""
    if not isinstance(date, dict):
        raise BadInput(
            message("The date must be text or an object."),
            where=where,
            fix=message("See “issued” in CSL-JSON."),
        )
    if isinstance(exact := date.get("edtf"), str) and exact.strip():
        return _checked(exact, where)
    made = _from_structure(date)
    if made:
        return _checked(made, where)
    told = date.get("raw") or date.get("literal")
    if not told and (unread := _in_words(date.get("date-parts"))):
        told = unread
    return _checked(str(told), where) if told else ""


def _in_words(parts: object) -> str:
    """Return date-parts that are not numbers, as text; empty if they are only left open."""
    if isinstance(parts, list):
        return " ".join(filter(None, map(_in_words, parts)))
    return str(parts).strip() if isinstance(parts, str | int | float) else ""


def _checked(text: str, where: str) -> str:
    with ReportedAt(where):
        return dates.parse(text).text


def _single(date: CalendarDate) -> CslDate | None:
    plain = _plain(date)
    if plain is None:
        return None
    found: CslDate = {"date-parts": [plain]}
    if date.month in _SEASONS:
        found = {"date-parts": [plain[:1]], "season": _SEASONS[date.month]}
    if any(date.doubts):
        found["circa"] = True
    return found


def _between(range_: Range) -> CslDate | None:
    if not isinstance(range_.start, CalendarDate) or not isinstance(range_.end, CalendarDate):
        return None
    start, end = _plain(range_.start), _plain(range_.end)
    if start is None or end is None or range_.start.month in _SEASONS or range_.end.month in _SEASONS:
        return None
    found: CslDate = {"date-parts": [start, end]}
    if any(range_.start.doubts) or any(range_.end.doubts):
        found["circa"] = True
    return found


def _plain(date: CalendarDate) -> list[int] | None:
    """Return year, month and day as numbers, if all their digits are known and numbers can express them."""
    if "X" in date.year + date.month + date.day or date.significant:
        return None
    if date.month and int(date.month) > 12 and date.month not in _SEASONS:
        return None
    return [int(part) for part in (date.year, date.month, date.day) if part]


def _from_structure(date: CslDate) -> str:
    parts = date.get("date-parts")
    if not isinstance(parts, Sequence) or isinstance(parts, str) or not 1 <= len(parts) <= 2:
        return ""
    written = [_edtf_day(each) for each in parts]
    if not all(written):
        return ""
    doubt = "~" if date.get("circa") not in (None, False, 0, "", "0") else ""
    season = _number(date.get("season"))
    if season in _CODES and len(written) == 1:
        return f"{written[0][:4]}-{_CODES[season]}{doubt}"
    return "/".join(f"{each}{doubt}" for each in written)


def _edtf_day(parts: object) -> str:
    if not isinstance(parts, Sequence) or isinstance(parts, str):
        return ""
    numbers = [_number(part) for part in parts]
    if not numbers or numbers[0] is None:
        return ""
    year = numbers[0]
    written = f"{'-' if year < 0 else ''}{abs(year):04}" if abs(year) <= 9999 else f"Y{year}"
    for number in numbers[1:3]:
        if not number or number < 0:  # a month of 0 means that there is none
            break
        written += f"-{number:02}"
    return written


def _number(value: object) -> int | None:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        return None
    try:
        return int(value)
    except (ValueError, OverflowError):
        return None
