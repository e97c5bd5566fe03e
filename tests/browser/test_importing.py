"""Importing a table in a browser by keyboard only; accessibility of the pages (axe-core)."""

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from termbase.record.entries import Entry
from termbase.store.engine import Store

TABLE = "English,Welsh,Remark,topic\nbelt grip,gafael gwregys,x,hold\nneck reap,medi gwddf,y,trip\n"
WORKS = "@book{penry, shorthand={Penry 1871}, title={Words of the Ring}, date={1871}, doi={10.1/x}}\n"


@pytest.fixture
def store(demo_store: Store) -> Store:
    return demo_store


@pytest.fixture
def table(tmp_path: Path) -> Path:
    """A table in CSV."""
    (tmp_path / "list.csv").write_text(TABLE, encoding="utf-8")
    return tmp_path / "list.csv"


def test_a_table_is_imported_by_keyboard(page: Page, live_server: str, table: Path, store: Store) -> None:
    page.goto(f"{live_server}/exchange")
    page.set_input_files("#file", table)
    page.keyboard.press("Control+Enter")
    expect(page.locator("#column-0")).to_have_value("names:en")
    expect(page.locator("#column-2")).to_have_value("")
    page.focus("#default-origin")
    page.keyboard.type("word")
    expect(page.locator("#default-origin")).to_have_value("word-list")
    page.keyboard.press("Control+Enter")
    expect(page.get_by_text("belt grip")).to_be_visible()
    page.keyboard.press("Control+Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("list.csv has been imported")
    with store.read() as reader:
        assert any(term.text == "medi gwddf" for entry in reader.all(Entry) for term in entry.terms)


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (390, "dark")])
def test_axe_finds_nothing_wrong(
    page: Page,
    live_server: str,
    violations: Callable[[Page], list[object]],
    tmp_path: Path,
    width: int,
    scheme: str,
) -> None:
    page.set_viewport_size({"width": width, "height": 800})
    page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")

    def checked() -> None:
        assert violations(page) == []
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")

    page.goto(f"{live_server}/exchange")
    checked()
    several = tmp_path / "several.csv"
    several.write_text(TABLE.replace("gafael gwregys", '"gafael gwregys, gafael"'), encoding="cp1252")
    page.set_input_files("#file", several)
    page.keyboard.press("Control+Enter")
    expect(page.locator("#column-0")).to_be_visible()
    checked()
    page.click("button.main:has-text('Preview')")
    expect(page.locator("#split-1-error")).to_be_visible()
    checked()
    page.select_option("#split-1", "several")
    page.select_option("#default-origin", "word-list")
    page.click("button.main:has-text('Preview')")
    expect(page.get_by_text("belt grip")).to_be_visible()
    checked()
    (tmp_path / "a.bib").write_text(WORKS, encoding="utf-8")
    page.goto(f"{live_server}/exchange")
    page.set_input_files("#file", tmp_path / "a.bib")
    page.keyboard.press("Control+Enter")
    expect(page.get_by_text("Words of the Ring")).to_be_visible()
    checked()
