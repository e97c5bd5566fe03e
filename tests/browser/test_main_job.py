"""The whole job by keyboard alone: from an empty termbase to the printed glossary and the term-bank file.

No mouse is used and no address is typed after the first: every step is a key of the page or the Tab key.
"""

import io
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from termbase.record.entries import Entry
from termbase.record.pages import Line, LineState
from termbase.record.people import Termbase
from termbase.record.sources import Slip, SlipKind
from termbase.store.engine import Store

WORDS = (
    ("back-heel", "bachiad sawdl"), ("belt", "gwregys"), ("bout", "gornest"),
    ("collar", "coler"), ("fall", "codwm"), ("fair", "ffair"),
    ("foul", "camwedd"), ("grip", "gafael"), ("heel", "sawdl"),
    ("hip", "clun"), ("hook", "bachyn"), ("judge", "beirniad"),
    ("kick", "cic"), ("knee", "pen-glin"), ("leg", "coes"),
    ("lift", "codiad"), ("match", "ornest"), ("neck", "gwddf"),
    ("opponent", "gwrthwynebydd"), ("prize", "gwobr"), ("quarry", "chwarel"),
    ("ring", "cylch"), ("shin", "crimog"), ("shoulder", "ysgwydd"),
    ("sleeve", "llawes"), ("smock", "smoc"), ("strap", "strapen"),
    ("throw", "tafliad"), ("thumb", "bawd"), ("toe", "bys troed"),
    ("trip", "bagliad"), ("turf", "tywarchen"), ("umpire", "dyfarnwr"),
    ("victor", "buddugwr"), ("waist", "gwasg"), ("wager", "bet"),
    ("wrestler", "ymgodymwr"), ("wrist", "arddwrn"), ("yard", "buarth"),
    ("yield", "ildio"),
)  # fmt: skip
PAGE = "\n".join(f"{english}, s. [strap] {welsh}, m." for english, welsh in WORDS)
RULES = (files("termbase.demo") / "rulecodes.toml").read_text("utf-8")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """A termbase as `wordhold new` makes it: nothing in it."""
    made = Store.create(str(tmp_path / "new.sqlite"), Termbase("New", vernaculars=("cy",)), by="somebody")
    yield made
    made.close()


def _tab_to(page: Page, wanted: str) -> None:
    """Press Tab until the focus is where `wanted` (a CSS selector) says."""
    for _ in range(400):
        if page.evaluate("(s) => document.activeElement?.matches(s) ?? false", wanted):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"Tab never reached {wanted}")


def _type(page: Page, field: str, text: str) -> None:
    _tab_to(page, f"#{field}")
    page.keyboard.press("Control+a")
    page.keyboard.insert_text(text)


def _go(page: Page, section: str) -> None:
    _tab_to(page, f"nav.sections a[href$='/{section}']")
    page.keyboard.press("Enter")
    expect(page.locator("nav.sections a[aria-current=page]")).to_have_attribute("href", f"/{section}")
    page.wait_for_load_state("load")  # the keys of the page are there now


def _begin(page: Page) -> None:
    page.keyboard.press("2")
    page.keyboard.press("Control+a")
    page.keyboard.insert_text("Strap-hold wrestling")
    _type(page, "vernaculars", "cy")
    _type(page, "name", "Elin Maesgwyn")
    page.keyboard.press("Control+Enter")
    expect(page.locator("a.masthead")).to_have_text("Strap-hold wrestling")


def _take_in_rules(page: Page) -> None:
    _go(page, "rules")
    page.keyboard.press("i")
    expect(page.locator("#text")).to_be_visible()
    _tab_to(page, "input[name=kind]")
    page.keyboard.press("Space")
    _type(
        page,
        "text",
        RULES.replace('sources = ["s5"]', "").replace('sources = ["s6"]', "").replace('["s7"]', "[]"),
    )
    page.keyboard.press("Control+Enter")
    expect(page.locator("main")).to_contain_text("Quarrymen's rules (1884)")


def _enter_page(page: Page) -> None:
    _go(page, "pages")
    page.keyboard.press("n")
    expect(page.locator("#text")).to_be_visible()
    _type(page, "text", PAGE)
    expect(page.locator(".share").first).to_be_visible()
    _type(page, "number", "41")
    _type(page, "label", "Glanmorwen 1898")
    _type(page, "issued", "1898")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#current-line bdi")).to_contain_text("back-heel")


def _work_lines(page: Page) -> None:
    for english, _ in WORDS:
        expect(page.locator("#current-line bdi")).to_contain_text(f"{english}, s.")
        page.keyboard.press("Enter")
    expect(page.locator("#desk-strip")).to_contain_text("0 remaining")


def _open_entry(page: Page, name: str) -> None:
    page.keyboard.press("/")
    page.keyboard.insert_text(name)
    expect(page.locator("#found a").first).to_be_visible()
    _tab_to(page, "#found a")
    page.keyboard.press("Enter")
    expect(page.locator("h1.headwords")).to_contain_text(name)


def _add_slip(page: Page, text: str, date: str) -> None:
    page.keyboard.press("s")
    expect(page.locator("#text")).to_be_visible()
    _type(page, "text", text)
    _tab_to(page, "#source_id")
    page.keyboard.press("End")
    _type(page, "date", date)
    page.keyboard.press("Control+Enter")
    expect(page.locator("blockquote", has_text=text)).to_be_visible()


def _choose(page: Page, field: str, value: str) -> None:
    """A radio button by keyboard: to the group by Tab, then arrow keys."""
    _tab_to(page, f"input[type=radio][name='{field}']")
    for _ in range(40):
        if page.evaluate("document.activeElement.value") == value:
            page.keyboard.press("Space")
            return
        page.keyboard.press("ArrowDown")
    raise AssertionError(f"{field} has no {value}")


def _tick(page: Page, field: str, value: str) -> None:
    _tab_to(
        page, f"summary:has(~ .ticks input[name='{field}']), details:has(input[name='{field}']) > summary"
    )
    page.keyboard.press("Enter")
    _tab_to(page, f"input[name='{field}'][value='{value}']")
    page.keyboard.press("Space")


def _describe(page: Page) -> None:
    _tab_to(page, "#technique a[href$='/technique']")
    page.keyboard.press("Enter")
    expect(page.locator("form.stating")).to_be_visible()
    _tick(page, "right.places", "shoulder strap")
    _tick(page, "left.places", "belt near side")
    _choose(page, "leg_use", "hook")
    page.keyboard.press("Control+Enter")
    expect(page.locator("form.stating")).to_have_count(0)
    expect(page.locator("main")).to_contain_text("shoulder strap")


def _fetch(page: Page, key: str) -> Path:
    _go(page, "publish")
    page.keyboard.press(key)
    expect(page.locator("a", has_text="Download the file")).to_be_visible(timeout=60_000)
    with page.expect_download() as fetching:
        page.keyboard.press("f")
    return Path(fetching.value.path())


def test_the_main_job_by_keyboard_alone(page: Page, live_server: str, store: Store) -> None:
    page.goto(live_server)
    _begin(page)
    _take_in_rules(page)
    _enter_page(page)
    _work_lines(page)
    _open_entry(page, "back-heel")
    _add_slip(page, "Maesgwyn threw him with the back-heel.", "1884-06-14")
    _add_slip(page, "The back-heel again brought him down.", "1889-08")
    _describe(page)
    verdicts = page.locator("main").inner_text()
    assert any(word in verdicts for word in ("fits", "breaks the rules", "open"))
    for name in ("Glanmorwen Fair rules (1868)", "Quarrymen's rules (1884)", "Open-hold matches (1902)"):
        assert name in verdicts
    assert "Within the rules does not mean safe" in verdicts
    tbx, pdf = _fetch(page, "x"), _fetch(page, "p")
    assert "bachiad sawdl" in tbx.read_text("utf-8")
    text = "".join(sheet.extract_text() for sheet in PdfReader(io.BytesIO(pdf.read_bytes())).pages)
    assert "back-heel" in text
    assert "Maesgwyn threw him" in text
    _check_record(store)


def _check_record(store: Store) -> None:
    with store.read() as reader:
        lines = [x for x in reader.all(Line) if x.state is not LineState.FURNITURE]
        assert [x.state for x in lines] == [LineState.MADE] * len(WORDS)
        assert reader.count(Entry) == len(WORDS)
        assert sum(1 for s in reader.all(Slip) if s.kind is SlipKind.USE) == 2
        assert any(e.technique is not None for batch in reader.entries() for e in batch)
        assert {a.by for a in reader.last_acts(50)} >= {"Elin Maesgwyn"}
