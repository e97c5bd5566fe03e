import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.dates import edtf
from termbase.errors import BadInput

# Examples of the EDTF specification (Library of Congress, 2019, "Extended Date/Time Format (EDTF)
# Specification"), which is the profile published as ISO 8601-2:2019 annex A; bounds worked out by hand.
PUBLISHED = [
    # Level 0
    ("1985-04-12", "1985-04-12", "1985-04-12"),
    ("1985-04", "1985-04-01", "1985-04-30"),
    ("1985", "1985-01-01", "1985-12-31"),
    ("1964/2008", "1964-01-01", "2008-12-31"),
    ("2004-06/2006-08", "2004-06-01", "2006-08-31"),
    ("2004-02-01/2005-02-08", "2004-02-01", "2005-02-08"),
    ("2004-02-01/2005-02", "2004-02-01", "2005-02-28"),
    ("2004-02-01/2005", "2004-02-01", "2005-12-31"),
    ("2005/2006-02", "2005-01-01", "2006-02-28"),
    # Level 1
    ("Y170000002", "+170000002-01-01", "+170000002-12-31"),
    ("Y-170000002", "-170000002-01-01", "-170000002-12-31"),
    ("2001-21", "2001-03-01", "2001-05-31"),
    ("1984?", "1984-01-01", "1984-12-31"),
    ("2004-06~", "2004-06-01", "2004-06-30"),
    ("2004-06-11%", "2004-06-11", "2004-06-11"),
    ("201X", "2010-01-01", "2019-12-31"),
    ("20XX", "2000-01-01", "2099-12-31"),
    ("2004-XX", "2004-01-01", "2004-12-31"),
    ("1985-04-XX", "1985-04-01", "1985-04-30"),
    ("1985-XX-XX", "1985-01-01", "1985-12-31"),
    ("1985-04-12/..", "1985-04-12", None),
    ("1985-04/..", "1985-04-01", None),
    ("1985/..", "1985-01-01", None),
    ("../1985-04-12", None, "1985-04-12"),
    ("../1985-04", None, "1985-04-30"),
    ("../1985", None, "1985-12-31"),
    ("1985-04-12/", "1985-04-12", None),
    ("1985-04/", "1985-04-01", None),
    ("1985/", "1985-01-01", None),
    ("/1985-04-12", None, "1985-04-12"),
    ("/1985-04", None, "1985-04-30"),
    ("/1985", None, "1985-12-31"),
    ("-1985", "-1985-01-01", "-1985-12-31"),
    ("1984~/2004-06", "1984-01-01", "2004-06-30"),
    ("1984/2004-06~", "1984-01-01", "2004-06-30"),
    ("1984?/2004%", "1984-01-01", "2004-12-31"),
    # Level 2
    ("Y-17E7", "-170000000-01-01", "-170000000-12-31"),
    ("1950S2", "1900-01-01", "1999-12-31"),
    ("Y171010000S3", "+171000000-01-01", "+171999999-12-31"),
    ("Y3388E2S3", "+338000-01-01", "+338999-12-31"),
    ("2001-34", "2001-04-01", "2001-06-30"),
    ("[1667,1668,1670..1672]", "1667-01-01", "1672-12-31"),
    ("[..1760-12-03]", None, "1760-12-03"),
    ("[1760-12..]", "1760-12-01", None),
    ("[1760-01,1760-02,1760-12..]", "1760-01-01", None),
    ("[1667,1760-12]", "1667-01-01", "1760-12-31"),
    ("[..1984]", None, "1984-12-31"),
    ("{1667,1668,1670..1672}", "1667-01-01", "1672-12-31"),
    ("{1960,1961-12}", "1960-01-01", "1961-12-31"),
    ("{..1984}", None, "1984-12-31"),
    ("2004-06~-11", "2004-06-11", "2004-06-11"),
    ("2004?-06-11", "2004-06-11", "2004-06-11"),
    ("?2004-06-~11", "2004-06-11", "2004-06-11"),
    ("2004-%06-11", "2004-06-11", "2004-06-11"),
    ("156X-12-25", "1560-12-25", "1569-12-25"),
    ("15XX-12-25", "1500-12-25", "1599-12-25"),
    ("XXXX-12-XX", "0000-12-01", "9999-12-31"),
    ("1XXX-XX", "1000-01-01", "1999-12-31"),
    ("1XXX-12", "1000-12-01", "1999-12-31"),
    ("1984-1X", "1984-10-01", "1984-12-31"),
    ("2004-06-~01/2004-06-~20", "2004-06-01", "2004-06-20"),
    ("2004-06-XX/2004-07-03", "2004-06-01", "2004-07-03"),
]


@pytest.mark.parametrize(("text", "earliest", "latest"), PUBLISHED, ids=[row[0] for row in PUBLISHED])
def test_a_published_example_is_read_with_its_bounds(
    text: str, earliest: str | None, latest: str | None
) -> None:
    date = edtf.parse(text)
    assert date.text == text
    assert (date.earliest(), date.latest()) == (earliest, latest)


# Which part a sign doubts: same specification, level 2, "Qualification".
@pytest.mark.parametrize(
    ("text", "doubts"),
    [
        ("2004-06-11%", ("%", "%", "%")),
        ("2004-06~-11", ("~", "~", "")),
        ("2004?-06-11", ("?", "", "")),
        ("?2004-06-~11", ("?", "", "~")),
        ("2004-%06-11", ("", "%", "")),
        ("?2004-06~", ("%", "~", "")),
    ],
)
def test_a_sign_doubts_its_part_or_all_to_its_left(text: str, doubts: tuple[str, str, str]) -> None:
    member = edtf.parse(text).members[0]
    assert isinstance(member, edtf.CalendarDate)
    assert member.doubts == doubts


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("1898", "1898"),
        ("1898~", "about 1898"),
        ("1898?", "perhaps 1898"),
        ("1898%", "perhaps about 1898"),
        ("1871-06", "June 1871"),
        ("1871-06-03", "3 June 1871"),
        ("189X", "between 1890 and 1899"),
        ("18XX~", "between 1800 and 1899 (approximate)"),
        ("[1890..1899]", "between 1890 and 1899"),
        ("1866/1909", "1866 to 1909"),
        ("1866/..", "1866 or later"),
        ("../1909", "1909 or earlier"),
        ("1866/", "from 1866, end not known"),
        ("/1909", "until 1909, beginning not known"),
        ("[1667,1668,1670..1672]", "1667, 1668 or 1670 to 1672"),
        ("{1898,1899}", "1898 and 1899"),
        ("1898-XX", "a month of 1898"),
        ("1898-06-XX", "a day in June 1898"),
        ("1898-XX-XX", "a day in 1898"),
        ("1984-1X", "a month of 1984 (October to December)"),
        ("156X-12-25", "25 December of a year between 1560 and 1569"),
        ("XXXX-12-XX", "a day in December of an unknown year"),
        ("1871-24", "winter 1871"),
        ("1871-26", "summer 1871 (northern hemisphere)"),
        ("1871-34", "second quarter of 1871"),
        ("1950S2", "between 1900 and 1999 (estimated 1950)"),
        ("2004-06~-11", "11 June 2004 (year and month approximate)"),
        ("?2004-06-~11", "11 June 2004 (year uncertain, day approximate)"),
        ("-0043", "44 BC"),
        ("0000", "1 BC"),
        ("../..", "at no known time"),
    ],
)
def test_a_date_reads_as_english(text: str, words: str) -> None:
    assert edtf.readable(edtf.parse(text)) == words


@pytest.mark.parametrize(
    ("text", "what", "fix"),
    [
        ("1898-13", "a month 13", "01 to 12"),
        ("1898-06-31", "its month does not have", "Correct"),
        ("1900-02-29", "its month does not have", "Correct"),
        ("XXXX-02-30", "its month does not have", "Correct"),
        ("1898-06-32", "a day 32", "01 to 31"),
        ("1871-21-03", "a day together with a season", "Leave the day out"),
        ("1909/1866", "ends before it begins", "earlier date first"),
        ("[1899..1890]", "ends before it begins", "earlier date first"),
        ("1/2/3", "more than one slash", "one slash"),
        ("[1890", "no closing bracket", "]"),
        ("{..}", "no date on either side", "Write the date"),
        ("-0000", "-0000", "0000"),
        ("Y1898", "digits long", "5 to 10 digits"),
        ("18XXS2", "significant", "one of the two"),
        ("", "not a valid date", "1898"),
        ("c. 1898", "not a valid date", "1898~"),
        ("1890-1899", "not a valid date", "1890/1899"),
        ("18--", "not a valid date", "18XX"),
        ("1890s", "not a valid date", "189X"),
        ("June 1871", "not a valid date", "year first"),
        ("1985-04-12T23:20:30", "not a valid date", "time of day"),
    ],
)
def test_an_invalid_date_is_rejected_with_advice(text: str, what: str, fix: str) -> None:
    with pytest.raises(BadInput) as caught:
        edtf.parse(text)
    assert what in caught.value.what
    assert fix in caught.value.fix
    assert caught.value.where == "date"


def test_dates_sort_by_first_possible_day_then_by_last() -> None:
    in_order = [
        *("-0043", "18XX", "../1865", "1866/1909", "1866-05"),
        *("1871-06", "1871-06-03", "1898", "1898/1899", "Y17E4"),
    ]
    backwards = in_order[::-1]
    assert sorted(backwards, key=lambda text: edtf.parse(text).sort_key()) == in_order


def test_spaces_around_a_date_are_dropped() -> None:
    assert edtf.parse(" 1898 ") == edtf.parse("1898")


@pytest.mark.parametrize(
    ("text", "is_day"),
    [
        ("1898-06-03", True),
        ("1896-02-29", True),
        ("1900-02-29", False),
        ("1898-00-01", False),
        ("1898-06", False),
        ("1898-6-3", False),
        ("1898-06-03 ", False),
        ("٢٠٠٤-٠١-٠١", False),
    ],
)
def test_only_an_existing_day_is_an_iso_date(text: str, is_day: bool) -> None:
    assert edtf.is_iso_date(text) is is_day


@given(st.dates())
def test_every_day_is_its_own_bounds(day: object) -> None:
    text = str(day)
    date = edtf.parse(text)
    assert edtf.is_iso_date(text)
    assert date.earliest() == date.latest() == text


@given(st.dates(), st.dates())
def test_sort_keys_of_days_are_in_date_order(first: object, second: object) -> None:
    keys = [edtf.parse(str(day)).sort_key() for day in (first, second)]
    assert (keys[0] < keys[1]) == (str(first) < str(second))


def read_or_refusal(text: str) -> edtf.Edtf | BadInput:
    try:
        return edtf.parse(text)
    except BadInput as refused:
        return refused


@given(st.from_regex(r"[0-9X]{4}(-[01X][0-9X](-[0-3X][0-9X])?)?[?~%]?", fullmatch=True))
def test_a_date_with_unknown_digits_has_ordered_bounds_or_is_refused(text: str) -> None:
    date = read_or_refusal(text)
    if isinstance(date, BadInput):
        assert date.fix
    else:
        earliest, latest = date.earliest(), date.latest()
        assert earliest is not None
        assert latest is not None
        assert earliest <= latest
        assert edtf.readable(date)


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused(text: str) -> None:
    date = read_or_refusal(text)
    assert date.fix if isinstance(date, BadInput) else date.text == text.strip()
