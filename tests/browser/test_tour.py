"""The tour in README.md works as it is written, with the labels that it names."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect
from pypdf import PdfReader

from termbase.store.engine import Store

README = Path(__file__).parents[2] / "README.md"


@pytest.fixture
def store(demo_store: Store) -> Iterator[Store]:
    """The demo."""
    return demo_store


@pytest.fixture(scope="module")
def tour() -> str:
    """The section of the README, on one line."""
    return " ".join(README.read_text("utf-8").partition("## A tour of")[2].partition("\n## ")[0].split())


def _press(page: Page, key: str) -> None:
    """Press a key once the scripts of the page listen for it."""
    page.wait_for_load_state("load")
    page.keyboard.press(key)


def _section(page: Page, name: str) -> None:
    page.locator("nav.sections").get_by_role("link", name=name, exact=True).click()
    expect(page.locator("nav.sections a[aria-current=page]")).to_contain_text(name)
    page.wait_for_load_state("load")  # the keys of the page are there now


def _open_entry(page: Page, name: str) -> None:
    _press(page, "/")
    page.keyboard.insert_text(name)
    expect(page.locator("#found a").first).to_be_visible()
    _press(page, "Enter")
    expect(page.locator("h1.headwords")).to_contain_text(name)


def _download(page: Page, link: Locator) -> Path:
    with page.expect_download() as download:
        link.click(timeout=120_000)
    return Path(download.value.path())


def test_every_step_of_the_tour_works(live_server: str, page: Page, tour: str) -> None:
    def named(label: str) -> str:
        """Return a label, a line or a text that the tour names in bold or italics."""
        assert re.search(rf"\*{re.escape(label)}[.?]?\*", tour), label
        return label

    # 1. Enter a line
    page.goto(live_server)
    _section(page, named("Pages"))
    page.get_by_role("link", name=named("Page 43")).click()
    page.get_by_text(named("sack-lift, s. [strap] codi'r sach")).first.click()
    expect(page.locator("#current-line bdi")).to_contain_text("sack-lift")
    _press(page, "Enter")
    made = page.get_by_role("listitem").filter(has_text="sack-lift, s.")
    expect(made).to_contain_text("made: sack-lift · codi'r sach")

    # 2. Tie two names together
    expect(page.locator("#current-line bdi")).to_contain_text(named("scythe, s. [strap] pladur"))
    _press(page, "1")
    attached = page.get_by_role("listitem").filter(has_text="scythe, s.")
    expect(attached).to_contain_text("attached: scythe")

    # 3. Add a dated slip
    _open_entry(page, named("scythe"))
    expect(page.locator("main")).to_contain_text(named("pladur"))
    before = page.locator("svg.timeline").first.inner_html()
    _press(page, "s")
    sentence = "He came in with the scythe and mowed the leg away."
    page.locator("#text").fill(sentence)
    page.locator("[name=source_id]").select_option(label="Lantern")
    page.locator("[name=term_id]").select_option(label="scythe (en)")
    page.locator("[name=date]").fill("1884-06")
    page.locator("form:has(#text)").get_by_role("button", name="Save").first.click()
    expect(page.locator("blockquote", has_text=sentence)).to_be_visible()
    assert page.locator("svg.timeline").first.inner_html() != before

    # 4. Judge it
    rules = page.get_by_role("region", name=named("Within the rules?"))
    under_open_hold = rules.inner_text().partition(named("Open-hold matches (1902)"))[2].split("\n\n")
    assert under_open_hold[1] == named("fits with a changed grip")
    assert "Within the rules does not mean safe." in rules.inner_text()
    _section(page, named("Rules"))
    expect(page.locator("main")).to_contain_text("scythe")

    # 5. Record a trial
    _open_entry(page, "scythe")
    page.get_by_role("link", name=named("Record a trial")).first.click()
    page.get_by_label("works with a change").check()
    page.locator("[name=change]").fill("The left hand held the sleeve.")
    page.locator("[name=safety]").fill("Mats, a coach, half speed.")
    page.locator("[name=injuries]").fill("none")
    page.locator("main").get_by_role("button", name="Save").first.click()
    expect(page.locator("main")).to_contain_text("Mats, a coach, half speed.")
    _open_entry(page, "scythe")
    expect(page.get_by_role("region", name=named("On the mat"))).to_contain_text("works with a change")

    # Undo right away, or later from the start page
    page.goto(live_server)
    expect(page.get_by_role("heading", name=named("Recent changes"))).to_be_visible()
    expect(page.get_by_role("link", name="Full history")).to_be_visible()

    # 6. Proof
    _section(page, named("Proof"))
    page.get_by_label("Check").select_option(label=named("open verdicts"))
    expect(page.locator("main")).to_contain_text(
        "the verdict is open. The entry lists what you need to find out."
    )

    # 7. Publish
    _section(page, named("Publish"))
    _press(page, "p")
    glossary = _download(page, page.get_by_role("link", name="Download the file"))
    assert len(PdfReader(glossary).pages) > 10
    _section(page, "Publish")
    _press(page, "x")
    expect(page.locator("main")).to_contain_text("What this format leaves out", timeout=60_000)
    tbx = _download(page, page.get_by_role("link", name="Download the file"))
    assert b"pladur" in tbx.read_bytes()
