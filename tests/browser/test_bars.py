"""Fixed bars cover neither each other nor the focused element (WCAG 2.2, 2.4.11)."""

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from termbase.store.engine import Store

# whether the middle of an element is what one would touch there
ON_TOP = """element => {
  const box = element.getBoundingClientRect();
  const there = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
  return there !== null && (element.contains(there) || there.contains(element) && there !== document.body);
}"""
# the element with the focus, if a bar lies over it
COVERED = """() => {
  const element = document.activeElement;
  const box = element.getBoundingClientRect();
  const there = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
  const bar = there?.closest(".reading-bar, .undo-bar, .save-row.sticky");
  return bar && !bar.contains(element) ? element.innerText : null;
}"""
PHONE = {"width": 390, "height": 800}
DESK = {"width": 1280, "height": 800}


@pytest.fixture
def store(demo_store: Store) -> Store:
    return demo_store


def on_top(element: Locator) -> bool:
    expect(element).to_be_visible()
    return bool(element.evaluate(ON_TOP))


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_signing_readings_in_a_row_shows_the_last_act_with_undo(
    page: Page, live_server: str, size: dict[str, int]
) -> None:
    page.set_viewport_size({"width": size["width"], "height": size["height"]})
    page.goto(f"{live_server}/entries/c0044?read=practice")
    page.get_by_role("button", name=re.compile("^Sign for practice")).click()
    expect(page.locator("#undo-bar")).to_contain_text("Read c0044 for practice.")

    for down in (0, 600):
        page.evaluate("down => scrollTo(0, down)", down)
        assert on_top(page.locator("#undo-bar button"))
        assert on_top(page.get_by_role("button", name=re.compile("^Sign for practice")))
        assert on_top(page.get_by_role("button", name=re.compile("^Save the reason")))


def test_the_last_act_does_not_cover_the_button_that_saves_a_rule_code(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/rules/r1/edit")
    page.locator("#note").fill("Looked at again.")
    page.keyboard.press("Control+Enter")
    page.wait_for_url(re.compile("/rules/r1$"))
    action = page.locator("#undo-bar form").get_attribute("action") or ""
    page.context.add_cookies(
        [{"name": "wordhold_done", "value": action.rsplit("/", 1)[1], "url": live_server}]
    )  # the page before was left at once
    page.goto(f"{live_server}/rules/r1/edit")
    expect(page.locator("#undo-bar")).to_contain_text("Glanmorwen Fair rules (1868)")
    page.evaluate("scrollTo(0, 600)")

    assert on_top(page.get_by_role("button", name="Save"))
    assert on_top(page.locator("#undo-bar button"))


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_no_bar_covers_what_has_the_focus(page: Page, live_server: str, size: dict[str, int]) -> None:
    page.set_viewport_size({"width": size["width"], "height": size["height"]})
    page.goto(f"{live_server}/entries/c0053?read=practice")
    covered = []
    for _ in range(60):
        page.keyboard.press("Tab")
        covered.append(page.evaluate(COVERED))

    assert [one for one in covered if one] == []


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_writing_a_reason_in_the_bar_does_not_move_the_text(
    page: Page, live_server: str, size: dict[str, int]
) -> None:
    page.set_viewport_size({"width": size["width"], "height": size["height"]})
    page.goto(f"{live_server}/entries/c0053?read=practice")
    page.evaluate("scrollTo(0, 300)")
    page.locator("#why-practice").evaluate("field => field.focus()")
    page.keyboard.type("the hold is not clear")

    expect(page.locator("#why-practice")).to_have_value("the hold is not clear")
    assert page.evaluate("scrollY") == 300
