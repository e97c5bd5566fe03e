"""Cutting a page into lines: how records begin and end, broken words, furniture; nothing is lost."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.wordlists.cutting import cut
from termbase.wordlists.patterns import Breaks, Cutting, Furniture, Layouts, LinePattern, Marks
from termbase.wordlists.stock import STOCK

DATA = Path(__file__).parent / "data"
HEADED = replace(
    STOCK["pocket list"],
    furniture=Furniture(running_heads=("Field Games",), page_numbers=True, section_letters=True),
)
TEXTS = st.one_of(
    st.text(max_size=200),
    st.text(alphabet='abŵ ,;.-–—()[]<>/"″1\n\n\t 2ſ\u0301\r\x0c\x85\u2028', max_size=300),
)


def texts(transcription: str, pattern: LinePattern) -> list[str]:
    return [line.text for line in cut(transcription, pattern) if line.kind == "record"]


def cutting(**settings: object) -> LinePattern:
    return LinePattern("a book", cutting=Cutting(**settings))  # type: ignore[arg-type]


@pytest.mark.parametrize("name", STOCK)
@given(transcription=TEXTS)
def test_raw_lines_put_together_are_the_transcription(name: str, transcription: str) -> None:
    lines = cut(transcription, STOCK[name])
    assert "".join(line.raw for line in lines) == transcription
    assert [line.number for line in lines] == list(range(1, len(lines) + 1))


@pytest.mark.parametrize("name", STOCK)
@given(transcription=TEXTS)
def test_the_first_printed_line_of_each_line_is_where_its_raw_text_begins(
    name: str, transcription: str
) -> None:
    before = 0
    for line in cut(transcription, STOCK[name]):
        assert line.first == before + 1
        before += line.raw.count("\n")


@given(words=st.lists(st.text(alphabet="abdŵ", min_size=1, max_size=6), min_size=1, max_size=12))
def test_every_column_of_a_joined_record_leads_to_the_same_sign_in_print(words: list[str]) -> None:
    page = "Hip, " + "-\n  ".join(words)
    printed = page.split("\n")
    (line,) = cut(page, STOCK["hanging list"])
    for column, sign in enumerate(line.text, 1):
        number, place = line.place(column)
        if sign != " ":
            assert printed[number - 1][place - 1] == sign


def test_each_printed_line_may_be_a_record() -> None:
    assert texts("Belt, gwregys\n Fist, dwrn\n", cutting(records="each line")) == [
        "Belt, gwregys",
        "Fist, dwrn",
    ]


def test_indented_lines_go_on_with_the_record_at_the_margin() -> None:
    page = "Belt,\n  gwregys\n\tneu\nFist,\n\n  dwrn\n"
    assert texts(page, cutting(records="margin")) == ["Belt, gwregys neu", "Fist, dwrn"]


def test_less_indentation_than_configured_counts_as_the_margin() -> None:
    assert texts("Belt\n gwregys\n   aur", cutting(records="margin", indent=3)) == ["Belt", "gwregys aur"]


def test_a_blank_line_separates_records() -> None:
    page = "Belt,\ngwregys\n\n\nFist,\ndwrn"
    assert texts(page, cutting(records="blank line")) == ["Belt, gwregys", "Fist, dwrn"]
    assert [line.kind for line in cut(page, cutting(records="blank line"))] == [
        "record",
        "blank",
        "blank",
        "record",
    ]


@pytest.mark.parametrize(
    ("page", "records"),
    [
        ("Belt\ngwregys\nFist\ndwrn\n", ["Belt\ngwregys", "Fist\ndwrn"]),
        ("Belt\ngwregys\n   aur\nFist\ndwrn", ["Belt\ngwregys aur", "Fist\ndwrn"]),
        ("Fall\n1. codwm\n2. cwymp\nFist\ndwrn", ["Fall\n1. codwm\n2. cwymp", "Fist\ndwrn"]),
        ("Belt\n   gwregys\nFist\n   dwrn", ["Belt\n   gwregys", "Fist\n   dwrn"]),
        ("Belt\ngwregys\n\nFist\ndwrn", ["Belt\ngwregys", "Fist\ndwrn"]),
        ("Belt", ["Belt"]),
    ],
    ids=["two lines", "gloss runs on", "numbered senses", "indented glosses", "blank between", "no gloss"],
)
def test_a_headword_line_takes_its_gloss_lines(page: str, records: list[str]) -> None:
    pattern = replace(cutting(records="headword line", indent=2), marks=Marks(sense_number="1."))
    assert texts(page, pattern) == records


def test_a_stray_line_before_a_marked_headword_continues_the_record_above() -> None:
    pattern = cutting(records="headword line", headword_sign="<")
    page = "Belt <s>\ngwregys\nof leather\nFist <s>\ndwrn"
    assert texts(page, pattern) == ["Belt <s>\ngwregys\nof leather", "Fist <s>\ndwrn"]


def test_two_gloss_lines_may_be_asked_for() -> None:
    assert texts("A\nb\nc\nD\ne\nf", cutting(records="headword line", gloss_lines=2)) == [
        "A\nb\nc",
        "D\ne\nf",
    ]


def test_phrase_lines_keep_their_line() -> None:
    pattern = replace(
        cutting(records="headword line", indent=2), layouts=Layouts(phrase=("PHRASE - EQUIVALENTS",))
    )
    assert texts("Belt\ngwregys\n   a belt - gwregys\n", pattern) == ["Belt\ngwregys\n   a belt - gwregys"]


@pytest.mark.parametrize(
    ("page", "text", "how"),
    [
        ("dyfarn-\n  wr", "dyfarnwr", "word"),
        ("dyfarn¬\n  wr", "dyfarnwr", "word"),
        ("cross-\n  buttock", "cross-buttock", "hyphen"),
        ("cross¬\n  buttock", "cross-buttock", "hyphen"),
        ("back-\n  heel", "back-heel", "hyphen"),
        ("Back-\n  Heel", "Back-Heel", "hyphen"),
        ("pen-\n  glin", "penglin", "word"),
        ("a blow -\n  foul", "a blow - foul", "space"),
        ("1860-\n  1910", "1860- 1910", "space"),
    ],
    ids=[
        "broken",
        "other sign",
        "in the list",
        "in the list, other sign",
        "elsewhere on the page",
        "capitals",
        "nothing known",
        "dash",
        "numbers",
    ],
)
def test_a_broken_word_is_joined_and_keeps_its_own_hyphen(page: str, text: str, how: str) -> None:
    pattern = replace(cutting(records="margin"), breaks=Breaks(("-", "¬"), kept=("cross-buttock",)))
    first, _ = (line for line in cut(f"{page}\nsee the back-heel", pattern))
    assert first.text == text
    assert [join.how for join in first.joins] == [how]


def test_without_break_hyphens_no_word_is_joined() -> None:
    assert texts("dyfarn-\n  wr", cutting(records="margin")) == ["dyfarn- wr"]


def test_a_word_broken_in_a_book_of_one_line_a_record_takes_the_next_line() -> None:
    pattern = replace(cutting(records="each line"), breaks=Breaks(("-",)))
    assert texts("Hold, cofleid-\niad\nHip, clun", pattern) == ["Hold, cofleidiad", "Hip, clun"]


@pytest.mark.parametrize(
    "line",
    ["41", "— xii —", "[7]", "B.", "LL.", "Ch", "Field Games", "FIELD GAMES.     41", "42  field games."],
)
def test_furniture_is_known_and_kept(line: str) -> None:
    lines = cut(f"{line}\nBelt, s. gwregys, m.\n", HEADED)
    assert [(one.kind, one.raw) for one in lines] == [
        ("furniture", f"{line}\n"),
        ("record", "Belt, s. gwregys, m.\n"),
    ]


@pytest.mark.parametrize("line", ["m.", "v.", "Ox", "1910 a", "Field Games of old", "b"])
def test_what_only_looks_like_furniture_is_a_record(line: str) -> None:
    assert [one.kind for one in cut(line, HEADED)] == ["record"]


def test_front_and_back_matter_are_furniture() -> None:
    pattern = replace(
        cutting(), furniture=Furniture(front_matter_ends="the list", back_matter_begins="The end")
    )
    lines = cut("Preface\nto the List\nunder the end\nBelt\nTHE END\n1898\n", pattern)
    assert [line.kind for line in lines] == [
        "furniture",
        "furniture",
        "record",
        "record",
        "furniture",
        "furniture",
    ]


def test_the_invented_page_is_cut_as_printed() -> None:
    lines = cut((DATA / "pocket-list-page.txt").read_text(encoding="utf-8"), HEADED)
    furniture = [line.text.split()[0] for line in lines if line.kind == "furniture"]
    assert furniture == ["FIELD", "B.", "F.", "G.", "H."]
    assert sum(line.kind == "record" for line in lines) == 15
    assert any(line.text.endswith("[open] cofleidiad, m.") for line in lines)
