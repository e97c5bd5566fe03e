"""Lines of a word-list under a rule code: to keep, to set aside, or open, and why."""

from dataclasses import replace

import pytest

from termbase.codes.lines import Problem
from termbase.codes.wording import statement_text
from termbase.demo.loading import load
from termbase.judging.deciding import judge
from termbase.record.entries import Ruling, Topic
from termbase.record.lines import Equivalent, ParsedLine, Sense, Trouble
from termbase.record.pages import Line, LineState
from termbase.wordlists.trimming import (
    Group,
    JudgedLine,
    JudgedSense,
    LineLink,
    LinkKind,
    Standing,
    filter_lines,
    labels_of,
    reason_set_aside,
    sense_link_text,
    standing_reasons,
    trimmed_line,
    what_to_find_out,
    with_other_styles,
)

DEMO = load()
FAIR = next(code for code in DEMO.codes if code.id == "r1")
PROFILES = {e.id: e.technique for e in DEMO.entries}


def standing(entry_id: str, name: str = "") -> Standing:
    profile = PROFILES[entry_id]
    assert profile is not None
    return Standing(entry_id, name, verdict=judge(profile, FAIR))


KICK, HEEL = standing("c0043", "shin-kick"), standing("c0015", "back-heel")
SMOCK = Standing("c0002", "smock", Topic.GARMENT)
UNSAID = Standing("c0003", "twist", Topic.THROW)
KNOWN = {s.entry_id: s for s in (KICK, HEEL, SMOCK, UNSAID)}


def line(parsed: ParsedLine | None, state: LineState = LineState.NEW) -> Line:
    return Line("l1", "w1", 1, "shin-kick, s.", parsed=parsed, state=state)


def resembling(*ids: str, whole: bool = True) -> LineLink:
    return LineLink(LinkKind.RESEMBLES, ids, "same English name", whole)


PLAIN = ParsedLine("shin-kick", style="strap", senses=(Sense(equivalents=(Equivalent("cic"),)),))
TWO = ParsedLine("kick", senses=(Sense("1", style="strap"), Sense("2", style="box")))


@pytest.mark.parametrize(
    ("ids", "lot"),
    [
        (("c0043",), Group.GOES),
        (("c0015",), Group.STAYS),
        (("c0003",), Group.OPEN),
        (("c0002",), Group.OPEN),
        (("c0043", "c0015"), Group.OPEN),
        (("c0043", "c0043"), Group.GOES),
        ((), Group.OPEN),
    ],
    ids=["breaks", "fits", "not described", "garment", "entries differ", "entries agree", "no entry"],
)
def test_a_line_gets_the_group_of_the_entry_it_is_judged_through(ids: tuple[str, ...], lot: Group) -> None:
    assert trimmed_line(line(PLAIN), (resembling(*ids),), KNOWN).lot is lot


@pytest.mark.parametrize(
    ("second", "lot"), [("c0043", Group.GOES), ("c0015", Group.STAYS), ("c0003", Group.OPEN)]
)
def test_a_line_is_set_aside_only_if_every_sense_is(second: str, lot: Group) -> None:
    found = trimmed_line(line(TWO), (resembling("c0043"), resembling(second)), KNOWN)
    assert found.lot is lot
    assert [(s.number, s.label) for s in found.senses] == [("1", "strap"), ("2", "box")]


def test_a_ruling_overrides_the_verdict_and_both_are_reported() -> None:
    ruled = replace(KICK, ruling=Ruling("r1", "fits", "Nia", "2024-05-01", "The source means a trip."))
    found = trimmed_line(line(PLAIN), (resembling("c0043"),), {"c0043": ruled})
    assert found.lot is Group.STAYS
    assert standing_reasons(ruled) == (
        "Ruled by Nia: The source means a trip.",
        "Verdict without the ruling: breaks the rules.",
    )


def test_a_label_is_not_a_reason_until_it_is_marked_as_another_style() -> None:
    found = trimmed_line(line(replace(PLAIN, style="box")), (LineLink(),), KNOWN)
    assert found.lot is Group.OPEN
    said = with_other_styles(found, ("box",))
    assert said.lot is Group.GOES
    assert (
        statement_text(reason_set_aside(said, "Fair rules")) == "another style, according to its label “box”"
    )
    assert with_other_styles(found, ("strap",)) == found


def test_a_label_counts_for_its_own_sense_only() -> None:
    found = trimmed_line(line(TWO), (resembling("c0015"), LineLink()), KNOWN)
    assert with_other_styles(found, ("box",)).lot is Group.STAYS
    assert with_other_styles(found, ("strap", "box")).lot is Group.GOES


def test_labels_of_a_line_that_was_not_read_cleanly_are_ignored() -> None:
    torn = replace(PLAIN, style="box", troubles=(Trouble(3, Problem.NOTHING_BETWEEN()),))
    found = trimmed_line(line(torn, LineState.UNPARSED), (LineLink(),), KNOWN)
    assert with_other_styles(found, ("box",)).lot is Group.OPEN


def test_the_reason_names_the_code_the_entry_and_every_breach() -> None:
    found = trimmed_line(line(PLAIN), (resembling("c0043"),), KNOWN)
    why = statement_text(reason_set_aside(found, "Fair rules"))
    assert why.startswith("breaks the rules under Fair rules, judged as c0043 shin-kick: same English name: ")
    assert KICK.verdict is not None
    assert KICK.verdict.breaches
    assert all(said in why for said in standing_reasons(KICK))


def test_a_verdict_based_on_the_headword_alone_is_not_certain() -> None:
    assert trimmed_line(line(PLAIN), (resembling("c0043"),), KNOWN).certain
    assert not trimmed_line(line(PLAIN), (resembling("c0043", whole=False),), KNOWN).certain


@pytest.mark.parametrize(
    ("parsed", "tie", "said"),
    [
        (None, LineLink(), "The line was not read cleanly: correct the reading first."),
        (
            replace(PLAIN, troubles=(Trouble(3, Problem.NOTHING_BETWEEN()),)),
            LineLink(),
            "The line was not read cleanly (There is nothing between two marks here): correct",
        ),
        (ParsedLine(style="box"), LineLink(), "No headword was read"),
        (ParsedLine("sash", see=("belt",)), LineLink(), "Only a cross-reference to “belt”"),
        (PLAIN, LineLink(), "No entry has this name"),
        (PLAIN, resembling("c0043", "c0015"), "The entries differ under this code"),
    ],
    ids=["nothing", "trouble", "no headword", "reference", "no entry", "two entries"],
)
def test_an_open_line_says_what_to_find_out(parsed: ParsedLine | None, tie: LineLink, said: str) -> None:
    found = trimmed_line(line(parsed), (tie,), KNOWN)
    assert found.lot is Group.OPEN
    assert what_to_find_out(found, found.senses[0])[0].startswith(said)


def test_a_topic_that_is_not_an_action_is_left_to_the_person() -> None:
    assert "topic is “garment”" in standing_reasons(SMOCK)[0]
    assert "not described" in standing_reasons(UNSAID)[0]


@pytest.mark.parametrize(
    ("tie", "said"),
    [
        (LineLink(LinkKind.MADE, ("c0043",)), "created c0043 shin-kick"),
        (LineLink(LinkKind.ATTACHED, ("c0043",)), "attached to c0043 shin-kick"),
        (resembling("c0043", "c0015"), "judged as c0043 shin-kick or c0015 back-heel: same English name"),
        (LineLink(), ""),
    ],
    ids=["made", "attached", "resembles", "nothing"],
)
def test_the_text_says_what_a_line_is_judged_through(tie: LineLink, said: str) -> None:
    sense = JudgedSense("", "", other_style=False, tie=tie, standings=tuple(KNOWN[i] for i in tie.entry_ids))
    assert sense_link_text(sense) == said


def test_lines_are_filtered_by_group_label_text_and_entries() -> None:
    goes = trimmed_line(line(PLAIN), (resembling("c0043"),), KNOWN)
    made = JudgedLine(replace(goes.line, id="l2", text="twist", entry_ids=("c0003",)), ())
    both = (goes, made)
    assert filter_lines(both) == both
    assert (
        filter_lines(both, lot="goes")
        == filter_lines(both, label="strap")
        == filter_lines(both, entries="no")
        == (goes,)
    )
    assert filter_lines(both, holding="TWI") == filter_lines(both, entries="yes") == (made,)


def test_a_label_of_the_whole_line_applies_to_senses_without_a_label() -> None:
    assert labels_of(replace(TWO, style="all", senses=(Sense(), Sense(style="box")))) == ("all", "box")
    assert labels_of(ParsedLine("x", style="all")) == ("all",)
    assert labels_of(None) == ("",)
