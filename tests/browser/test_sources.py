"""Sources, slips, Proof and Publish in a browser: by keyboard, and accessible."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from termbase.demo.loading import load
from termbase.record.sources import Slip
from termbase.store.engine import Store

PAGES = (
    "/sources", "/sources/s1", "/sources/s4", "/sources/new", "/sources/s1/slips/new", "/sources/slips",
    "/sources/unsorted", "/sources/witnesses/t35", "/proof", "/proof?check=open-verdict", "/publish",
    "/publish/termbase", "/reading",
)  # fmt: skip


@pytest.fixture
def store(demo_store: Store) -> Store:
    return demo_store


def slips_of(store: Store) -> tuple[Slip, ...]:
    with store.read() as reader:
        return reader.all(Slip)


@pytest.mark.parametrize("path", PAGES)
def test_pages_are_accessible_in_light_and_dark_and_on_a_narrow_screen(
    page: Page, live_server: str, violations: Callable[[Page], list[object]], path: str
) -> None:
    page.goto(f"{live_server}{path}")
    assert violations(page) == []
    page.emulate_media(color_scheme="dark")
    assert violations(page) == []
    page.set_viewport_size({"width": 360, "height": 800})
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")


def test_a_slip_is_added_without_leaving_the_keyboard(page: Page, live_server: str, store: Store) -> None:
    page.goto(f"{live_server}/sources/s1")
    page.keyboard.press("a")
    expect(page.locator("#text")).to_be_focused()
    page.keyboard.type("Wain fell to a fachiad sawdl of the best")
    page.locator("#text").evaluate("field => field.setSelectionRange(15, 28)")
    page.keyboard.press("Alt+n")
    expect(page.locator("#name")).to_have_value("fachiad sawdl")
    expect(page.locator("#name")).to_be_focused()
    expect(page.locator("#offers")).to_contain_text("bachiad sawdl")
    page.keyboard.press("ArrowDown")
    expect(page.locator("#offers input").nth(1)).to_be_checked()
    page.locator("#page").fill("3")
    page.keyboard.press("Control+Enter")

    expect(page.locator("#undo-bar")).to_contain_text("Added a slip from Advertiser: fachiad sawdl.")
    expect(page.locator("#text")).to_be_focused()
    expect(page.locator("#page")).to_have_value("3")
    slip = slips_of(store)[-1]
    assert (slip.name, slip.text) == ("fachiad sawdl", "Wain fell to a fachiad sawdl of the best")
    assert slip.term_id


def test_a_date_is_shown_in_words_while_it_is_typed(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/sources/new")
    page.locator("#issued").fill("189X")
    words = page.locator("[data-edtf-words=issued]")
    expect(words).to_have_text("between 1890 and 1899")

    page.locator("#issued").fill("about 1898")

    expect(words).to_contain_text("Write 1898~")


def test_unsorted_slips_are_sorted_with_digit_keys(page: Page, live_server: str, store: Store) -> None:
    waiting = [slip.id for slip in slips_of(store) if not slip.term_id]
    page.goto(f"{live_server}/sources/unsorted")
    expect(page.locator(f"#{waiting[0]}")).to_be_visible()

    page.keyboard.press("1")

    expect(page.locator(f"#{waiting[1]}")).to_be_visible()
    assert [slip.id for slip in slips_of(store) if not slip.term_id] == waiting[1:]
    page.keyboard.press("u")
    expect(page.locator("#undo-bar")).to_contain_text("Undid")
    assert [slip.id for slip in slips_of(store) if not slip.term_id] == waiting


def test_a_list_is_filtered_while_typing_and_its_state_is_in_the_address(
    page: Page, live_server: str
) -> None:
    page.goto(f"{live_server}/sources")
    page.keyboard.press("f")
    page.keyboard.type("lantern")

    expect(page.locator("#rows tbody tr")).to_have_count(1)
    expect(page).to_have_url(f"{live_server}/sources?find=lantern")
    page.reload()
    expect(page.locator("#rows tbody tr")).to_have_count(1)


def test_findings_are_filtered_while_typing(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/proof")
    page.keyboard.press("f")
    page.keyboard.type("sack-lift")

    expect(page.locator("#rows")).to_contain_text("There is no name in Welsh.")
    expect(page.locator("#rows")).not_to_contain_text("toe-stop")


def test_creating_a_file_shows_a_progress_bar_and_the_report_is_a_table(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/publish")
    page.keyboard.press("x")

    expect(page.locator(".said")).to_contain_text("The file was checked", timeout=30_000)
    page.get_by_role("link", name="What this format leaves out").click()
    expect(page.get_by_role("columnheader", name="Left out")).to_be_visible()


def test_a_text_is_read_and_slips_are_added_by_keyboard(page: Page, live_server: str, store: Store) -> None:
    page.goto(f"{live_server}/reading")
    report = next(r for r in load().reports if r.name == "lantern-1879-07-26")
    page.locator("#source").select_option(report.source_id)
    page.locator("#text").fill(report.text)
    page.locator("#text").press("Control+Enter")
    expect(page.locator("[data-sentence].now")).to_have_count(1)
    before = len(slips_of(store))

    page.keyboard.press("j")
    page.keyboard.press("k")
    page.keyboard.press("1")

    expect(page.locator("#undo-bar")).to_contain_text("Added a slip from Lantern")
    assert len(slips_of(store)) == before + 1
    expect(page.locator("#n0")).to_contain_text("slip q")
    expect(page.locator("#n0")).to_have_class("opens has-slip now")


def test_selected_words_of_a_sentence_become_the_printed_name(
    page: Page, live_server: str, store: Store
) -> None:
    page.goto(f"{live_server}/reading?source=s2")
    page.locator("#text").fill("A great crowd came. The tinker's lift was seen once more.")
    page.locator("#text").press("Control+Enter")
    page.locator("#n1 [data-sentence-text] bdi").evaluate(
        "line => { const range = document.createRange(); range.setStart(line.firstChild, 4);"
        " range.setEnd(line.firstChild, 12); getSelection().removeAllRanges();"
        " getSelection().addRange(range); }"
    )
    page.keyboard.press("s")

    expect(page.locator("#undo-bar")).to_contain_text("Added a slip from Lantern: tinker's.")
    slip = slips_of(store)[-1]
    assert (slip.name, slip.text, slip.term_id) == ("tinker's", "The tinker's lift was seen once more.", "")


def test_a_text_being_read_is_accessible(
    page: Page, live_server: str, violations: Callable[[Page], list[object]]
) -> None:
    page.goto(f"{live_server}/reading")
    page.get_by_role("button", name="The Fair").first.click()
    expect(page.locator("[data-sentence]").first).to_be_visible()

    assert violations(page) == []
