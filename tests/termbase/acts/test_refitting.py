"""Applying a changed line pattern to existing lines."""

from dataclasses import replace

import pytest

from termbase.acts import pages as page_acts
from termbase.acts.pages import reopen
from termbase.acts.refitting import PagesPreview, refit, refitted, refitted_pages, reparse
from termbase.acts.sources import save_source
from termbase.errors import InUse
from termbase.record.lines import ParsedLine
from termbase.record.pages import Line, LineState, Page
from termbase.record.sources import Source
from termbase.store.engine import Store
from termbase.store.reading import Reader
from termbase.wordlists.pattern_files import write_pattern
from termbase.wordlists.patterns import LinePattern
from termbase.wordlists.stock import STOCK
from tests.wordlists import word_list_page

BARE = STOCK["bare pairs"]
POCKET = STOCK["pocket list"]
TEXT = "belt, s. gwregys, m.\nbout, s. gornest, f.\nduck, v. gostwng\nfall, s. cwymp, m.,\n  pl. cwympau\n"


@pytest.fixture
def page(store: Store) -> Page:
    with store.act("Nia", "entered a page") as act:
        return word_list_page(act, TEXT, pattern=BARE)


def lines_of(reader: Reader, page: Page) -> list[Line]:
    return sorted(reader.all(Line, page_id=page.id), key=lambda line: line.position)


def change_pattern(store: Store, page: Page, pattern: LinePattern) -> int:
    with store.act("Nia", "changed the pattern") as act:
        source = act.get(Source, page.source_id)
        save_source(act, replace(source, pattern=write_pattern(pattern)))
        return refit(act, page.id)


def test_open_lines_are_parsed_again_and_others_stay(store: Store, page: Page) -> None:
    with store.read() as reader:
        belt, bout, duck, *_ = lines_of(reader, page)
    with store.act("Nia", "worked") as act:
        page_acts.set_aside(act, belt.id, "repeated")
        page_acts.correct(act, bout.id, ParsedLine(headword="bout"))
    assert change_pattern(store, page, POCKET) == 2
    with store.read() as reader:
        now = lines_of(reader, page)
    assert now[0].state is LineState.SET_ASIDE
    assert now[1].parsed == ParsedLine(headword="bout")
    assert now[2].parsed is not None
    assert (now[2].id, now[2].state, now[2].parsed.part_of_speech) == (duck.id, LineState.NEW, "verb")


def test_the_preview_says_what_would_change(store: Store, page: Page) -> None:
    with store.read() as reader:
        old = lines_of(reader, page)
    preview = refitted(page, old, POCKET)
    assert (len(preview.changed), preview.cut_anew, preview.possible) == (4, False, True)
    assert [after.state for _, after in preview.changed][:3] == [LineState.NEW] * 3
    with store.read() as reader:
        assert lines_of(reader, page) == old
    assert change_pattern(store, page, POCKET) == len(preview.changed)


def test_a_different_division_is_refused_while_lines_are_worked(store: Store, page: Page) -> None:
    hanging = STOCK["hanging list"]
    with store.read() as reader:
        old = lines_of(reader, page)
    preview = refitted(page, old, hanging)
    assert (preview.cut_anew, preview.possible) == (True, True)
    assert [line.text for line in preview.gone] == ["fall, s. cwymp, m.,\n", "  pl. cwympau\n"]
    with store.act("Nia", "worked") as act:
        page_acts.set_aside(act, old[0].id, "repeated")
    with pytest.raises(InUse, match="have already been worked"):
        change_pattern(store, page, hanging)
    with store.act("Nia", "reopened") as act:
        reopen(act, old[0].id)
    assert change_pattern(store, page, hanging) == 4
    with store.read() as reader:
        assert [line.first for line in lines_of(reader, page)] == [1, 2, 3, 4]


def test_the_beginning_of_a_long_page_can_be_previewed_alone(store: Store) -> None:
    text = "\n".join(f"word{n}, s. gair{n}, m." for n in range(1000))
    page = Page("w1", "s1", "1", text)
    assert len(refitted(page, [], POCKET, upto=50).lines) == 50


def test_a_single_line_can_be_parsed_again() -> None:
    read = reparse(Line("l1", "w1", 1, "belt, s. gwregys, m.\n"), POCKET)
    assert read is not None
    assert (read.headword, read.part_of_speech) == ("belt", "noun")


def test_the_effect_of_a_pattern_on_several_pages_is_counted(store: Store, page: Page) -> None:
    with store.act("Nia", "entered more pages") as act:
        short = page_acts.add_page(act, page.source_id, "42", "duck, v. gostwng\n")
        long = page_acts.add_page(act, page.source_id, "43", TEXT * 3)
        page_acts.set_aside(act, act.all(Line, page_id=short.id)[0].id, "too general")
    with store.read() as reader:
        first = refitted(page, reader.all(Line, page_id=page.id), POCKET)
        counted = refitted_pages(reader, (page, short, long), POCKET, most=10)
        assert counted == PagesPreview(1, len(first.changed), unseen=1)
        assert counted.changed > 0
        cut_otherwise = refitted_pages(reader, (page,), STOCK["hanging list"], most=10)
        assert (cut_otherwise.pages, cut_otherwise.gone) == (1, 2)
        assert refitted_pages(reader, (short,), BARE, most=10) == PagesPreview()


def test_pages_with_worked_lines_in_the_way_are_named(store: Store, page: Page) -> None:
    with store.act("Nia", "set one aside") as act:
        page_acts.set_aside(act, act.all(Line, page_id=page.id)[-1].id, "too general")
    with store.read() as reader:
        assert refitted_pages(reader, (page,), STOCK["hanging list"], most=10).in_the_way == (page.number,)
