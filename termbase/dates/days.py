"""Days of the calendar, as numbers and as text; years may lie outside what `datetime` holds."""

from calendar import monthrange

__all__ = ["DayNumber", "fits", "iso_of", "month_length", "sortable"]

DayNumber = tuple[int, int, int]


def fits(digits: str, pattern: str) -> bool:
    """Whether digits are those of a pattern, in which `X` stands for any."""
    return len(digits) == len(pattern) and all(p in ("X", d) for d, p in zip(digits, pattern, strict=True))


def month_length(year: int, month: int) -> int:
    """How many days the month has."""
    # The Gregorian calendar repeats every 400 years, and calendar knows years 1 to 9999 only.
    return monthrange(2000 + year % 400, month)[1]


def iso_of(day: DayNumber) -> str:
    """The day as ISO 8601 writes it."""
    year, month, of_month = day
    sign = "-" if year < 0 else "+" if year > 9999 else ""
    return f"{sign}{abs(year):04}-{month:02}-{of_month:02}"


def sortable(day: DayNumber) -> str:
    """ASCII text by which days sort, for years to five thousand million either way."""
    shifted = min(max(day[0] + 5_000_000_000, 0), 9_999_999_999)
    return f"{shifted:010}-{day[1]:02}-{day[2]:02}"
