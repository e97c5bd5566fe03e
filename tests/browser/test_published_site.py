"""The published site as readers have it: from a folder, searched without a server, checked by axe-core."""

import json
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from exports.glossary.site import search
from exports.glossary.site.publishing import publish_site
from termbase.languages.files import language, shipped_tags
from termbase.languages.keys import KeyKind, query_keys
from termbase.languages.mutations import mutated
from termbase.overviews.articles import Library
from termbase.record.entries import Definition, Entry, Origin, Term, Topic
from termbase.record.people import Termbase
from termbase.record.sources import Slip, Source, SourceKind
from termbase.store.engine import Store

SEARCH = Path(search.__file__).with_name("search.js")
PAGES = (
    "index.html", "search.html?q=fachiad", "about.html", "rules.html", "sources.html", "mechanic.html",
    "names/cy/index.html", "names/en/b.html", "entries/c0015.html", "entries/c0008.html",
)  # fmt: skip
OLD_PRINT = (
    "An ḃean ⁊ an fear",
    "ꝼear ṁór",
    "ſtrap-hold",
    "Back’heel",
    "ﬁne  fall",
    "bean ⁊c",
    "S\u0307liaḃ",
    "Æon",
)


@pytest.fixture(scope="module")
def site(demo_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo as a site, under a path with a space and an accent."""
    room = tmp_path_factory.mktemp("published")
    store = Store.open(shutil.copyfile(demo_file, f"{room}/demo.sqlite"))
    with store.read() as reader:
        publish_site(Library(reader), room / "ar y cof" / "geirfa ŵ", as_of="2026-03-01")
    store.close()
    return room / "ar y cof" / "geirfa ŵ"


@pytest.fixture
def asked(page: Page) -> list[str]:
    """Return the addresses that the page loads."""
    found: list[str] = []
    page.on("request", lambda request: found.append(request.url))
    return found


@pytest.mark.parametrize("address", PAGES)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_kind_of_page_passes_axe_and_fits_a_small_screen(
    browser: Browser, site: Path, violations: Callable[[Page], list[object]], address: str, scheme: str
) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 800}, color_scheme=scheme)
    page = context.new_page()
    page.goto(f"{site.as_uri()}/{address}")
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    context.close()


def test_very_long_words_break_within_a_small_screen(browser: Browser, tmp_path: Path) -> None:
    long = "ŵx" * 150
    store = Store.create(str(tmp_path / "s.sqlite"), Termbase("Words", vernaculars=("cy",)), by="Nia")
    with store.act("Nia", "made it") as act:
        act.add(Source("s1", long[:60], SourceKind.OTHER, long))
        for number, text in ((1, long), (2, "fall"), (3, long[1:])):
            whole = (Definition("en", long),)
            terms = (Term(f"t{number}", text, "en", Origin.IN_USE),)
            act.add(Entry(f"c000{number}", Topic.FALL, terms, definitions=whole, usage_note=long))
        act.add(Slip("q1", "s1", long, term_id="t2"))
    with store.read() as reader:
        publish_site(Library(reader), tmp_path / "site", as_of="2026-03-01")
    store.close()
    page = browser.new_page(viewport={"width": 390, "height": 800})
    for address in sorted((tmp_path / "site").rglob("*.html")):
        page.goto(address.as_uri())
        assert page.evaluate("document.documentElement.scrollWidth") <= 390, address.name
    page.close()


def test_it_works_from_a_folder_and_loads_nothing_from_elsewhere(
    page: Page, site: Path, asked: list[str]
) -> None:
    page.goto(f"{site.as_uri()}/index.html")
    page.get_by_role("link", name="Welsh: Ll").click()
    page.get_by_role("link", name="llidiart").click()
    expect(page.locator("h1")).to_have_text("gate")
    page.locator("#q").fill("fachiad")
    page.keyboard.press("Enter")
    expect(page.locator("#found li").first).to_contain_text("bachiad")
    assert all(url.startswith((site.as_uri(), "data:")) for url in asked), asked


def test_typing_finds_names_and_says_how(page: Page, site: Path) -> None:
    page.goto(f"{site.as_uri()}/search.html")
    page.locator("#q").fill("fachiad sawdl")
    expect(page.locator("#found li").first).to_contain_text("mutated form: soft, b > f")
    page.locator("#q").fill("bak-heal")
    expect(page.locator("#found li").first).to_contain_text("near name")
    page.locator("#q").fill("cros")
    expect(page.locator("#found")).to_contain_text("cross-buttock")
    page.locator("#q").fill("zzzzzz")
    expect(page.locator("#found-number")).to_contain_text("Nothing similar was found")


def test_typed_markup_is_shown_as_text(page: Page, site: Path) -> None:
    page.goto(f"{site.as_uri()}/search.html?q=%3Cimg%20src%3Dx%20onerror%3Dalert(1)%3E")
    expect(page.locator("#found-number")).to_contain_text("Nothing similar was found")
    assert page.locator("main img").count() == 0


def _asked_for() -> Iterator[str]:
    """Mutated, irregular and compound forms of every language, and old print."""
    yield from OLD_PRINT
    for tag in shipped_tags():
        file = language(tag)
        heads = [*file.irregular, *(form for forms in file.irregular.values() for form in forms)]
        yield from heads
        for head in list(file.irregular)[:12]:
            yield from (each.text for each in mutated(head, tag))
            yield f"{head} mór"
            yield f"y {head}-{head}"
        yield from (example for rule in file.spellings for example in rule.examples)


def test_a_query_is_analysed_as_in_the_termbase(page: Page) -> None:
    data = search.language_data(shipped_tags())
    page.evaluate(f"globalThis.LANGUAGES = {json.dumps(data, default=list)}")
    page.evaluate(SEARCH.read_text("utf-8"))
    forms = sorted(set(_asked_for()))
    tags = ["und", *shipped_tags()]
    found = page.evaluate(
        "([forms, tags]) => forms.map(f => GLOSSARY_SEARCH.queryKeys(f, tags))", [forms, tags]
    )
    ranks = [kind.rank for kind in KeyKind]
    assert ranks == list(range(len(ranks)))
    for form, keys in zip(forms, found, strict=True):
        wanted = {(k.kind.rank, k.text, k.language, k.note) for k in query_keys(form, None)}
        assert {tuple(key) for key in keys} == wanted, form
    assert len(forms) > 700
