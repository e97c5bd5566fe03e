"""What is typed in place stays there when it cannot be saved: the key is asked for, or the file is gone."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from termbase.acts import entries
from termbase.record.entries import Entry, Origin, Term
from termbase.store.engine import Store

KEY = "wood-fair-turf-hill"
PATIENT = 30_000


@pytest.fixture
def key() -> str:
    return KEY


@pytest.fixture
def entry(store: Store) -> str:
    """The address of an entry."""
    with store.act("Gwen", "created an entry") as act:
        saved = entries.save(act, Entry("", terms=(Term("", "Back-heel", "en", Origin.IN_USE),)))
    return f"/entries/{saved.id}"


def give_key(page: Page) -> None:
    page.get_by_label("Access key").fill(KEY)
    page.keyboard.press("Enter")
    expect(page.get_by_label("Access key")).to_have_count(0, timeout=PATIENT)


def write_note(page: Page, text: str) -> None:
    page.locator("#notes a[data-inplace]").first.click()
    page.locator("#notes [name=usage_note]").fill(text)


def test_text_is_saved_after_entering_a_lost_key_in_another_tab(
    page: Page, live_server: str, entry: str
) -> None:
    page.goto(live_server + entry)
    give_key(page)
    expect(page.locator("h1")).to_contain_text("Back-heel")
    write_note(page, "Said of boys only.")
    page.context.clear_cookies()
    page.keyboard.press("Control+Enter")

    expect(page.locator("#notes .error")).to_contain_text("needs its access key", timeout=PATIENT)
    expect(page.locator("#notes [name=usage_note]")).to_have_value("Said of boys only.")
    with page.context.expect_page() as opened:
        page.locator("#notes .error a").click()
    give_key(opened.value)
    page.bring_to_front()
    page.locator("#notes [name=usage_note]").press("Control+Enter")

    expect(page.locator("#notes [name=usage_note]")).to_have_count(0, timeout=PATIENT)
    expect(page.locator("#notes")).to_contain_text("Said of boys only.")


def test_text_is_kept_while_the_file_is_missing_and_saved_when_it_is_back(
    page: Page, live_server: str, entry: str, store: Store
) -> None:
    path = store.database.path
    assert path is not None
    page.goto(live_server + entry)
    give_key(page)
    write_note(page, "Said of boys only.")
    away = path.with_name("away.db")
    path.rename(away)
    page.keyboard.press("Control+Enter")

    expect(page.locator("#notes .error")).to_contain_text("The database file is gone", timeout=PATIENT)
    expect(page.locator("#notes [name=usage_note]")).to_have_value("Said of boys only.")
    away.rename(path)
    page.locator("#notes [name=usage_note]").press("Control+Enter")

    expect(page.locator("#notes [name=usage_note]")).to_have_count(0, timeout=PATIENT)
    expect(page.locator("#notes")).to_contain_text("Said of boys only.")


def test_the_page_that_asks_for_the_key_is_accessible(
    page: Page, live_server: str, violations: Callable[[Page], list[object]]
) -> None:
    page.set_viewport_size({"width": 390, "height": 760})
    page.goto(live_server)
    assert violations(page) == []
    page.get_by_label("Access key").fill("wrong")
    page.keyboard.press("Enter")
    expect(page.locator("#key-error")).to_be_visible(timeout=PATIENT)

    assert violations(page) == []
