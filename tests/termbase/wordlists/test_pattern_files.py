"""Line patterns as TOML, in JSON, and in words."""

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.errors import BadInput
from termbase.wordlists.pattern_files import read_pattern, write_pattern
from termbase.wordlists.patterns import (
    Abbreviation,
    Breaks,
    Cutting,
    Ditto,
    Furniture,
    Labels,
    Layouts,
    LinePattern,
    Marks,
)
from termbase.wordlists.stock import STOCK
from termbase.wordlists.wording import explain, match_count

WORDS = st.text("aŵé. ,;'\"#=[{\\-Z1″—\t", min_size=1, max_size=5).filter(str.strip)
LISTS = st.lists(WORDS, max_size=3).map(tuple)
TABLES = st.dictionaries(WORDS, WORDS, max_size=3).map(
    lambda table: tuple(Abbreviation(printed, meaning) for printed, meaning in table.items())
)
PATTERNS = st.builds(
    LinePattern,
    name=WORDS,
    description=WORDS,
    headword_language=st.sampled_from(["", "en", "ga-Latg"]),
    cutting=st.builds(
        Cutting,
        records=st.sampled_from(["each line", "margin", "blank line", "headword line"]),
        indent=st.integers(0, 9),
        gloss_lines=st.integers(0, 3),
        end=st.sampled_from(["", "."]),
    ),
    layouts=st.sampled_from(
        [
            Layouts(),
            Layouts(
                record=("HEADWORD{ [STYLE]}\nSENSES", 'HEADWORD "NOTE" = SENSES'), phrase=("PHRASE: NOTE",)
            ),
        ]
    ),
    marks=st.builds(Marks, st.sampled_from(["", "1.", "(a)"]), LISTS, LISTS, LISTS),
    labels=st.builds(Labels, TABLES, TABLES, TABLES, TABLES, WORDS, TABLES),
    ditto=st.builds(Ditto, LISTS, st.sampled_from(["headword", "first word", "word for word"])),
    breaks=st.builds(Breaks, LISTS, LISTS),
    furniture=st.builds(Furniture, LISTS, st.booleans(), st.booleans(), WORDS, WORDS),
)


@given(pattern=PATTERNS)
def test_a_pattern_written_is_read_back(pattern: LinePattern) -> None:
    assert read_pattern(write_pattern(pattern), "here") == pattern


@given(pattern=PATTERNS)
def test_a_pattern_survives_a_json_round_trip(pattern: LinePattern) -> None:
    assert msgspec.json.decode(msgspec.json.encode(pattern), type=LinePattern) == pattern


@pytest.mark.parametrize("name", STOCK)
def test_each_starting_pattern_is_named_described_and_readable(name: str) -> None:
    pattern = STOCK[name]
    assert pattern.name == name
    assert pattern.description.endswith(".")
    assert "\n" not in pattern.description
    assert read_pattern(write_pattern(pattern), "here") == pattern


@given(text=st.text(max_size=80))
def test_any_other_text_is_refused_with_a_reason(text: str) -> None:
    with pytest.raises(BadInput) as caught:
        read_pattern(text, "here")
    assert caught.value.where.startswith("here")
    assert caught.value.fix


@pytest.mark.parametrize(
    ("toml", "where", "what", "fix"),
    [
        ("name = ", "here, line 1", "This is not TOML", "name = value"),
        ("description = 'x'", "here", "has no name", "name ="),
        ("name = ' '", "here, line 1, name", "has no name", "Give it a name"),
        ("name = 'x'\nlayuots = 1", "here, line 2, layuots", "no setting layuots", "Did you mean layouts?"),
        (
            "name = 'x'\n[cutting]\nident = 2",
            "here, line 3, cutting.ident",
            "no setting cutting.ident",
            "Did you mean cutting.indent?",
        ),
        (
            "name = 'x'\n[cutting]\nqqq = 2",
            "here, line 3, cutting.qqq",
            "no setting cutting.qqq",
            "The settings are records, indent",
        ),
        (
            "name = 'x'\n[cutting]\nindent = 'two'",
            "here, line 3, cutting.indent",
            "wrong kind of value",
            "a whole number",
        ),
        (
            "name = 'x'\n[marks]\nequivalents = ','",
            "here, line 3, marks.equivalents",
            "wrong kind of value",
            "a list in square brackets",
        ),
        (
            "name = 'x'\n[marks]\nequivalents = [1]",
            "here, line 3, marks.equivalents",
            "wrong kind of value",
            "text in quotation marks",
        ),
        (
            "name = 'x'\n[furniture]\npage_numbers = 'yes'",
            "here, line 3, furniture.page_numbers",
            "wrong kind of value",
            "true or false",
        ),
        (
            "name = 'x'\n[cutting]\nrecords = 'lines'",
            "here, line 3, cutting.records",
            "an invalid value",
            '"each line", "margin"',
        ),
        (
            "name = 'x'\nbreaks = 3",
            "here, line 2, breaks",
            "wrong kind of value",
            "a table",
        ),
        (
            "name = 'x'\n[labels]\ngender = ['m.']",
            "here, line 3, labels.gender",
            "labels.gender is not a table",
            "[labels.gender]",
        ),
        (
            "name = 'x'\n[labels.gender]\n'm.' = 3",
            "here, line 3, labels.gender.m.",
            "“m.” in labels.gender has no meaning",
            "both in quotation marks",
        ),
        (
            "name = 'x'\n[layouts]\nrecord = ['HEADWORD, SENSE']",
            "here, line 3, layouts.record 1",
            "SENSE is not a part of a record",
            "SENSES",
        ),
        (
            "name = 'x'\n[marks]\nsense_number = 'I.'",
            "here, line 3, marks.sense_number",
            "cannot be written “I.”",
            "1.",
        ),
    ],
)
def test_what_is_wrong_is_named_with_line_and_setting(toml: str, where: str, what: str, fix: str) -> None:
    with pytest.raises(BadInput) as caught:
        read_pattern(toml, "here")
    assert where in caught.value.where
    assert what in caught.value.what
    assert fix in caught.value.fix


def test_text_of_a_pattern_is_converted_to_nfc() -> None:
    assert read_pattern("name = 'w\u0302'", "here").name == "ŵ"


@pytest.mark.parametrize("name", STOCK)
def test_every_starting_pattern_is_explained(name: str) -> None:
    words = "\n".join(explain(STOCK[name]))
    assert words.startswith(("Every printed line", "A record", "There is a blank line"))
    assert "HEADWORD" not in words
    assert "the headword" in words


def test_the_explanation_follows_the_layout() -> None:
    pattern = LinePattern("x", layouts=Layouts(record=("HEADWORD{ [STYLE]}: SENSES",)))
    line = "A record is printed as: the headword, optionally (“[”, the style label, “]”), “:”, the senses."
    assert line in explain(pattern)


def test_the_result_of_a_pattern_on_a_page_is_counted_and_reported() -> None:
    count = match_count("B.\n\nBelt, s. gwregys\nFist s dwrn\nGrip, see Hold\n", STOCK["pocket list"])
    assert (count.records, count.clean, count.furniture, count.blank) == (3, 2, 1, 1)
    assert count.by_layout == (1, 1)
    assert count.statement == (
        "2 of 3 records can be read without problems, 1 not at all. The first problem is in line 4, "
        "column 1: There should be the headword here, but it says “Fist s dwrn”."
    )


@pytest.mark.parametrize(
    ("page", "statement"),
    [
        ("", "There are no records on this page: every line is blank or page furniture."),
        ("Belt, s. gwregys", "The only record can be read."),
        ("Belt, s. gwregys\nHip, s. clun", "All 2 records can be read."),
        (
            "Belt gwregys\nHip clun",
            "This pattern fits none of the 2 records. The first problem is in line 1,",
        ),
    ],
)
def test_a_pattern_that_fits_all_or_nothing_says_so(page: str, statement: str) -> None:
    assert match_count(page, STOCK["pocket list"]).statement.startswith(statement)
