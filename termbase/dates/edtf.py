"""Dates of old print, certain or not: EDTF, the extended date format of ISO 8601-2:2019, levels 0 to 2.

`parse` reads one date as it is stored and typed (`1898`, `1898-XX`, `1890~`, `1866/1909`, `[1890..1899]`),
`Edtf.earliest` and `Edtf.latest` bound it by days, and `readable` says it in words. The calendar is the
proleptic Gregorian one of ISO 8601; times of day are refused, since no printed witness has one.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache, partial
from typing import Literal

from termbase.dates.days import DayNumber, fits, iso_of, month_length, sortable
from termbase.dates.wording import ENGLISH, DateWords, date_words
from termbase.errors import BadInput
from termbase.messages import Translator, message, message_by

__all__ = ["CalendarDate", "Edtf", "Range", "is_iso_date", "parse", "readable", "said"]

Kind = Literal["date", "interval", "one of", "all of"]
Bound = Literal["open", "unknown"]

_DOUBT = "[?~%]?"
_DATE = re.compile(
    rf"(?P<q0>{_DOUBT})"
    r"(?:(?P<year>-?[0-9X]{4})|Y(?P<long>-?[0-9]+)(?:E(?P<exponent>[0-9]))?)"
    r"(?:S(?P<significant>[1-9][0-9]?))?"
    rf"(?P<q1>{_DOUBT})"
    rf"(?:-(?P<q2>{_DOUBT})(?P<month>[0-9X]{{2}})(?P<q3>{_DOUBT})"
    rf"(?:-(?P<q4>{_DOUBT})(?P<day>[0-9X]{{2}})(?P<q5>{_DOUBT}))?)?"
)
_ISO_DAY = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
# Sub-year groupings of ISO 8601-2 4.8: the first and last month of each. A season is
# bounded as the calendar months of the north unless the code says south; a winter may be the one that
# begins or the one that ends in its year, so its bounds take in both.
_GROUPINGS: dict[int, tuple[int, int]] = {
    21: (3, 5),
    22: (6, 8),
    23: (9, 11),
    24: (1, 14),
    25: (3, 5),
    26: (6, 8),
    27: (9, 11),
    28: (1, 14),
    29: (9, 11),
    30: (1, 14),
    31: (3, 5),
    32: (6, 8),
    33: (1, 3),
    34: (4, 6),
    35: (7, 9),
    36: (10, 12),
    37: (1, 4),
    38: (5, 8),
    39: (9, 12),
    40: (1, 6),
    41: (7, 12),
}


@dataclass(frozen=True, slots=True)
class CalendarDate:
    """One date: a year, and perhaps a month (or season) and a day, any digit of which may be unknown.

    Attributes:
        year: four digits with `X` for an unknown one, or more digits for a long year; `-` before BC.
        month: two digits or `X`; 21 to 41 are seasons, quarters and halves; empty where not given.
        day: two digits or `X`; empty where not given.
        significant: how many digits of the year count (`1950S2`), 0 for all of them.
        doubts: for year, month and day: `?` uncertain, `~` approximate, `%` both, or nothing.
    """

    year: str
    month: str = ""
    day: str = ""
    significant: int = 0
    doubts: tuple[str, str, str] = ("", "", "")

    def years(self) -> tuple[int, int]:
        """The first and last year this may be."""
        sign = -1 if self.year.startswith("-") else 1
        digits = self.year.lstrip("-")
        low, high = digits.replace("X", "0"), digits.replace("X", "9")
        if 0 < self.significant < len(digits):
            lost = len(digits) - self.significant
            low, high = digits[:-lost] + "0" * lost, digits[:-lost] + "9" * lost
        first, last = sorted((sign * int(low), sign * int(high)))
        return first, last

    def first_day(self) -> DayNumber:
        """The earliest day this may be, as (year, month, day)."""
        first, last = self.years()
        if self.month in _GROUPING_CODES:
            return first, _GROUPINGS[int(self.month)][0], 1
        if _is_plain(self):
            return first, int(self.month or 1), int(self.day or 1)
        return next(self._days(range(first, last + 1), backwards=False))

    def last_day(self) -> DayNumber:
        """The latest day this may be, as (year, month, day)."""
        first, last = self.years()
        if self.month in _GROUPING_CODES:
            month = _GROUPINGS[int(self.month)][1]
            year, month = (last + 1, month - 12) if month > 12 else (last, month)
            return year, month, month_length(year, month)
        if _is_plain(self):
            month = int(self.month or 12)
            return last, month, int(self.day or month_length(last, month))
        return next(self._days(range(last, first - 1, -1), backwards=True))

    def has_a_day(self) -> bool:
        """Whether any day of the calendar fits the digits given."""
        first, last = self.years()
        return next(self._days(range(first, last + 1), backwards=False), None) is not None

    def _days(self, years: range, *, backwards: bool) -> Iterator[DayNumber]:
        """Every day that the known digits allow, from one end."""
        step = -1 if backwards else 1
        year_pattern = self.year.lstrip("-") if "X" in self.year else ""
        for year in years:
            if year_pattern and not fits(f"{abs(year):04}", year_pattern):
                continue
            for month in range(1, 13)[::step]:
                if self.month and not fits(f"{month:02}", self.month):
                    continue
                for day in range(1, month_length(year, month) + 1)[::step]:
                    if not self.day or fits(f"{day:02}", self.day):
                        yield year, month, day


@dataclass(frozen=True, slots=True)
class Range:
    """From one date to another, either of which may be open (`..`) or unknown (left out)."""

    start: CalendarDate | Bound
    end: CalendarDate | Bound


@dataclass(frozen=True, slots=True)
class Edtf:
    """A parsed EDTF text.

    Attributes:
        text: the text as parsed; writing it out again is reading this.
        kind: a single date, an interval, one of several dates (`[ ]`), or all of several (`{ }`).
        members: the date; the one `Range` of an interval; the members of a set, ranges among them.
    """

    text: str
    kind: Kind
    members: tuple[CalendarDate | Range, ...]

    def earliest(self) -> str | None:
        """The first day it may be, as an ISO 8601 date; None where the beginning is open or unknown.

        Doubt (`?`, `~`, `%`) does not widen the bounds: how far off a guess may be is nobody's to say here.
        """
        days = [_first_of(member) for member in self.members]
        known = [day for day in days if day is not None]
        return iso_of(min(known)) if len(known) == len(days) else None

    def latest(self) -> str | None:
        """The last day it may be, as an ISO 8601 date; None where the end is open or unknown."""
        days = [_last_of(member) for member in self.members]
        known = [day for day in days if day is not None]
        return iso_of(max(known)) if len(known) == len(days) else None

    def sort_key(self) -> str:
        """ASCII text by which dates sort: by first possible day, then by last; undated ends by the other.

        Plain text so that a database column can hold it; years to five thousand million either way.
        """
        firsts = [day for member in self.members if (day := _first_of(member)) is not None]
        lasts = [day for member in self.members if (day := _last_of(member)) is not None]
        first = min(firsts or lasts, default=(0, 1, 1))
        last = max(lasts or firsts, default=first)
        return f"{sortable(first)}/{sortable(last)}"


@lru_cache(maxsize=4096)
def parse(text: str) -> Edtf:
    """Read an EDTF text, levels 0 to 2 without times of day.

    Raises:
        BadInput: the text is no EDTF date; `fix` says how to write what seems to be meant.
    """
    given = text.strip()
    if given[:1] in ("[", "{"):
        return _parse_set(given)
    if "/" in given:
        halves = given.split("/")
        if len(halves) != 2:
            raise _bad(
                given,
                message("has more than one slash"),
                message("Write the first and last date with one slash between them."),
            )
        member = Range(_parse_bound(halves[0], given), _parse_bound(halves[1], given))
        _check_order(member, given)
        return Edtf(given, "interval", (member,))
    return Edtf(given, "date", (_parse_date(given, given),))


def is_iso_date(text: str) -> bool:
    """Whether the text is a whole calendar day, `YYYY-MM-DD`, that exists.

    >>> is_iso_date("1900-02-28"), is_iso_date("1900-02-29")
    (True, False)
    """
    found = _ISO_DAY.fullmatch(text)
    if not found:
        return False
    year, month, day = (int(part) for part in found.groups())
    return 1 <= month <= 12 and 1 <= day <= month_length(year, month)


def readable(date: Edtf, words: DateWords = ENGLISH) -> str:
    """The date in words, for screens and print: in English `about 1898`, `June 1871`, `1866 to 1909`.

    >>> readable(parse("1898~"))
    'about 1898'
    >>> readable(parse("1871-06/1909"))
    'June 1871 to 1909'
    """
    if date.kind == "date":
        return _date_words(date.members[0], words)
    if date.kind == "interval":
        return _range_words(date.members[0], words)
    if date.kind == "one of" and len(date.members) == 1 and isinstance(date.members[0], Range):
        member = date.members[0]
        if isinstance(member.start, CalendarDate) and isinstance(member.end, CalendarDate):
            first, last = (_date_words(end, words) for end in (member.start, member.end))
            return words.say("between", first=first, last=last)
    said = [_range_words(m, words) for m in date.members]
    if len(said) == 1:
        return said[0]
    joint = "alternative" if date.kind == "one of" else "both"
    return words.say(joint, first=", ".join(said[:-1]), last=said[-1])


def said(date: Edtf) -> str:
    """The date in words, which a face says in its own language."""
    return message_by(readable(date), partial(_said_by, date))


def _said_by(date: Edtf, speaker: Translator) -> str:
    return readable(date, date_words(speaker))


# Reading


def _parse_set(given: str) -> Edtf:
    closing = {"[": "]", "{": "}"}[given[0]]
    if len(given) < 3 or not given.endswith(closing):
        raise _bad(
            given,
            message("starts with %(sign)s but has no closing bracket", sign=given[0]),
            message("End it with %(sign)s.", sign=closing),
        )
    members: list[CalendarDate | Range] = []
    for piece in given[1:-1].split(","):
        start, dots, end = piece.strip().partition("..")
        if not dots:
            members.append(_parse_date(start, given))
            continue
        if not (start or end):
            raise _bad(
                given,
                message("has .. with no date on either side"),
                message("Write the date when the range starts or ends."),
            )
        member = Range(
            _parse_date(start, given) if start else "open", _parse_date(end, given) if end else "open"
        )
        _check_order(member, given)
        members.append(member)
    return Edtf(given, "one of" if given[0] == "[" else "all of", tuple(members))


def _parse_bound(text: str, whole: str) -> CalendarDate | Bound:
    if text == "..":
        return "open"
    return _parse_date(text, whole) if text else "unknown"


def _parse_date(text: str, whole: str) -> CalendarDate:
    found = _DATE.fullmatch(text)
    if not found:
        raise _bad(whole, message("is not a valid date"), _advice(whole))
    part = {name: value or "" for name, value in found.groupdict().items()}
    year = part["year"]
    if not year:
        year = part["long"] + "0" * int(part["exponent"] or "0")
        digits = year.lstrip("-")
        if len(digits) < 5 or digits.startswith("0") or len(digits) > 10:
            raise _bad(
                whole,
                message("has a Y before a year that is not 5 to 10 digits long"),
                message("Use Y only for years of 5 to 10 digits."),
            )
    if year == "-0000":
        raise _bad(whole, message("has a year -0000"), message("Write 0000 for 1 BC."))
    if part["significant"] and ("X" in year or part["month"]):
        raise _bad(
            whole,
            message("combines significant digits (S) with X or a month"),
            message("Keep one of the two."),
        )
    date = CalendarDate(year, part["month"], part["day"], int(part["significant"] or "0"), _doubts(part))
    _check_calendar(date, whole)
    return date


def _doubts(part: dict[str, str]) -> tuple[str, str, str]:
    """A sign before a part doubts that part; one after it doubts it and everything to its left."""
    year = _both(part["q0"], part["q1"], part["q3"], part["q5"])
    month = _both(part["q2"], part["q3"], part["q5"]) if part["month"] else ""
    day = _both(part["q4"], part["q5"]) if part["day"] else ""
    return year, month, day


def _both(*signs: str) -> str:
    joined = "".join(signs)
    if "%" in joined or ("?" in joined and "~" in joined):
        return "%"
    return joined[:1]


def _check_calendar(date: CalendarDate, whole: str) -> None:
    if date.month in _GROUPING_CODES:
        if date.day:
            raise _bad(
                whole,
                message("has a day together with a season"),
                message("Leave the day out, or write the month 01 to 12."),
            )
        return
    if date.month and not any(fits(f"{month:02}", date.month) for month in range(1, 13)):
        raise _bad(
            whole,
            message("has a month %(month)s", month=date.month),
            message("Months are 01 to 12, XX if unknown; seasons 21 to 24."),
        )
    if date.day and not any(fits(f"{day:02}", date.day) for day in range(1, 32)):
        raise _bad(
            whole, message("has a day %(day)s", day=date.day), message("Days are 01 to 31, XX if unknown.")
        )
    in_leap_year = CalendarDate("2000", date.month, date.day)
    if not (in_leap_year.has_a_day() and date.has_a_day()):
        raise _bad(
            whole,
            message("has a day %(day)s that its month does not have", day=date.day),
            message("Correct the day."),
        )


def _check_order(member: Range, whole: str) -> None:
    first, last = _first_of(member), _last_of(member)
    if first is not None and last is not None and first > last:
        raise _bad(whole, message("ends before it begins"), message("Write the earlier date first."))


def _bad(text: str, what: str, fix: str) -> BadInput:
    return BadInput(
        message("The date “%(text)s” %(what)s.", text=text, what=what), where=message("date"), fix=fix
    )


def _advice(text: str) -> str:
    """How to write what somebody probably meant by a text that is not EDTF."""
    if not text:
        return message("Write a year, such as 1898.")
    if re.match(r"(c|ca|circa|about)\b", text, re.IGNORECASE):
        return message("Write 1898~ for about 1898.")
    if re.fullmatch(r"\d{4}\s*[-–—]\s*\d{2,4}", text):
        return message("Write 1890/1899 for a whole span, [1890..1899] for one year within a span.")
    if re.fullmatch(r"\d{2,3}[-–_?x.]+|\d{3}0'?s", text):
        return message("Write 189X for a year in the 1890s, 18XX for one in the 1800s.")
    if "T" in text:
        return message("Leave out the time of day.")
    return message(
        "Write the year first and use digits only: 1898, 1898-06, 1898-06-03. Use X for an unknown digit."
    )


# Days

_GROUPING_CODES = frozenset(str(code) for code in _GROUPINGS)


def _is_plain(date: CalendarDate) -> bool:
    # Every digit is known: no day of the calendar need be looked for.
    return not date.significant and "X" not in f"{date.year}{date.month}{date.day}"


def _first_of(member: CalendarDate | Range) -> DayNumber | None:
    date = member.start if isinstance(member, Range) else member
    return date.first_day() if isinstance(date, CalendarDate) else None


def _last_of(member: CalendarDate | Range) -> DayNumber | None:
    date = member.end if isinstance(member, Range) else member
    return date.last_day() if isinstance(date, CalendarDate) else None


# Words

_DOUBTS = {"?": "uncertain", "~": "approximate", "%": "uncertain and approximate"}
_HEDGES = {"?": "perhaps", "~": "about", "%": "perhaps about"}


def _date_words(member: CalendarDate | Range | Bound, words: DateWords) -> str:
    if not isinstance(member, CalendarDate):
        return ""
    said, plain = _plain_words(member, words)
    given = [
        d for d, part in zip(member.doubts, (member.year, member.month, member.day), strict=True) if part
    ]
    if not any(given):
        return said
    if len(set(given)) == 1 and plain:
        return words.say(_HEDGES[given[0]], date=said)
    notes = []
    for sign, name in _DOUBTS.items():
        parts = [p for p, d in zip(("year", "month", "day"), member.doubts, strict=True) if d == sign]
        if len(parts) == len(given):
            notes.append(words.say(name))
        elif parts:
            named = [words.say(part) for part in parts]
            told = words.say("both", first=named[0], last=named[1]) if len(named) > 1 else named[0]
            notes.append(words.say("parts", parts=told, doubt=words.say(name)))
    return words.say("with doubt", date=said, doubts=", ".join(notes))


def _plain_words(date: CalendarDate, words: DateWords) -> tuple[str, bool]:
    """The words of a date, and whether they can be hedged: those of a span or a choice cannot."""
    year, kind = _year_words(date, words)
    joint = "of year" if kind == "some" else "part of year"
    if date.month in _GROUPING_CODES:
        name, _, hemisphere = words.groupings[int(date.month)].partition(" (")
        said = words.say(joint, part=name, year=year)
        return said + (f" ({hemisphere}" if hemisphere else ""), True
    if not date.month:
        return year, kind == "one"
    months = [m for m in range(1, 13) if fits(f"{m:02}", date.month)]
    month = words.months[months[0] - 1] if len(months) == 1 else ""
    if month and date.day and "X" not in date.day and kind != "some":
        return words.say("day and month", day=int(date.day), month=month, year=year), True
    dated = words.say(joint, part=month, year=year) if month else ""
    if not date.day:
        return (dated, True) if month else (_some_month(date.month, months, year, words), False)
    if "X" not in date.day:
        day = int(date.day)
        if month:
            return f"{day} {dated}", True
        return words.say("day of a month", day=day, year=year), True
    return words.say("some day", date=dated or year), False


def _some_month(pattern: str, months: list[int], year: str, words: DateWords) -> str:
    said = words.say("month of", year=year)
    if pattern == "XX":
        return said
    first, last = words.months[months[0] - 1], words.months[months[-1] - 1]
    return words.say("choice", date=said, first=first, last=last)


def _year_words(date: CalendarDate, words: DateWords) -> tuple[str, Literal["one", "span", "some"]]:
    """The words of a year, and whether it is one, a span, or a year that the words describe further."""
    first, last = date.years()
    if date.year == "XXXX":
        return words.say("unknown year"), "some"
    if first == last:
        return _year_name(first, words), "one"
    span = words.say("between", first=_year_name(first, words), last=_year_name(last, words))
    if date.significant:
        return words.say("estimated", date=span, year=_year_name(int(date.year), words)), "span"
    if date.month or not re.fullmatch("-?[0-9]+X+", date.year):
        return words.say("some year", span=span), "some"
    return span, "span"


def _year_name(year: int, words: DateWords) -> str:
    return words.say("before Christ", year=1 - year) if year <= 0 else str(year)


def _range_words(member: CalendarDate | Range, words: DateWords) -> str:
    if not isinstance(member, Range):
        return _date_words(member, words)
    start, end = _date_words(member.start, words), _date_words(member.end, words)
    if start and end:
        return words.say("to", first=start, last=end)
    if start:
        return words.say("later" if member.end == "open" else "from", date=start)
    if end:
        return words.say("earlier" if member.start == "open" else "until", date=end)
    return words.say("never")
