"""Every form offers to restore unsaved text, whichever key or link left the form."""

import re

import pytest
from lxml import html
from playwright.sync_api import Page, expect

from app.web import Settings, create_app
from termbase.store.engine import Store
from tests.browser.crawling import crawl

TYPED = "Ŵyn bach 4711"
TEXT = "Hughes took the strap-hold and kept it."
ALSO = ("/sources/witnesses/t89", "/pages/w1?at=3&correct=1")
WRITTEN = (
    "textarea:not([readonly]), input:not([type=hidden], [type=checkbox], [type=radio], [type=file], "
    "[type=submit], [type=button], [type=number], [type=password])"
)
NO_TEXT = " hidden checkbox radio file submit button number password "
WITH_TEXT = (
    "//main//form[@method='post']"
    f"[.//textarea or .//input[not(contains('{NO_TEXT}', concat(' ', @type, ' ')))]]"
)
FORMS = """w => {
  const shapes = new Set();  // a form for every person of a list has one shape
  return [...document.querySelectorAll('main form')].map((f, n) => [n, f])
    .filter(([, f]) => f.method === 'post' && f.querySelector(w))
    .filter(([, f]) => {
      const shape = [...f.elements].map((e) => e.name).join();
      return !shapes.has(shape) && shapes.add(shape);
    }).map(([n]) => n);
}"""
FOCUS = """([n, w]) => {
  const field = [...document.querySelectorAll('main form')][n].querySelector(w);
  for (let e = field.closest('details'); e; e = e.parentElement.closest('details')) e.open = true;
  field.focus();
  return [field.name, field.value];
}"""

FULL = "void (Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); })"


@pytest.fixture
def store(demo_store: Store) -> Store:
    return demo_store


def type_and_leave(page: Page, address: str, number: int) -> str:
    """Type into a form's first field, press Escape, and leave the page if still there; return its name."""
    page.evaluate("localStorage.clear()")  # of the form before
    name, _before = page.evaluate(FOCUS, [number, WRITTEN])
    page.keyboard.press("End")
    page.keyboard.insert_text(TYPED)
    page.keyboard.press("Escape")
    page.wait_for_timeout(60)  # Escape may lead on; where it does not, the link below does
    page.locator("footer.frame a").first.click()
    page.wait_for_url(re.compile("/cautions"))
    return str(name)


def test_every_form_offers_to_restore_unsaved_text(page: Page, live_server: str, store: Store) -> None:
    written: set[str] = set()

    def look(address: str, content: html.HtmlElement) -> None:
        if content.xpath(WITH_TEXT):
            written.add(address)

    pages = crawl(create_app(Settings(store)), ALSO, on_page=look)
    assert {"sources.show_witnesses", "pages.desk correct", "rules.edit", "reading.index"} <= set(pages.found)
    # what is typed needs no fonts and no pictures
    network = page.context.new_cdp_session(page)
    network.send("Network.enable")
    network.send("Network.setBlockedURLs", {"urls": ["*.woff2", "*.png", "*.jpg", "*/images/*"]})
    forms, lost = 0, []
    for address in (one for one in pages.addresses if one in written):
        page.goto(live_server + address)
        for number in page.evaluate(FORMS, WRITTEN):
            if page.url != live_server + address:
                page.goto(live_server + address)
            name = type_and_leave(page, address, number)
            page.goto(live_server + address)
            forms += 1
            box = page.locator("main form").nth(number).locator(".kept-text")
            if box.count() != 1:
                lost.append((address, number, name, box.count()))
                continue
            box.get_by_role("button", name="Restore").click()
            field = page.locator("main form").nth(number).locator(f'[name="{name}"]').first
            if TYPED not in field.input_value():
                lost.append((address, number, name, field.input_value()))

    assert lost == []
    assert forms > 25


@pytest.mark.parametrize("path", ["/trials/new", "/entries/new", "/rules/new", "/reading"])
def test_the_next_page_says_that_the_text_is_kept_and_links_back(
    page: Page, live_server: str, path: str
) -> None:
    page.goto(live_server + path)
    page.locator("main form[method=post] textarea").first.fill(TEXT)
    page.keyboard.press("Escape")
    if path != "/reading":  # which has nothing that Escape leads back to
        page.wait_for_url(live_server + path.removesuffix("/new"))
    else:
        page.get_by_role("navigation", name="Sections").get_by_role("link", name="Sources").click()
    note = page.locator("#draft-note")
    expect(note).to_contain_text("Your changes are not saved, but they are kept in this browser.")
    note.get_by_role("link", name="Go back").click()
    page.get_by_role("button", name="Restore").click()

    expect(page.locator("main form[method=post] textarea").first).to_have_value(TEXT)


@pytest.mark.parametrize(
    ("language", "months"),
    [
        ("en", "January|February|March|April|May|June|July|August|September|October|November|December"),
        ("cy", "Ionawr|Chwefror|Mawrth|Ebrill|Mai|Mehefin|Gorffennaf|Awst|Medi|Hydref|Tachwedd|Rhagfyr"),
        ("ga", "Eanáir|Feabhra|Márta|Aibreán|Bealtaine|Meitheamh|Iúil|Lúnasa|Meán Fómhair|Deireadh Fómhair"
         "|Samhain|Nollaig"),
    ],
)  # fmt: skip
def test_the_date_of_a_draft_is_in_the_interface_language(
    page: Page, live_server: str, language: str, months: str
) -> None:
    page.goto(f"{live_server}/trials/new")
    page.locator(f".tongues button[value={language}]").click()
    expect(page.locator("html")).to_have_attribute("lang", language)
    page.locator("#done").fill(TEXT)
    page.goto(f"{live_server}/trials/new")

    day_and_time = re.compile(rf"^\d{{1,2}} ({months}) \d{{4}}, \d\d:\d\d$")
    expect(page.locator("[data-draft-when]")).to_have_text(day_and_time)


def test_escape_on_a_part_of_an_entry_keeps_what_was_typed(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/entries/c0001")
    page.get_by_role("link", name="Change Notes").click()
    page.locator("textarea[name=editor_note]").fill(TEXT)
    page.keyboard.press("Escape")
    expect(page.locator("textarea[name=editor_note]")).to_have_count(0)
    expect(page.locator("#draft-note")).to_contain_text("they are kept in this browser")

    page.get_by_role("link", name="Change Notes").click()
    expect(page.locator(".kept-text")).to_contain_text(TEXT)
    page.get_by_role("button", name="Restore").click()
    page.keyboard.press("Control+Enter")
    expect(page.locator("#notes")).to_contain_text(TEXT)

    page.get_by_role("link", name="Change Notes").click()
    expect(page.locator("textarea[name=editor_note]")).to_have_value(TEXT)
    expect(page.locator(".kept-text")).to_have_count(0)


def test_saved_or_discarded_text_is_no_longer_offered(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/entries/new")
    page.locator("#text-cy").fill("gafael newydd")
    page.locator("#origin-cy").select_option(index=1)
    page.keyboard.press("Control+Enter")
    page.wait_for_url(re.compile(r"/entries/c\d+"))
    page.goto(f"{live_server}/entries/new")
    expect(page.locator("#text-cy")).to_have_value("")
    expect(page.locator(".kept-text")).to_have_count(0)

    page.locator("#text-cy").fill("gafael arall")
    page.keyboard.press("Escape")
    page.wait_for_url(re.compile("/entries$"))
    page.goto(f"{live_server}/entries/new")
    page.get_by_role("button", name="Discard").click()
    page.reload()
    expect(page.locator("#text-cy")).to_have_value("")
    expect(page.locator(".kept-text")).to_have_count(0)


def test_a_rejected_form_keeps_its_draft_until_it_is_saved(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/sources/new")
    page.locator("#label").fill("Lewis 1911")
    page.locator("#issued").fill("one day")
    page.locator("#title").fill("The Old Holds")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#issued")).to_have_attribute("aria-invalid", "true")
    expect(page.locator(".kept-text")).to_have_count(0)
    page.locator("#issued").fill("1911")
    page.keyboard.press("Escape")
    page.wait_for_url(re.compile("/sources$"))

    page.goto(f"{live_server}/sources/new")
    page.get_by_role("button", name="Restore").click()
    expect(page.locator("#label")).to_have_value("Lewis 1911")
    expect(page.locator("#issued")).to_have_value("1911")
    page.keyboard.press("Control+Enter")
    page.wait_for_url(re.compile(r"/sources/s\d+"))
    page.goto(f"{live_server}/sources/new")
    expect(page.locator(".kept-text")).to_have_count(0)


def test_an_added_clause_is_restored_with_its_text(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/rules/r1/edit")
    before = page.locator("fieldset.clause-edit").count()
    page.get_by_role("button", name=re.compile("add a clause", re.I)).first.click()
    expect(page.locator("fieldset.clause-edit")).to_have_count(before + 1)
    page.locator("fieldset.clause-edit").first.locator("textarea").first.fill(TEXT)
    page.keyboard.press("Escape")
    page.wait_for_url(re.compile("/rules/r1$"))

    page.goto(f"{live_server}/rules/r1/edit")
    page.get_by_role("button", name="Restore").click()
    expect(page.locator("fieldset.clause-edit")).to_have_count(before + 1)
    expect(page.locator("fieldset.clause-edit").first.locator("textarea").first).to_have_value(TEXT)


def test_leaving_a_text_too_large_for_the_browser_to_keep_asks_first(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/trials/new")
    page.evaluate(FULL)
    page.locator("#done").fill(TEXT)
    asked: list[str] = []
    page.once("dialog", lambda dialog: (asked.append(dialog.message), dialog.dismiss()))
    page.keyboard.press("Escape")
    page.wait_for_timeout(200)

    assert len(asked) == 1
    expect(page.locator("#done")).to_have_value(TEXT)
