"""The keys of a page: one table for the handler and the sheet, one address for each script, the switch."""

import re
from collections import defaultdict
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page, expect

from app.web.assets import static_folder
from termbase.store.engine import Store

TEMPLATES = Path(__file__).parents[2] / "app" / "web" / "templates"
WORKING_PAGES = (
    "/", "/entries", "/entries/c0001", "/entries/c0001/technique", "/pages/w1", "/pages/w1/trim",
    "/sources/s1/slips/new", "/reading", "/rules", "/trials/new", "/proof",
)  # fmt: skip


@pytest.fixture
def store(demo_store: Store) -> Store:
    return demo_store


@pytest.mark.parametrize("path", WORKING_PAGES)
def test_every_script_has_one_address_on_a_page(page: Page, live_server: str, path: str) -> None:
    addresses: defaultdict[str, set[str]] = defaultdict(set)
    page.on(
        "request",
        lambda asked: (
            addresses[urlsplit(asked.url).path.rsplit("/", 1)[1]].add(asked.url)
            if asked.resource_type == "script"
            else None
        ),
    )
    page.goto(live_server + path, wait_until="networkidle")

    assert addresses
    assert {name: found for name, found in addresses.items() if len(found) > 1} == {}


def test_the_switch_for_single_keys_works_on_the_desk(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/pages/w1")
    first = page.locator("#current-line").inner_text()
    page.keyboard.press("?")
    page.get_by_role("button", name="Turn single-key shortcuts off").click()
    page.get_by_role("button", name="Close").click()
    for key in ("j", "o", "s", "g", "e"):
        page.keyboard.press(key)
    page.reload()
    page.keyboard.press("j")
    page.get_by_role("button", name="Keyboard shortcuts on this page").click()
    page.get_by_role("button", name="Turn single-key shortcuts on").click()
    page.get_by_role("button", name="Close").click()
    assert page.locator("#current-line").inner_text() == first

    page.keyboard.press("j")
    expect(page.locator("#current-line")).not_to_have_text(first)


def test_the_switch_is_also_on_a_narrow_page(page: Page, live_server: str) -> None:
    page.set_viewport_size({"width": 390, "height": 800})
    page.goto(f"{live_server}/entries")
    page.get_by_role("button", name="Keyboard shortcuts on this page").click()

    expect(page.get_by_role("button", name="Turn single-key shortcuts off")).to_be_visible()


@pytest.mark.parametrize("path", WORKING_PAGES)
def test_the_sheet_lists_every_key_of_the_page(page: Page, live_server: str, path: str) -> None:
    page.goto(live_server + path, wait_until="networkidle")
    page.get_by_role("button", name="Keyboard shortcuts on this page").click()
    listed = set(page.eval_on_selector_all("#keys dt kbd", "caps => caps.map(c => c.dataset.name)"))
    shown = page.eval_on_selector_all(
        "[data-key]:not([data-key-act])",
        "all => all.filter(e => e.getClientRects().length && !e.disabled)"
        ".flatMap(e => [e.dataset.key, e.dataset.keyAlso]).filter(Boolean)",
    )

    assert set(shown) <= listed
    assert {"/", "?"} <= listed
    labels = page.locator("#keys dd").all_inner_texts()
    assert all(label.strip() for label in labels)


@pytest.mark.parametrize(
    ("path", "keys"),
    [
        ("/pages/w1", {"j", "k", "ArrowDown", "ArrowUp", "s t"}),
        ("/pages/w1/trim", {"j", "k", "x"}),
        ("/rules", {"ArrowRight", "Home", "End", "ArrowDown"}),
        ("/entries/c0001/technique", {"Space", "Enter", "ArrowLeft", "Control+Enter", "Escape"}),
        ("/sources/s1/slips/new", {"Alt+n", "Alt+.", "ArrowDown"}),
        ("/trials", {"j", "k"}),
    ],
)
def test_keys_handled_by_a_script_are_on_the_sheet(
    page: Page, live_server: str, path: str, keys: set[str]
) -> None:
    page.goto(live_server + path, wait_until="networkidle")
    page.get_by_role("button", name="Keyboard shortcuts on this page").click()
    listed = set(page.eval_on_selector_all("#keys dt kbd", "caps => caps.map(c => c.dataset.name)"))

    assert keys <= listed


def test_one_module_listens_for_keys_and_every_shortcut_has_a_handler() -> None:
    scripts = {path.name: path.read_text(encoding="utf-8") for path in (static_folder() / "js").glob("*.js")}
    listening = {name for name, text in scripts.items() if re.search(r'"key(down|up|press)", ?\(', text)}
    worked = set(re.findall(r'\bact\("([a-z.]+)"', "".join(scripts.values())))
    rows = "".join(path.read_text(encoding="utf-8") for path in TEMPLATES.rglob("*.html"))
    listed = set(re.findall(r'key_row\("[^"]+", "([a-z.]+)"', rows))

    assert listening == {"keys.js"}
    assert worked == listed
