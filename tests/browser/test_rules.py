"""Rules, trials and techniques in a browser: by keyboard, by clicking, and checked by axe-core."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from termbase.record.entries import Entry
from termbase.store.engine import Store


@pytest.fixture
def store(demo_store: Store) -> Store:
    return demo_store


def test_arrow_keys_move_between_cells_and_enter_opens_one(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/rules")
    page.keyboard.press("f")
    page.keyboard.press("ArrowDown")
    focused = page.locator(":focus")
    assert "/rules/r1/on/" in str(focused.get_attribute("href"))
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowDown")
    assert str(page.locator(":focus").get_attribute("href")).startswith("/rules/r2/on/")
    page.keyboard.press("End")
    assert str(page.locator(":focus").get_attribute("href")).startswith("/rules/r3/on/")
    page.keyboard.press("Enter")
    expect(page.locator(".verdict-line")).to_be_visible()


def test_the_matrix_is_filtered_while_typing_and_the_address_keeps_the_filter(
    page: Page, live_server: str
) -> None:
    page.goto(f"{live_server}/rules")
    page.keyboard.press("f")
    page.keyboard.type("twine")
    expect(page.locator("table.matrix tbody tr")).to_have_count(1)
    page.wait_for_url("**/rules?find=twine")


def test_a_technique_is_entered_by_clicking_and_its_description_follows(
    page: Page, live_server: str, store: Store
) -> None:
    page.goto(f"{live_server}/entries/c0001/technique")
    page.locator('[data-path="right.places"][data-value="collar"] .reach').click()
    page.locator('[data-path="left.places"][data-value="belt near side"] .reach').click()
    expect(page.locator("#look .said")).to_contain_text("Right hand on the collar; left hand on the belt")
    page.locator('[data-path="contact"][data-value="heel"][data-side="right"] .reach').click()
    page.get_by_label("hook", exact=True).check()
    expect(page.locator("#look .said")).to_contain_text("hooks his right heel")
    expect(page.locator("#look .fig-limb").first).to_be_visible()
    page.keyboard.press("Control+Enter")
    page.wait_for_url("**/entries/c0001*")
    with store.read() as reader:
        technique = reader.get(Entry, "c0001").technique
    assert technique is not None
    assert technique.his_side is not None
    assert technique.his_side.value == "right"


def test_arrow_keys_move_over_the_body(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/entries/c0001/technique")
    page.locator("[data-body-map] .spot").first.focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Space")
    chosen = page.locator("[data-body-map] .spot.held")
    expect(chosen).to_have_count(1)
    assert chosen.get_attribute("aria-checked") == "true"
    path, value = chosen.get_attribute("data-path"), chosen.get_attribute("data-value")
    assert page.locator(f'input[name="{path}"][value="{value}"]').is_checked()


def test_a_technique_is_edited_in_place_on_the_entry(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/entries/c0015")
    page.locator("#technique a[data-inplace]").first.click()
    expect(page.locator("#technique form[data-look]")).to_be_visible()
    expect(page.locator("#technique .body-maps").first).to_be_visible()
    page.locator('#technique [data-path="right.places"][data-value="collar"] .reach').click()
    page.locator("#technique button.main").click()
    expect(page.locator("#technique .said")).to_contain_text("on the collar or shoulder strap")
    assert page.url.startswith(f"{live_server}/entries/c0015")


@pytest.mark.parametrize(
    "address",
    [
        "/rules", "/rules/r1", "/rules/r2?off=Q5", "/rules/r1/edit", "/rules/compare?one=r1&other=r2",
        "/rules/import", "/rules/r1/on/c0043", "/entries/c0015/technique", "/trials", "/trials/m1",
        "/trials/new",
    ],
)  # fmt: skip
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_pages_are_accessible_and_fit_a_phone(
    page: Page, live_server: str, violations: Callable[[Page], list[object]], address: str, scheme: str
) -> None:
    page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    page.set_viewport_size({"width": 390, "height": 800})
    page.goto(f"{live_server}{address}")
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
