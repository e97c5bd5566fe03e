"""Every kind of page: ids are single, controls have names, no name of the code shows, targets are large."""

import re

import pytest
from playwright.sync_api import Page, expect

from app.web import Settings, create_app
from termbase.store.engine import Store
from tests.browser.crawling import crawl

CONTROLS = {
    "button", "link", "textbox", "searchbox", "combobox", "listbox", "checkbox", "radio", "spinbutton",
    "switch", "slider", "menuitem", "tab",
}  # fmt: skip
TWICE = """() => {
  const ids = [...document.querySelectorAll("[id]")].map((e) => e.id);
  return [...new Set(ids.filter((id, n) => ids.indexOf(id) !== n))];
}"""
SAID = """() => {
  const bare = document.body.cloneNode(true);
  bare.querySelectorAll("code, pre, textarea, script, style, template").forEach((e) => e.remove());
  const spoken = [...bare.querySelectorAll("[aria-label], [title], [placeholder], [data-key-label]")]
    .flatMap((e) => [e.ariaLabel, e.title, e.placeholder, e.dataset.keyLabel]);
  return [bare.textContent, ...spoken].filter(Boolean).join("\\n");
}"""
CODE_NAME = re.compile(r"(?<![\w./@-])[a-z]+(?:_[a-z]+)+(?![\w./@-])")
# WCAG 2.2, 2.5.8: 24 by 24 px, unless the target stands in a sentence or the user agent drew it
SMALL = """() => {
  const wanted = "a[href], button, summary, input:not([type=hidden]), select";
  const shown = [...document.querySelectorAll(wanted)].filter((e) => e.getClientRects().length);
  const boxes = shown.map((e) => [e, e.getBoundingClientRect()]);
  const small = [];
  for (const e of shown) {
    if (e.closest(".unseen, .skip, [hidden]")) continue;
    const target = e.closest("label") ?? (e.matches("[type=checkbox], [type=radio]") && e.labels[0] || e);
    const box = target.getBoundingClientRect();
    if (box.width === 0 || (box.height >= 23.5 && box.width >= 23.5)) continue;
    const texts = [...e.parentElement.childNodes].filter((n) => n.nodeType === 3).map((n) => n.textContent);
    const beside = /[^\\s·,:;()–-]/.test(texts.join(""));
    if (getComputedStyle(e).display === "inline" && beside) continue;
    // the spacing exception: a circle of 24 px on its middle meets no other target
    const x = box.x + box.width / 2, y = box.y + box.height / 2;
    const far = ([other, there]) => other === e || target.contains(other) || !there.width || Math.hypot(
      Math.max(there.left - x, 0, x - there.right), Math.max(there.top - y, 0, y - there.bottom)) >= 12;
    if (!boxes.every(far)) small.push(`${box.width}x${box.height} ${e.outerHTML.slice(0, 140)}`);
  }
  return small;
}"""


@pytest.fixture
def store(demo_store: Store) -> Store:
    return demo_store


@pytest.fixture
def addresses(store: Store) -> list[str]:
    found = crawl(create_app(Settings(store)), ("/pages/w1?at=3&correct=1", "/sources/witnesses/t89"))
    assert found.failed == {}
    return found.addresses


def nameless(page: Page) -> list[str]:
    """Controls without a name in the browser's own accessibility tree."""
    session = page.context.new_cdp_session(page)
    tree = session.send("Accessibility.getFullAXTree")["nodes"]
    session.detach()
    return [
        node["role"]["value"] + " " + str(node.get("backendDOMNodeId"))
        for node in tree
        if not node.get("ignored")
        and node.get("role", {}).get("value") in CONTROLS
        and not node.get("name", {}).get("value", "").strip()
    ]


def test_ids_names_and_targets_of_every_page(page: Page, live_server: str, addresses: list[str]) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    faults: dict[str, dict[str, list[str]]] = {}
    for address in addresses:
        page.goto(live_server + address)
        page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        found = {
            "ids that two elements have": page.evaluate(TWICE),
            "controls without a name": nameless(page),
            "names of the code": sorted(set(CODE_NAME.findall(page.evaluate(SAID)))),
            "small targets": page.evaluate(SMALL),
        }
        if any(found.values()):
            faults[address] = {what: these for what, these in found.items() if these}

    assert faults == {}


def test_control_enter_on_a_place_of_the_body_only_saves(page: Page, live_server: str) -> None:
    page.goto(f"{live_server}/entries/c0015/technique")
    held = page.locator(".spot[aria-checked=true]")
    before = held.evaluate_all("all => all.map((spot) => spot.dataset.path + spot.dataset.value).sort()")
    held.first.evaluate("(spot) => { spot.tabIndex = 0; spot.focus(); }")
    page.keyboard.press("Control+Enter")
    page.wait_for_url(re.compile("/entries/c0015(#|$)"))

    page.goto(f"{live_server}/entries/c0015/technique")
    expect(held).to_have_count(len(before))
    after = held.evaluate_all("all => all.map((spot) => spot.dataset.path + spot.dataset.value).sort()")
    assert before
    assert after == before
