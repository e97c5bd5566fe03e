"""Adding a clause before the code has a name; u undoes the act that the message names."""

import re

import pytest
from playwright.sync_api import Page, expect

from termbase.store.engine import Store


@pytest.fixture
def store(demo_store: Store) -> Store:
    return demo_store


def test_a_clause_is_added_before_the_code_has_a_name(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/rules/new")
    page.locator("#note").fill("From the handbill of 1871.")
    page.get_by_role("button", name=re.compile("add a clause", re.I)).first.click()

    expect(page.locator("fieldset.clause-edit")).to_have_count(1)
    expect(page.locator("#note")).to_have_value("From the handbill of 1871.")
    expect(page.locator("#name")).to_have_value("")


def test_on_the_desk_u_undoes_the_act_named_in_the_message(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/sources/s1/edit")
    page.locator("#note").fill("Looked at again.")
    page.keyboard.press("Control+Enter")
    page.wait_for_url(re.compile("/sources/s1$"))
    page.context.add_cookies(
        [{"name": "wordhold_done", "value": newest(page), "url": live_server}]
    )  # the page before was left at once
    page.goto(f"{live_server}/pages/w1")
    expect(page.locator("#undo-bar")).to_contain_text("Changed the source")
    assert page.locator("#undo-bar [data-key=u]").count() == 0

    page.keyboard.press("o")
    page.keyboard.press("s")
    page.keyboard.press("g")
    expect(page.locator("#undo-bar form")).to_have_count(0)
    named = page.locator(".desk-last span").first.inner_text()
    page.keyboard.press("u")
    expect(page.locator(".desk-last span").first).not_to_have_text(named)
    page.goto(f"{live_server}/history")
    expect(page.locator("tbody tr").first).to_contain_text(re.compile(re.escape(named.rstrip(".")), re.I))
    page.goto(f"{live_server}/sources/s1/edit")
    expect(page.locator("#note")).to_have_value("Looked at again.")


def newest(page: Page) -> str:
    """Return the number of the act that the message names."""
    action = page.locator("#undo-bar form").get_attribute("action") or ""
    return action.rsplit("/", 1)[1]
