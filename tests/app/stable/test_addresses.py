"""Addresses of the web app, the fields of its forms and the parameters of its links stay the same.

A part of an address that depends on the record is written `*`, a number in the name of a field `#`.
Choices contain only words of closed lists: no ids, labels or titles.
"""

import io
import re
import time
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import parse_qsl, urljoin, urlsplit

from flask import Flask
from flask.testing import FlaskClient
from lxml import html
from werkzeug.exceptions import HTTPException

from app.web import Settings, create_app
from termbase.record.entries import Entry
from termbase.record.people import UNNAMED, Termbase
from termbase.store.engine import Store
from tests.app.stable.held import check
from tests.browser.crawling import crawl

SAMPLES = Path(__file__).parent / "samples"
FILES = (
    ("names.csv", SAMPLES / "names.csv"),
    ("works.bib", SAMPLES / "works.bib"),
    ("words.tbx", Path(__file__).parents[2] / "exports" / "tbx" / "foreign" / "basic-dca.tbx"),
)
NOT_FIRST = (
    "/pages/w1?at=3&correct=1", "/sources/witnesses/t89", "/entries/c0001/merge?other=c0008",
    "/entries/c0015", "/entries/c0015/edit/ruling-r1", "/sources/unsorted", "/sources/unsorted?source=s3",
    "/entries?section=B", "/entries?lang=cy", "/history/act/3", "/sources?sort=slips&desc=1",
    "/entries/c0015?read=language", "/rules/r90", "/rules/r90/edit", "/rules/r1/edit",
    "/sources/slips?sort=name&desc=1", "/rules?sort=r1", "/trials?sort=entry&desc=1", "/entries?stage=draft",
    "/proof?check=homonym", "/entries/c0033?read=language", "/pages/w1", "/pages/w1?at=1", "/pages/w1?at=2",
)  # fmt: skip
"""Pages with names that the first page of their kind may lack."""
Fields = dict[str, set[str]]
WORD = re.compile(r"he|no|[a-z]{3,}|[a-z]{2,}(?:[ -][a-z]+)+")
"""A word that may be of a closed list: not an id, label, title or language tag."""
OF_THE_RECORD = ("label", "out", "usual")
"""Fields whose choices come from the record, or are a starting sentence."""


def without_variables(rule: str) -> str:
    return re.sub(r"<[^>]*>", "*", rule)


class Seen:
    """The fields that forms and links of pages send, by address."""

    def __init__(self, app: Flask) -> None:
        self.forms: Fields = defaultdict(set)
        self.questions: Fields = defaultdict(set)
        self.choices: Fields = defaultdict(set)
        self._addresses = app.url_map.bind("localhost")

    def take(self, address: str, page: html.HtmlElement) -> None:
        """Read a page and collect its forms and links."""
        for form in page.iter("form"):
            for to, method, each in sent(form, page):
                place, name = (
                    self._place(urljoin(address, to or address), method),
                    unnumbered(each.get("name")),
                )
                if place:
                    self.forms[place].add(name)
                    self.choices[f"{place} > {name}"] |= set(choices(each))
        for link in page.iterfind(".//a[@href]"):
            to = urljoin(address, link.get("href"))
            for name, _ in parse_qsl(urlsplit(to).query, keep_blank_values=True):
                if place := self._place(to, "GET"):
                    self.questions[place].add(unnumbered(name))

    def _place(self, address: str, method: str) -> str:
        """Return the method and the rule of an address; empty if it is outside the app."""
        try:
            rule, _ = self._addresses.match(urlsplit(address).path, method=method, return_rule=True)
        except HTTPException:
            return ""
        return f"{method} {without_variables(str(rule))}"


def unnumbered(name: str) -> str:
    return re.sub(r"\d+", "#", name)


def choices(field: html.HtmlElement) -> Iterator[str]:
    """Return the words of a closed list that a field offers."""
    if field.get("name") in OF_THE_RECORD:
        return
    values = [option.get("value") for option in field.iter("option")]
    if field.get("type") in ("radio", "checkbox") or field.tag == "button":
        values = [field.get("value")]
    yield from (value for value in values if value and WORD.fullmatch(value))


def sent(form: html.HtmlElement, page: html.HtmlElement) -> Iterator[tuple[str, str, html.HtmlElement]]:
    """Yield address, method and every field of a form, for each button that sends it to another address."""
    own = page.xpath("//*[@form=$id]", id=form.get("id")) if form.get("id") else []
    fields = [
        each for each in [*form.iter("input", "select", "textarea", "button"), *own] if each.get("name")
    ]
    method = (form.get("method") or "get").upper()
    elsewhere = {(each.get("formaction"), (each.get("formmethod") or method).upper())
                 for each in [*form.iter("button"), *own] if each.get("formaction")}  # fmt: skip
    for to, how in {(form.get("action") or "", method), *elsewhere}:
        for each in fields:
            yield to, how, each


def finished(client: FlaskClient, address: str) -> str:
    """Return the same address, after its job has ended."""
    for _ in range(600):
        if "/progress/" not in address or client.get(f"{address}.json").get_json()["state"] == "finished":
            return address
        time.sleep(0.05)
    raise AssertionError(f"{address} does not end")


def posted(client: FlaskClient, address: str, **data: object) -> str:
    """Return the address that a form leads to."""
    answer = client.post(address, data=data)
    assert answer.status_code == 303, (address, answer.status_code)
    return finished(client, urljoin(address, answer.location))


def taken_in(client: FlaskClient, store: Store, name: str, content: bytes) -> Iterator[str]:
    """Pages of a TBX file and of its entries, which have notes from another program."""
    place = posted(client, "/exchange", file=(io.BytesIO(content), name))
    if link := re.search(r'href="(/exchange/[^"]+)"', client.get(place).text):  # on the page of a job
        place = link[1]
    yield posted(client, place, take="new")
    with store.read() as reader:
        brought = [entry for entry in reader.all(Entry) if entry.foreign_notes]
    assert brought
    yield from (f"/entries/{entry.id}" for entry in brought)


def pages_after_acts(client: FlaskClient, store: Store) -> Iterator[str]:
    """Pages to which no link leads: those that show what was done or uploaded."""
    for name, path in FILES:
        brought = {"file": (io.BytesIO(path.read_bytes()), name)}
        yield posted(client, "/exchange", **brought)
    columns = {"column-0": "name", "column-1": "language", "column-2": "origin"}
    table = posted(
        client, "/exchange", file=(io.BytesIO(b"name,language,origin\nhank,en,coined\n"), "list.csv")
    )
    yield posted(client, table, **columns)
    yield from taken_in(client, store, "words.tbx", FILES[-1][1].read_bytes())
    yield posted(client, "/reading/demo/lantern-1872-08-10")
    yield posted(client, "/pages/w1/accept")
    yield posted(client, "/publish/tbx", dialect="basic-dca", entries="all")
    yield posted(client, "/publish/files/backup")
    posted(client, "/rules/import", kind="codes", text=(SAMPLES / "codes.toml").read_text("utf-8"))
    yield from NOT_FIRST


def test_addresses_forms_and_parameters_stay(demo_store: Store, store: Store) -> None:
    app = create_app(Settings(demo_store))
    client = app.test_client()
    client.environ_base["HTTP_ORIGIN"] = "http://localhost"
    seen = Seen(app)
    after = tuple(pages_after_acts(client, demo_store))

    assert crawl(app, after, each=1, on_page=seen.take).failed == {}
    with store.act("Gwen", "left it unnamed") as act:
        act.put(Termbase(UNNAMED, vernaculars=("cy",), version=act.termbase().version))
    for settings in (Settings(store), Settings(store, key="wood-fair-turf-hill-1868")):
        page = create_app(settings).test_client().get("/")
        seen.take("/", html.fromstring(page.text))

    addresses: Fields = defaultdict(set)
    for rule in app.url_map.iter_rules():
        addresses[without_variables(str(rule))] |= (rule.methods or set()) - {"HEAD", "OPTIONS"}
    result = {
        "addresses": addresses,
        "forms": seen.forms,
        "questions": seen.questions,
        "choices": seen.choices,
    }
    check("addresses", {kind: {place: sorted(names) for place, names in places.items() if names}
                        for kind, places in result.items()})  # fmt: skip
