"""Trimming a page by keyboard alone, and the accessibility of its three groups."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from playwright.sync_api import Page, expect

from termbase.acts import pages as page_acts
from termbase.acts.rules import save_code
from termbase.demo.loading import load
from termbase.record.entries import Entry
from termbase.record.pages import Line, LineState
from termbase.store.engine import Store
from tests.wordlists import described_entry, word_list_page

TEXT = (
    "shin-kick, s. [strap] cic grimog, f.\nankle-kick, s. [strap] cic ffer, f.\n"
    "back-heel, s. [strap] bachiad sawdl, m.\ncounter, s. [box] gwrthergyd, m.\n"
)


@pytest.fixture
def trimmed(store: Store) -> Store:
    """A page with two kicks that are open, one that is attached, and the Fair rules."""
    demo = load()
    techniques = {e.id: e.technique for e in demo.entries}
    with store.act("Gwen Pritchard", "entered a page") as act:
        save_code(act, replace(next(c for c in demo.codes if c.id == "r1"), id="", version=0))
        for english, welsh, known in (
            ("shin-kick", "cic grimog", "c0043"),
            ("ankle-kick", "cic ffer", "c0044"),
            ("back-heel", "bachiad sawdl", "c0015"),
        ):
            described_entry(act, english, welsh, techniques[known])
        word_list_page(act, TEXT + "shin kicks, s. ciciau grimog, f.\n")
    with store.act("Gwen Pritchard", "attached") as act:
        page_acts.attach(act, "l5", "c0001")
    return store


def aside(store: Store) -> list[str]:
    with store.read() as reader:
        return [line.id for line in reader.all(Line) if line.state is LineState.SET_ASIDE]


def test_a_page_is_trimmed_and_undone_by_keyboard_alone(page: Page, live_server: str, trimmed: Store) -> None:
    page.goto(f"{live_server}/pages/w1")
    page.keyboard.press("t")
    expect(page.get_by_role("heading", level=1)).to_have_text("Trim page 41 of Glan 1898")
    button = page.locator("[data-count-ticked]")
    expect(button).to_have_text("Set aside the ticked lines: 2")
    page.keyboard.press("j")
    page.keyboard.press("j")
    page.keyboard.press("x")  # not the ankle-kick
    expect(button).to_have_text("Set aside the ticked lines: 1")
    page.keyboard.press("j")
    page.keyboard.press("x")  # a note on the entry of the line that has one
    expect(button).to_have_text("Set aside the ticked lines: 1; notes on entries: 1")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#undo-bar")).to_contain_text("Trimmed page 41 of Glan 1898")
    assert aside(trimmed) == ["l1"]
    with trimmed.read() as reader:
        assert reader.get(Entry, "c0001").editor_note.startswith("Trimmed: breaks the rules")
        assert reader.get(Line, "l5").state is LineState.ATTACHED
    page.keyboard.press("u")
    expect(page.locator(".strip").first).to_contain_text("0 already set aside")
    assert aside(trimmed) == []


def test_typing_filters_the_lines_and_a_key_ticks_all(page: Page, live_server: str, trimmed: Store) -> None:
    page.goto(f"{live_server}/pages/w1/trim")
    page.keyboard.press("f")
    page.keyboard.type("ankle")
    expect(page.locator(".trim-line")).to_have_count(1)
    expect(page.locator("[data-count-ticked]")).to_have_text("Set aside the ticked lines: 1")
    assert "holding=ankle" in page.url
    page.keyboard.press("Escape")
    page.keyboard.press("a")
    expect(page.locator("[data-count-ticked]")).to_have_text("Set aside the ticked lines: 0")
    page.keyboard.press("a")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#undo-bar")).to_contain_text("Trimmed")
    assert aside(trimmed) == ["l2"]


def test_a_key_removes_the_names_that_a_line_added(page: Page, live_server: str, trimmed: Store) -> None:
    page.goto(f"{live_server}/pages/w1?at=5")
    expect(page.locator(".acts")).to_contain_text("remove what it added")
    page.keyboard.press("Shift+R")
    expect(page.locator("#desk-strip")).to_contain_text("0 done")
    with trimmed.read() as reader:
        assert [t.text for t in reader.get(Entry, "c0001").terms] == ["shin-kick", "cic grimog"]


@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("path", ["/pages/w1/trim", "/pages/trim/s1?out=box&lot=goes"])
def test_it_is_accessible_and_no_wider_than_the_screen(
    page: Page, live_server: str, trimmed: Store, violations: Callable[[Page], list[object]],
    width: int, path: str,
) -> None:  # fmt: skip
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(live_server + path)
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
