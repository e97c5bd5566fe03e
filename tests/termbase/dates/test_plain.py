"""Plain dates, read as EDTF; what could be two days is asked about."""

from datetime import date, timedelta

import pytest
from babel.dates import format_date
from hypothesis import given
from hypothesis import strategies as st

from termbase.dates.plain import is_after, read_plain_date
from termbase.errors import Ambiguous, BadInput

TODAY = "2026-11-30"


@pytest.mark.parametrize(
    ("typed", "edtf"),
    [
        ("3 May 2026", "2026-05-03"),
        ("May 3rd, 2026", "2026-05-03"),
        ("Sunday 3 May 2026", "2026-05-03"),
        ("3 sept. 2026", "2026-09-03"),
        ("3ydd o Fai 2026", "2026-05-03"),
        ("dydd Sul 3 Mai 2026", "2026-05-03"),
        ("12 Chwefror 2026", "2026-02-12"),
        ("3 de Mheán Fómhair 2026", "2026-09-03"),
        ("1 Nollaig 2025", "2025-12-01"),
        ("25/4/2026", "2026-04-25"),
        ("4/25/2026", "2026-04-25"),
        ("5.5.2026", "2026-05-05"),
        ("2026/05/03", "2026-05-03"),
        ("May 2026", "2026-05"),
        ("2026-05~", "2026-05~"),
        ("2026", "2026"),
        ("today", "2026-11-30"),
        ("ddoe", "2026-11-29"),
        ("inniu", "2026-11-30"),
    ],
)
def test_a_date_is_read_as_people_write_it(typed: str, edtf: str) -> None:
    assert read_plain_date(typed, TODAY) == edtf


def test_a_day_that_could_be_a_month_is_asked_about() -> None:
    with pytest.raises(Ambiguous) as asked:
        read_plain_date("3/5/2026", TODAY)
    assert [value for value, _ in asked.value.choices] == ["2026-05-03", "2026-03-05"]


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "missing"),
        ("some day", "not a date"),
        ("31/2/2026", "not a date"),
        ("30 February 2026", "not a date"),
        ("3 May", "year in full"),
        ("3/5/26", "year in full"),
        ("13/13/2026", "not a date"),
        ("3 4 May 2026", "not a date"),
    ],
)
def test_text_that_is_not_a_date_is_refused(typed: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        read_plain_date(typed, TODAY)


@given(st.dates(date(1000, 1, 1), date(9999, 12, 31)), st.sampled_from(["en", "cy", "ga"]))
def test_every_day_in_the_words_of_cldr_is_read_back(day: date, language: str) -> None:
    """The long dates of Unicode CLDR, by Babel."""
    assert read_plain_date(format_date(day, "long", locale=language), TODAY) == day.isoformat()


@given(st.text(max_size=30))
def test_any_typed_text_is_read_or_refused(typed: str) -> None:
    try:
        read_plain_date(typed, TODAY)
    except BadInput:
        return


def test_only_what_lies_wholly_ahead_is_after_today() -> None:
    tomorrow = (date.fromisoformat(TODAY) + timedelta(days=1)).isoformat()
    assert is_after(tomorrow, TODAY)
    assert is_after("2027", TODAY)
    assert not is_after("2026", TODAY)
    assert not is_after(TODAY, TODAY)
