"""Pages do not jump while fonts load: the sum of layout shifts of every kind of page, on a slow phone."""

import pytest
from playwright.sync_api import Page, Route

from app.web import Settings, create_app
from termbase.store.engine import Store
from tests.browser.crawling import crawl

MOST = 0.02
"""The layout shift that a page may have in all (Layout Instability, W3C draft): a fifth of “good” (0.1)."""
WATCH = """
  window.shifted = 0;
  window.moved = [];
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) {
      if (entry.hadRecentInput) continue;
      window.shifted += entry.value;
      for (const one of entry.sources) window.moved.push(one.node?.outerHTML?.slice(0, 100) ?? "text");
    }
  }).observe({ type: "layout-shift", buffered: true });
"""


@pytest.fixture
def store(demo_store: Store) -> Store:
    return demo_store


def test_no_page_jumps_while_the_fonts_load(page: Page, live_server: str, store: Store) -> None:
    def late(route: Route) -> None:
        page.wait_for_timeout(350)
        route.continue_()

    pages = crawl(create_app(Settings(store)), ("/pages/w1?at=3&correct=1", "/entries?find=hold"))
    page.set_viewport_size({"width": 390, "height": 844})
    page.add_init_script(WATCH)
    page.route("**/*.woff2", late)
    jumps = {}
    for address in pages.addresses:
        page.goto(live_server + address)
        page.evaluate("document.fonts.ready.then(() => 1)")
        page.wait_for_timeout(50)
        shifted = page.evaluate("window.shifted")
        if shifted > MOST:
            jumps[address] = (round(shifted, 3), page.evaluate("window.moved.slice(0, 3)"))

    assert jumps == {}
