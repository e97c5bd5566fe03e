"""Plain dates as people write them (3 May 2026, 3ydd o Fai 2026, 3/5/2026), read as EDTF; nothing is guessed.

Month names are those of CLDR (through Babel), in their mutated forms too. A date of three numbers of which
two can be the month is asked about. Words for today and yesterday are from memory.
"""

import re
from datetime import date, timedelta
from functools import lru_cache
from itertools import product
from typing import Final

from babel.dates import get_day_names, get_month_names

from termbase.dates import edtf as dates
from termbase.errors import Ambiguous, BadInput
from termbase.languages.folding import one_spelling, without_marks
from termbase.languages.mutations import unmutated_forms
from termbase.messages import message

__all__ = ["is_after", "read_plain_date"]

LANGUAGES: Final = ("en", "cy", "ga")
"""Languages whose names of months are understood."""
_RELATIVE: Final = {
    "today": 0, "heddiw": 0, "inniu": 0, "yesterday": 1, "ddoe": 1, "doe": 1, "inne": 1,
}  # fmt: skip
_SMALL_WORDS: Final = frozenset({"of", "the", "o", "de", "an", "y", "mi", "fis", "mis", "na"})
_NUMBERS: Final = re.compile(r"([0-9]{1,4})\s*[/.\-]\s*([0-9]{1,2})\s*[/.\-]\s*([0-9]{1,4})\.?")
_TOKEN: Final = re.compile(r"[0-9]+|[^\W\d_]+")
_ORDINAL: Final = re.compile(r"(?<=[0-9])(?:st|nd|rd|th|af|ail|il|ydd|edd|fed|eg|ed|ain|ú|u)\b")


def read_plain_date(text: str, today: str, where: str = "date") -> str:
    """The EDTF date that somebody typed, as EDTF or in plain words or numbers.

    Args:
        text: `2026-05-03`, `2026-05~`, `3 May 2026`, `May 3rd, 2026`, `3 Mai 2026`, `25/4/2026`, `today`.
        today: today's date (ISO).
        where: the field, for the message.

    Raises:
        Ambiguous: day and month could be either way round; each reading is a choice.
        BadInput: it is not a date, or its year is missing.

    >>> read_plain_date("3 May 1898", "2026-12-01")
    '1898-05-03'
    """
    typed = " ".join(text.split())
    if typed:
        try:
            dates.parse(typed)
        except BadInput:
            pass
        else:
            return typed
    folded = _ORDINAL.sub("", without_marks(one_spelling(typed)).casefold())
    if folded in _RELATIVE:
        return (date.fromisoformat(today) - timedelta(days=_RELATIVE[folded])).isoformat()
    if numbers := _NUMBERS.fullmatch(folded):
        return _of_numbers(typed, *numbers.groups(), where=where)
    return _of_words(typed, _TOKEN.findall(folded), where)


def is_after(edtf: str, today: str) -> bool:
    """Whether the whole of a date lies after today (ISO)."""
    earliest = dates.parse(edtf).earliest()
    return earliest is not None and earliest > today


def _of_numbers(typed: str, first: str, second: str, third: str, *, where: str) -> str:
    if len(first) == 4:
        return _day(typed, int(first), int(second), int(third), where)
    if len(third) != 4:
        raise BadInput(
            message("“%(typed)s” does not give the year in full.", typed=typed),
            where=where,
            fix=message("Write the year with four digits: 3 May 2026."),
        )
    year, one, other = int(third), int(first), int(second)
    readings = dict.fromkeys(
        _day(typed, year, month, day, where)
        for day, month in ((one, other), (other, one))
        if month <= 12 and day <= 31
    )
    if len(readings) == 2:
        choices = tuple((edtf, dates.said(dates.parse(edtf))) for edtf in readings)
        raise Ambiguous(
            message("“%(typed)s” could mean two different days.", typed=typed),
            where=where,
            fix=message("Write the month as a word: 3 May 2026."),
            choices=choices,
        )
    if not readings:
        raise _not_a_date(typed, where)
    return next(iter(readings))


def _of_words(typed: str, tokens: list[str], where: str) -> str:
    numbers = [token for token in tokens if token.isdecimal()]
    words = [token for token in tokens if not token.isdecimal() and token not in _SMALL_WORDS]
    month = _month(words) or _month([word for word in words if word not in _days_of_the_week()])
    years = [int(number) for number in numbers if len(number) == 4]
    days = [int(number) for number in numbers if len(number) <= 2]
    if month and len(years) == 1 and len(numbers) == 1:
        return f"{years[0]:04}-{month:02}"
    if month and len(years) == 1 and len(days) == 1 and len(numbers) == 2:
        return _day(typed, years[0], month, days[0], where)
    if month and not years:
        raise BadInput(
            message("“%(typed)s” does not give the year in full.", typed=typed),
            where=where,
            fix=message("Write the year with four digits: 3 May 2026."),
        )
    raise _not_a_date(typed, where)


def _day(typed: str, year: int, month: int, day: int, where: str) -> str:
    try:
        return date(year, month, day).isoformat()
    except ValueError as error:
        raise _not_a_date(typed, where) from error


def _not_a_date(typed: str, where: str) -> BadInput:
    if not typed:
        return BadInput(
            message("The date is missing."),
            where=where,
            fix=message("Write it like 3 May 2026, or 2026-05 if the day is not known."),
        )
    return BadInput(
        message("“%(typed)s” is not a date.", typed=typed),
        where=where,
        fix=message("Write it like 3 May 2026, or 2026-05 if the day is not known."),
    )


def _month(words: list[str]) -> int:
    """The number of the month that these words name; 0 where they name none."""
    if not 1 <= len(words) <= 2:
        return 0
    known = _months()
    forms = [
        {word} | {c.text for tag in LANGUAGES if tag != "en" for c in unmutated_forms(word, tag)}
        for word in words
    ]
    for said in product(*forms):
        if number := known.get(" ".join(said)):
            return number
    return 0


@lru_cache(maxsize=1)
def _months() -> dict[str, int]:
    """Number of the month by each of its names, folded; of the short ones those of three letters or more."""
    found: dict[str, int] = {}
    for tag in LANGUAGES:
        for width in ("wide", "abbreviated"):
            for number, name in get_month_names(width, locale=tag).items():
                folded = without_marks(one_spelling(name)).casefold().strip(". ")
                words = [w for w in folded.split() if w not in _SMALL_WORDS]
                if len("".join(words)) >= 3:
                    found.setdefault(" ".join(words), int(number))
    return found | {"sept": 9, "nollag": 12}


@lru_cache(maxsize=1)
def _days_of_the_week() -> frozenset[str]:
    """Words of the names of the days, folded; they may precede a date and are ignored."""
    names = (
        name for tag in LANGUAGES for width in ("wide", "abbreviated")
        for name in get_day_names(width, locale=tag).values()
    )  # fmt: skip
    folded = (without_marks(one_spelling(name)).casefold().strip(". ") for name in names)
    return frozenset(word for name in folded for word in name.split()) - _months().keys()
