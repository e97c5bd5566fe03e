"""Parsing records: every part of one, what cannot be read, ditto marks, the starting patterns."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.codes.wording import statement_text
from termbase.errors import BadInput
from termbase.record.lines import Equivalent, ParsedForm, ParsedLine, Phrase, Printed, PrintedWhy, Sense
from termbase.wordlists.cutting import cut
from termbase.wordlists.parsing import parse, parse_page
from termbase.wordlists.patterns import (
    Abbreviation,
    Cutting,
    Ditto,
    DittoRepeats,
    Furniture,
    Labels,
    Layouts,
    LinePattern,
    Marks,
    in_languages,
)
from termbase.wordlists.stock import STOCK
from termbase.wordlists.suggesting import suggest

DATA = Path(__file__).parent / "data"
POCKET = in_languages(STOCK["pocket list"], "en", "cy")
TEXTS = st.one_of(
    st.text(max_size=200),
    st.lists(
        st.sampled_from(
            [
                "Hip", "s.", "v.", "m.", "pl.", "gw.", "see", "[strap]", "(", ")", "[", "]", ",", ";", ".",
                " ", " ", "\n", "\n  ", "″", "do.", "—", "1.", "2.", "/", "<n>", "<", "clun", '"', " - ", ":",
                "x-\n",
            ]
        ),
        max_size=60,
    ).map("".join),
)  # fmt: skip


def read(text: str, pattern: LinePattern = POCKET, previous: ParsedLine | None = None) -> ParsedLine:
    (line,) = cut(text, pattern)
    return parse(line, pattern, previous)


def records(page: str, pattern: LinePattern) -> list[ParsedLine]:
    return [parsed for _, parsed in parse_page(page, pattern) if parsed is not None]


def equivalents(text: str, pattern: LinePattern = POCKET) -> tuple[Equivalent, ...]:
    parsed = read(f"Hip, s. {text}", pattern)
    assert not parsed.troubles
    return parsed.senses[0].equivalents


@pytest.mark.parametrize("name", STOCK)
@given(transcription=TEXTS)
def test_no_text_makes_parsing_fail(name: str, transcription: str) -> None:
    for line, parsed in parse_page(transcription, STOCK[name]):
        assert (parsed is None) == (line.kind != "record")
        if parsed is not None:
            assert parsed.layout or parsed.troubles
            assert all(1 <= trouble.column <= len(line.text) + 1 for trouble in parsed.troubles)


@pytest.mark.parametrize("sign", [",", "(", " ", "[a] ", "s. ", "; ", "1. 2. ", "″", "/"])
def test_a_page_that_was_never_cut_is_refused_or_read_in_short_time(sign: str) -> None:
    for pattern in STOCK.values():
        assert len(records(sign * (19_000 // len(sign)), pattern)) <= 1
    assert "probably divided wrongly" in statement_text(read("Hip" + sign * 30_000 + "low").troubles[0].why)


def test_a_record_with_everything() -> None:
    parsed = read("Hip or Haunch /hɪp/, s. [strap] clun, f. (pl. cluniau), morddwyd, f.; gw. Hold")
    assert parsed == ParsedLine(
        headword="Hip",
        variants=("Haunch",),
        part_of_speech="noun",
        pronunciation="hɪp",
        style="strap",
        senses=(
            Sense(
                equivalents=(
                    Equivalent("clun", gender="feminine", forms=(ParsedForm("plural", "cluniau"),)),
                    Equivalent("morddwyd", gender="feminine"),
                ),
                see=("Hold",),
            ),
        ),
        printed=(
            Printed(("part_of_speech",), "s.", PrintedWhy.ABBREVIATION),
            Printed(("senses", 0, "equivalents", 0, "gender"), "f.", PrintedWhy.ABBREVIATION),
            Printed(("senses", 0, "equivalents", 1, "gender"), "f.", PrintedWhy.ABBREVIATION),
        ),
        layout=1,
        stem="Hip",
    )


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("clun", Equivalent("clun")),
        ("clun f.", Equivalent("clun", gender="feminine")),
        ("clun, f.", Equivalent("clun", gender="feminine")),
        ("sawdl, m.f.", Equivalent("sawdl", gender="masculine or feminine")),
        ("plant, m. plur.", Equivalent("plant", gender="masculine", number="plural")),
        ("clun, f. (-iau)", Equivalent("clun", gender="feminine", forms=(ParsedForm("", "-iau"),))),
        (
            "troed, f. (pl. traed, dim. troedig)",
            Equivalent("troed", "feminine",
                       forms=(ParsedForm("plural", "traed"), ParsedForm("diminutive", "troedig"))),
        ),
        ("clun, f., pl. cluniau", Equivalent("clun", gender="feminine",
                                               forms=(ParsedForm("plural", "cluniau"),))),
        ("clun (neu clunan), f.", Equivalent("clun", gender="feminine", variants=("clunan",))),
        ("clun, f. [open]", Equivalent("clun", gender="feminine", style="open")),
        ("clun, f. (ar lafar)", Equivalent("clun", gender="feminine", note="ar lafar")),
        ("pwyso 1,000 pwys", Equivalent("pwyso 1,000 pwys")),
    ],
)  # fmt: skip
def test_the_parts_of_an_equivalent(text: str, expected: Equivalent) -> None:
    assert equivalents(text) == (expected,)


def test_several_equivalents_are_parted_outside_brackets_only() -> None:
    assert [one.text for one in equivalents("codwm (a, b), cwymp, tafliad i lawr.")] == [
        "codwm",
        "cwymp",
        "tafliad i lawr",
    ]


@pytest.mark.parametrize(
    ("text", "glosses", "numbers"),
    [
        ("1. codwm, m. 2. (a defeat) colled, f.", ["", "a defeat"], ["1", "2"]),
        ("codwm, m.; colled, f.", ["", ""], ["", ""]),
        ("1. codwm; cwymp 2. colled", ["", ""], ["1", "2"]),
        ("codwm rhif 3. o bedwar", [""], [""]),
    ],
)
def test_senses_are_separated(text: str, glosses: list[str], numbers: list[str]) -> None:
    senses = read(f"Fall, s. {text}").senses
    assert [sense.gloss for sense in senses] == glosses
    assert [sense.number for sense in senses] == numbers


def test_each_sense_may_have_its_own_style() -> None:
    senses = read("Hold, s. 1. [strap] gafael, f. 2. [open] cofleidiad, m.").senses
    assert [sense.style for sense in senses] == ["strap", "open"]


@pytest.mark.parametrize(
    ("number", "text"),
    [
        ("1.", "1. codwm 2. colled"),
        ("1)", "1) codwm 2) colled"),
        ("(1)", "(1) codwm (2) colled"),
        ("a.", "a. codwm b. colled"),
        ("a)", "a) codwm b) colled"),
        ("(a)", "(a) codwm (b) colled"),
    ],
)
def test_senses_are_numbered_as_the_book_numbers_them(number: str, text: str) -> None:
    pattern = LinePattern("a book", layouts=Layouts(record=("HEADWORD: SENSES",)), marks=Marks(number))
    senses = read(f"Fall: {text}", pattern).senses
    assert [sense.equivalents[0].text for sense in senses] == ["codwm", "colled"]


def test_a_sense_number_out_of_order_is_reported() -> None:
    pattern = STOCK["two lines, with sound"]
    parsed = records("fall /fɔːl/\n1. codwm\n3. cwymp\n", pattern)[0]
    assert [statement_text(trouble.why) for trouble in parsed.troubles] == ["Sense 3 comes after sense 1."]
    assert [sense.number for sense in parsed.senses] == ["1", "3"]


@pytest.mark.parametrize(
    ("text", "see", "sense_see"),
    [
        ("Grip, see Hold.", ("Hold",), ()),
        ("Grip, s. gw. Hold", ("Hold",), ()),
        ("Grip, s. *see* Hold, Hip.", ("Hold", "Hip"), ()),
        ("Grip, s. gafael, f.; see also Hold.", (), ("Hold",)),
        ("Grip, s. gafael, f. (gw. Hold)", (), ("Hold",)),
        ("Grip, s. gafael, f. V. Hold.", (), ("Hold",)),
    ],
)
def test_cross_references_are_taken_out(text: str, see: tuple[str, ...], sense_see: tuple[str, ...]) -> None:
    parsed = read(text)
    assert not parsed.troubles
    assert parsed.see == see
    assert (parsed.senses[0].see if parsed.senses else ()) == sense_see


@pytest.mark.parametrize(
    ("repeats", "mark", "page", "headwords"),
    [
        ("headword", "—", "Hip throw = x\n— , inside = x\n— , outer = x",
         ["Hip throw", "Hip throw, inside", "Hip throw, outer"]),
        ("headword", "″", "Back = x\n″-heel = x\n″ hold = x", ["Back", "Back-heel", "Back hold"]),
        ("first word", "do.", "Hip throw = x\ndo. lift = x", ["Hip throw", "Hip lift"]),
        ("word for word", "”", "Hip throw low = x\n” ” high = x\n” lift = x",
         ["Hip throw low", "Hip throw high", "Hip lift"]),
        ("headword", ",,", "Hip = x\n,, low = x", ["Hip", "Hip low"]),
    ],
)  # fmt: skip
def test_a_ditto_mark_repeats_the_headword_or_part_of_it(
    repeats: DittoRepeats, mark: str, page: str, headwords: list[str]
) -> None:
    pattern = LinePattern(
        "a book", layouts=Layouts(record=("HEADWORD = SENSES",)), ditto=Ditto((mark,), repeats)
    )
    read_records = records(page, pattern)
    assert [parsed.headword for parsed in read_records] == headwords
    assert all(parsed.printed[0].why is PrintedWhy.DITTO for parsed in read_records[1:])
    assert read_records[1].printed[0].text == page.split("\n")[1].split(" = ")[0]


def test_ditto_marks_repeat_style_part_of_speech_and_equivalent() -> None:
    fall, foul = records("Fall, s. [strap] codwm, m.\nFoul, ″ [do.] — budr, m.", POCKET)
    assert (foul.part_of_speech, foul.style) == ("noun", "strap")
    assert foul.senses[0].equivalents[0].text == f"{fall.senses[0].equivalents[0].text} budr"
    assert {one.part for one in foul.printed if one.why is PrintedWhy.DITTO} == {
        ("part_of_speech",),
        ("style",),
        ("senses", 0, "equivalents", 0),
    }


def test_a_ditto_mark_with_nothing_above_is_reported_and_kept() -> None:
    parsed = read("— low, s. [″] clun, f.")
    assert parsed.headword == "— low"
    assert [trouble.column for trouble in parsed.troubles] == [1, 12]


def test_a_ditto_mark_below_an_unread_line_is_not_guessed() -> None:
    parsed = records("Fall, s. codwm\nLift, q. codi\n— low, s. codi", POCKET)[2]
    assert parsed.headword == "— low"
    assert statement_text(parsed.troubles[0].why) == "A ditto mark has nothing above it to repeat."


def test_what_no_layout_fits_is_kept_with_place_and_reason() -> None:
    parsed = read("Lift, q. [open] codi.")
    assert (parsed.headword, parsed.rest, parsed.layout) == ("Lift", "q. [open] codi.", 0)
    (trouble,) = parsed.troubles
    assert trouble.column == 7
    assert (
        statement_text(trouble.why)
        == "There should be the part of speech here, but it says “q. [open] codi.”."
    )


def test_a_bracket_without_its_other_half_is_named() -> None:
    parsed = read("Throw, s. tafliad, m. (pl. tafliadau")
    assert parsed.headword == "Throw"
    assert [(trouble.column, statement_text(trouble.why)) for trouble in parsed.troubles] == [
        (23, "The bracket “(” has no matching bracket.")
    ]


def test_an_unknown_label_is_named_and_kept() -> None:
    pattern = STOCK["two lines, labels in angle brackets"]
    (parsed,) = records("mass /mas/ <n>\nmàs <n, s, g>\n", pattern)
    assert parsed.senses[0].equivalents[0].note == "g"
    assert statement_text(parsed.troubles[0].why) == "“g” is not in the tables of abbreviations."


def test_a_line_at_the_top_that_continues_the_last_page_is_reported() -> None:
    parsed = records("  the belt.\nHip, s. clun\n", STOCK["hanging list"])
    assert parsed[0].rest == "the belt."
    assert "continues an earlier record" in statement_text(parsed[0].troubles[0].why)
    assert not parsed[1].troubles


def test_furniture_is_not_parsed() -> None:
    (line,) = cut("B.", POCKET)
    assert (
        statement_text(parse(line, POCKET, None).troubles[0].why) == "This is page furniture, not a record."
    )


def test_phrases_are_listed_under_their_sense() -> None:
    page = (
        'gafael <b> (gafaelion)\n1. hold\n      "colli gafael"  (ar)  - lose hold, slip\n'
        "2. tro gafael - turn\n"
    )
    (parsed,) = records(page, in_languages(STOCK["two lines, phrases below"], "br", "cy"))
    assert not parsed.troubles
    assert (parsed.part_of_speech, parsed.gender) == ("noun", "feminine")
    assert parsed.forms == (ParsedForm("plural or singulative", "gafaelion"),)
    assert parsed.senses == (
        Sense(
            number="1",
            equivalents=(Equivalent("hold"),),
            phrases=(
                Phrase("colli gafael", (), (Equivalent("lose hold"), Equivalent("slip")), "ar"),
            ),
        ),
        Sense(number="2", phrases=(Phrase("tro gafael", (), (Equivalent("turn"),)),)),
    )  # fmt: skip


def test_two_genders_are_both_kept() -> None:
    (parsed,) = records("antre <g, b>\nentry\n", in_languages(STOCK["two lines, phrases below"], "br", "en"))
    assert parsed.gender == "masculine or feminine"


def test_an_explanation_can_precede_a_colon() -> None:
    (parsed,) = records("Hip, s. [strap] the side\nof the body: clun, f.\n", STOCK["paragraphs"])
    assert parsed.senses[0].gloss == "the side of the body"
    assert parsed.senses[0].equivalents == (Equivalent("clun", gender="feminine"),)


def test_style_labels_are_written_in_full_from_the_table() -> None:
    pattern = replace(POCKET, labels=replace(POCKET.labels, style=(Abbreviation("st.", "strap"),)))
    parsed = read("Hip, s. [st.] clun", pattern)
    assert parsed.style == "strap"
    assert Printed(("style",), "st.", PrintedWhy.ABBREVIATION) in parsed.printed


def test_the_first_layout_that_fits_without_trouble_is_taken() -> None:
    pattern = LinePattern(
        "a book",
        layouts=Layouts(record=("HEADWORD <POS> SENSES", "HEADWORD <NOTE> SENSES")),
        labels=Labels(part_of_speech=(Abbreviation("n", "noun"),)),
    )
    assert read("hip <n> clun", pattern).layout == 1
    other = read("hip <old> clun", pattern)
    assert (other.layout, other.note) == (2, "old")


@pytest.mark.parametrize(
    ("layouts", "what"),
    [
        (Layouts(record=("HEADWORD, POS SENSES",)), "there are no abbreviations for it"),
        (Layouts(record=("SENSES",)), "has no HEADWORD"),
        (Layouts(record=("HEADWORDSENSES",)), "HEADWORDSENSES is not a part of a record"),
        (Layouts(record=("HEADWORD{VARIANTS}, SENSES",)), "next to each other"),
        (Layouts(record=("HEADWORD{, SENSES",)), "is not closed"),
        (Layouts(record=("HEADWORD}, SENSES",)), "closing brace at column 9"),
        (Layouts(record=()), "There is no layout for a record"),
        (Layouts(equivalent=("NOTE",)), "has no TEXT"),
    ],
)
def test_a_layout_that_cannot_be_read_says_why(layouts: Layouts, what: str) -> None:
    with pytest.raises(BadInput, match=what):
        read("hip clun", LinePattern("a book", layouts=layouts))


def test_a_printed_brace_is_written_twice() -> None:
    pattern = LinePattern("a book", layouts=Layouts(record=("HEADWORD {{NOTE}} SENSES",)))
    assert read("hip {old} clun", pattern).note == "old"


def test_the_invented_pocket_list_page_shows_each_feature() -> None:
    pattern = replace(POCKET, furniture=Furniture(("Field Games",), True, True))
    page = {
        parsed.headword: parsed
        for parsed in records((DATA / "pocket-list-page.txt").read_text(encoding="utf-8"), pattern)
    }
    assert page["Boxer"].variants == ("Pugilist",)
    assert page["Boxing"].style == "boxing"
    assert [sense.number for sense in page["Fall"].senses] == ["1", "2"]
    assert page["Fall, fair"].senses[0].equivalents[0].text == "codwm teg"
    assert page["Fall, foul"].senses[0].see == ("Foul",)
    assert page["Grip"].see == ("Hold",)
    assert page["Hip"].pronunciation == "hɪp"
    assert page["Hold"].senses[1].equivalents[0].text == "cofleidiad"
    assert {headword for headword, parsed in page.items() if parsed.troubles} == {"Lift", "Throw"}


def test_the_invented_hanging_list_page_shows_each_feature() -> None:
    pattern = replace(STOCK["hanging list"], furniture=Furniture(("Field Games",), True, True))
    text = (DATA / "hanging-list-page.txt").read_text(encoding="utf-8")
    page = {parsed.headword: parsed for parsed in records(text, pattern)}
    assert [one.text for one in page["Knee"].senses[0].equivalents] == ["glin", "pen-glin"]
    assert page["Knee, bent"].senses[0].equivalents == (Equivalent("glin blyg", gender="masculine"),)
    assert page["Referee"].senses[0].equivalents[0].forms == (ParsedForm("plural", "dyfarnwyr"),)
    assert [sense.style for sense in page["Wrestle"].senses] == ["strap", "open"]
    assert [parsed.headword for parsed in page.values() if parsed.troubles] == [""]


COLUMNS = """belt            gwregys, m.
back-heel       bachiad sawdl
bout            gornest, ymryson
fall            cwymp; codwm
"""
LABELLED_COLUMNS = """Belt, s.        gwregys, m.
Back-heel, s.   bachiad sawdl, m.
Bout, s.        gornest, f.
"""


@pytest.mark.parametrize(
    ("page", "name", "entries"),
    [
        ((DATA / "pocket-list-page.txt").read_text(encoding="utf-8"), "pocket list", 12),
        ((DATA / "hanging-list-page.txt").read_text(encoding="utf-8"), "hanging list", 7),
        ("Hip – clun\nFist – dwrn\nFall – codwm, cwymp\n", "bare pairs", 3),
        ("hip\nclun\nfist\ndwrn\n", "two lines", 2),
        (COLUMNS, "two columns", 4),
        (COLUMNS.replace("    ", "\t"), "two columns", 4),
    ],
    ids=["pocket list", "hanging list", "bare pairs", "two lines", "two columns", "tabs"],
)
def test_the_starting_pattern_that_suits_a_page_is_suggested_first(
    page: str, name: str, entries: int
) -> None:
    ranked = suggest(page, "en", "cy")
    assert (ranked[0].name, ranked[0].entries) == (name, entries)
    assert {one.name for one in ranked} == set(STOCK)
    assert all(one.entries <= one.records for one in ranked)
    assert len(ranked[0].samples) == min(3, entries)
    assert all(sample.entry and sample.equivalents for sample in ranked[0].samples)


def test_a_whole_page_taken_for_one_record_does_not_look_like_an_entry() -> None:
    ranked = {one.name: one for one in suggest(LABELLED_COLUMNS, "en", "cy")}
    assert next(iter(ranked)) in ("hanging list", "pocket list", "two columns")
    assert (ranked["paragraphs"].records, ranked["paragraphs"].entries) == (1, 0)
    assert [sample.entry for sample in ranked["paragraphs"].samples] == [False]


def test_a_page_without_records_has_no_entry_by_any_pattern() -> None:
    assert {one.entries for one in suggest("\n\n")} == {0}


def test_a_third_column_is_a_note() -> None:
    parsed = read("belt, s.\tgwregys, m.\tworn low", in_languages(STOCK["two columns"], "en", "cy"))
    assert (parsed.headword, parsed.part_of_speech, parsed.note) == ("belt", "noun", "worn low")
    assert parsed.senses[0].equivalents == (Equivalent("gwregys", gender="masculine"),)


def test_cutting_and_parsing_take_the_same_line_for_the_end() -> None:
    pattern = LinePattern("a book", cutting=Cutting(end="."), layouts=Layouts(record=("HEADWORD = SENSES",)))
    assert read("hip = clun.", pattern).senses[0].equivalents == (Equivalent("clun"),)
    assert read("hip = clun", pattern).senses[0].equivalents == (Equivalent("clun"),)
