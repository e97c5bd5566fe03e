"""The site as files: stable addresses, links with targets, all the required texts."""

import json
import re
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urljoin, urlparse

import pytest

from exports.glossary.book.book import Selection
from exports.glossary.site.outline import slug
from exports.glossary.site.publishing import SiteReport, publish_site
from termbase.overviews.articles import Library
from termbase.record.entries import Definition, Entry, Origin, Term, Topic
from termbase.record.people import CAUTIONS, Termbase
from termbase.store.engine import Store

AS_OF = "2026-03-01"
NOTICE = "Everything in this book is invented and is evidence of nothing."


@pytest.fixture(scope="module")
def published(sample_store: Store, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, SiteReport]:
    folder = tmp_path_factory.mktemp("published") / "site"
    with sample_store.read() as reader:
        return folder, publish_site(Library(reader), folder, as_of=AS_OF)


@pytest.fixture(scope="module")
def site(published: tuple[Path, SiteReport]) -> Path:
    return published[0]


class Links(HTMLParser):
    """Everything that a page links to or loads."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.ids: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found += [v or "" for k, v in attrs if k in ("href", "src", "action")]
        self.ids += [v or "" for k, v in attrs if k == "id"]


def links_of(page: Path) -> Links:
    links = Links()
    links.feed(page.read_text("utf-8"))
    return links


def text_of(site: Path, entry_id: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", (site / f"entries/{entry_id}.html").read_text("utf-8")))


def test_the_report_counts_what_was_written(published: tuple[Path, SiteReport]) -> None:
    site, report = published
    files = [p for p in site.rglob("*") if p.is_file()]
    assert (report.entries, report.drafts, report.names) == (5, 4, 12)
    assert report.files == len(files)


def test_every_entry_has_a_page_at_its_id(site: Path) -> None:
    assert {p.stem for p in (site / "entries").iterdir()} == {f"c000{n}" for n in range(1, 6)}


def test_every_link_has_a_target_in_the_site(site: Path) -> None:
    for page in site.rglob("*.html"):
        for address in links_of(page).found:
            parts = urlparse(urljoin(page.as_uri(), address))
            if parts.scheme == "data" or not parts.path:
                continue
            assert parts.scheme == "file", f"{page} points to {address}"
            target = Path(unquote(parts.path))
            assert target.is_file(), f"{page} points to {address}"
            assert target.is_relative_to(site)


def test_ids_are_unique_on_a_page(site: Path) -> None:
    for page in site.rglob("*.html"):
        ids = links_of(page).ids
        assert len(ids) == len(set(ids)), page


def test_each_letter_of_the_alphabet_has_its_page(site: Path) -> None:
    # Welsh: ll is one letter, after l (CLDR cy)
    assert {p.stem for p in (site / "names/cy").iterdir()} == {"index", "b", "c", "g", "ll", "t"}


@pytest.mark.parametrize(
    ("letter", "name"),
    [("A", "a"), ("Ch", "ch"), ("C'h", "c-h"), ("#", "other"), ("Ŵ", "u0175"), ("Д", "u0434")],
)
def test_a_letter_s_page_has_a_plain_name(letter: str, name: str) -> None:
    assert slug(letter) == name


def test_an_entry_shows_names_evidence_verdicts_figure_quotations_and_trials(site: Path) -> None:
    text = text_of(site, "c0001")
    for words in (
        "back-heel", "bachiad sawdl", "*tro sawdl", "rebuilt", "several witnesses, 1871–about 1889",
        "Glanmorwen Fair rules (1868): fits.", "Ruled fits by Ruth Ashbarrow", "Both wrestlers from above",
        "Right hand on", "Evan gave the back-heel twice.", "Mail, p. 4", "left hand lower", "heel-chip",
        "contrasts with",
    ):  # fmt: skip
        assert words in text, words


def test_techniques_have_cautions_and_every_page_has_the_notice(site: Path) -> None:
    for entry_id in ("c0001", "c0002", "c0003"):
        assert CAUTIONS[:50] in text_of(site, entry_id)
    assert "It kicks" in text_of(site, "c0002")
    assert CAUTIONS[:50] not in text_of(site, "c0005"), "nobody tries a bout on another"
    assert all(NOTICE in p.read_text("utf-8") for p in site.rglob("*.html"))


def test_drafts_are_marked(site: Path) -> None:
    assert "Draft." in text_of(site, "c0002")
    assert "Draft." not in text_of(site, "c0001")


def test_each_page_is_described_as_linked_data(site: Path) -> None:
    page = (site / "entries/c0001.html").read_text("utf-8")
    (script,) = re.findall(r'<script type="application/ld\+json">(.*?)</script>', page, re.S)
    data = json.loads(script)
    assert (data["@type"], data["termCode"]) == ("DefinedTerm", "c0001")
    assert data["name"] == {"@value": "back-heel", "@language": "en"}
    assert {"@value": "bachiad sawdl", "@language": "cy"} in data["alternateName"]
    assert data["subjectOf"][0]["@type"] == "Quotation"
    assert NOTICE in data["disambiguatingDescription"]


def test_only_vocabularies_have_outside_addresses(site: Path) -> None:
    named: set[str] = set()
    for page in [*site.rglob("*.html"), *site.rglob("*.css"), *site.rglob("*.js")]:
        named.update(re.findall(r"https?://[^\s\"'<)]+", page.read_text("utf-8")))
    assert named <= {"http://www.w3.org/2000/svg", "https://schema.org"}


def test_only_the_selection_is_published(library: Library, tmp_path: Path) -> None:
    chosen = Selection(drafts=False, codes=("r2",), figures=False, quotations=False)
    publish_site(library, tmp_path / "site", as_of=AS_OF, selection=chosen)
    assert [p.name for p in (tmp_path / "site/entries").iterdir()] == ["c0001.html"]
    text = text_of(tmp_path / "site", "c0001")
    assert "Open-hold matches" in text
    assert "Fair rules (1868): fits" not in text
    assert "Both wrestlers" not in text
    assert "Evan gave" not in text
    assert "clog-kick" in text, "a pointer to what is not published is plain text"


def test_the_same_record_gives_the_same_files(library: Library, site: Path, tmp_path: Path) -> None:
    publish_site(library, tmp_path / "again", as_of=AS_OF)
    for page in site.rglob("*"):
        if page.is_file():
            assert (tmp_path / "again" / page.relative_to(site)).read_bytes() == page.read_bytes(), page


def test_progress_is_reported_to_the_last_entry(library: Library, tmp_path: Path) -> None:
    progress: list[tuple[int, int]] = []
    publish_site(
        library, tmp_path / "s", as_of=AS_OF, on_progress=lambda done, total: progress.append((done, total))
    )
    assert progress[-1] == (5, 5)


def test_markup_in_the_record_is_shown_as_text(tmp_path: Path) -> None:
    wild = '</script><script>alert(1)</script> "x" & <b>'
    termbase = Termbase(title=wild, vernaculars=("cy",), notice=wild)
    store = Store.create(str(tmp_path / "wild.sqlite"), termbase, by="Nia")
    with store.act("Nia", "filled it") as act:
        name = Term("t1", wild, "en", Origin.IN_USE)
        act.add(Entry("c0001", Topic.HOLD, (name,), definitions=(Definition("en", wild),)))
        act.add(Entry("c0002", None, (Term("t2", "投", "ja", Origin.IN_USE),)))
    with store.read() as reader:
        publish_site(Library(reader), tmp_path / "site", as_of=AS_OF)
    store.close()
    for page in (tmp_path / "site").rglob("*.html"):
        assert "alert(1)</script>" not in page.read_text("utf-8")
    assert "c0002" in (tmp_path / "site/index.html").read_text("utf-8"), "an entry without a name is not lost"


def test_a_private_use_language_has_its_names_and_rules(tmp_path: Path) -> None:
    store = Store.create(str(tmp_path / "s.sqlite"), Termbase("Words", vernaculars=("x-glan",)), by="Nia")
    with store.act("Nia", "made it") as act:
        terms = (Term("t1", "fall", "en", Origin.IN_USE), Term("t2", "glanwort", "x-glan", Origin.COINED))
        act.add(Entry("c0001", None, terms))
    with store.read() as reader:
        report = publish_site(Library(reader), tmp_path / "site", as_of=AS_OF)
    store.close()
    assert report.names == 2
    assert '"x-glan":{' in (tmp_path / "site/assets/languages.js").read_text("utf-8")
    assert '"primary":["en","x-glan"]' in (tmp_path / "site/assets/names.js").read_text("utf-8")


def test_an_empty_termbase_gives_a_site(tmp_path: Path) -> None:
    store = Store.create(
        str(tmp_path / "empty.sqlite"), Termbase(title="Empty", vernaculars=("cy",)), by="Nia"
    )
    with store.read() as reader:
        assert publish_site(Library(reader), tmp_path / "site", as_of=AS_OF).entries == 0
    store.close()
    assert (tmp_path / "site/index.html").is_file()
