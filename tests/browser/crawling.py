"""Every kind of page of the web interface, found by following links from the start page."""

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from urllib.parse import urlsplit

from flask import Flask
from flask.testing import FlaskClient
from lxml import html
from werkzeug.exceptions import HTTPException

__all__ = ["Crawl", "crawl"]

NO_PAGES = frozenset({
    "static", "entries.find", "entries.choose", "entries.signs", "entries.modern", "entries.image",
    "sources.date", "sources.terms", "pages.scan", "technique.look", "progress.state", "progress.file",
})  # fmt: skip
"""Addresses that return a picture, a fragment or data for a script."""


@dataclass
class Crawl:
    """The kinds of page found, each with the first addresses of it, and the addresses that failed.

    A kind is the endpoint, with the part of the entry where one is edited (`entries.edit term`), and whether
    a line is corrected (`pages.desk correct`).
    """

    found: dict[str, list[str]] = field(default_factory=dict)
    failed: dict[str, int] = field(default_factory=dict)

    @property
    def addresses(self) -> list[str]:
        """One address of every kind."""
        return [addresses[0] for addresses in self.found.values()]


def crawl(
    app: Flask,
    also: tuple[str, ...] = (),
    each: int = 2,
    on_page: Callable[[str, html.HtmlElement], None] = lambda address, page: None,
) -> Crawl:
    """Open these pages and follow every link; `on_page` gets each page.

    Of the pages that links lead to, at most `each` of a kind are opened, those of `also` included.
    """
    client = app.test_client()
    result = Crawl()
    named = {"/", *also}
    waiting = deque(("/", *also))
    seen = set(waiting)
    while waiting:
        address = waiting.popleft()
        kind = _kind(app, address)
        if not kind or (address not in named and len(result.found.get(kind, ())) >= each):
            continue
        text = _page(client, address, result)
        if not text:
            continue
        result.found.setdefault(kind, []).append(address)
        page = html.fromstring(text)
        on_page(address, page)
        for link in page.iterfind(".//a[@href]"):
            to = link.get("href").partition("#")[0]
            if to.startswith("/") and to not in seen:
                seen.add(to)
                waiting.append(to)
    return result


def _page(client: FlaskClient, address: str, result: Crawl) -> str:
    answer = client.get(address)
    if answer.status_code >= 400:
        result.failed[address] = answer.status_code
    is_page = answer.status_code == 200 and answer.mimetype == "text/html"
    return answer.get_data(as_text=True) if is_page else ""


def _kind(app: Flask, address: str) -> str:
    """Return the kind of page at an address, or empty if there is none."""
    try:
        endpoint, values = app.url_map.bind("localhost").match(urlsplit(address).path, method="GET")
    except HTTPException:
        return ""
    if endpoint in NO_PAGES:
        return ""
    part = str(values.get("part_id", "")).partition("-")
    new = " new" if part[2] == "new" else ""
    correct = " correct" if "correct=1" in address else ""
    return " ".join(f"{endpoint} {part[0]}{new}{correct}".split())
