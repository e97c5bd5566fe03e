"""The publication in a language other than English: all of its own words are translated."""

import html
import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest

from exports.glossary.book.assembling import render
from exports.glossary.book.book import Article, Selection
from exports.glossary.cards.publishing import publish_cards
from exports.glossary.epub.publishing import publish_epub
from exports.glossary.pdf.publishing import publish_pdf
from exports.glossary.site.publishing import publish_site
from termbase.overviews.articles import Library
from termbase.voice import Voice

AS_OF = "2026-03-01"


class Marking:
    """Puts every text between two signs, so that an untranslated one stands out."""

    def one(self, text: str, /) -> str:
        return f"⟦{text}⟧" if text else text

    def number(self, one: str, many: str, n: int, /) -> str:
        return f"⟦{one if n == 1 else many}⟧"


MARKED = Selection(voice=Voice("cy", Marking()))
OWN = (
    "draft", "rebuilt", "coined", "several witnesses", "Caution.", "see", "also", "breaks the rules",
    "Cautions", "How to read an article", "Sources", "Index by mechanic", "noun", "clauses", "Record as of",
    "mechanic:", "Throws and trips", "Find out", "word-list", "March", "newspaper", "contrasts with",
    "Tried:",
)  # fmt: skip
"""Words of the tool that every publication of the sample, or some of them, contain."""


def unmarked(text: str) -> str:
    """Return the text outside the signs, which may be nested."""
    depth, kept = 0, []
    for character in text:
        depth = max(0, depth + (character == "⟦") - (character == "⟧"))  # the beginning of one may be cut
        if depth == 0 and character != "⟧":
            kept.append(character)
    return "".join(kept)


def visible(markup: str) -> str:
    """Return the text of a page, including descriptions for screen readers."""
    whole = re.sub(r"<script.*?</script>|<style.*?</style>", "", markup, flags=re.DOTALL)
    labels = " ".join(re.findall(r'(?:aria-label|alt)="([^"]*)"', whole))
    return html.unescape(re.sub(r"<[^>]+>", " ", whole) + " " + labels)


def left_in_english(text: str) -> list[str]:
    outside = unmarked(text)
    return [word for word in OWN if re.search(rf"(?<!\w){re.escape(word)}(?!\w)", outside)]


def test_every_word_of_the_book_s_own_is_in_its_language(library: Library) -> None:
    book = render(library, MARKED, as_of=AS_OF)
    words = {field: getattr(book.words, field) for field in book.words.__struct_fields__}
    assert all(text.startswith("⟦") for text in words.values()), words
    fronts = [text for f in book.front for text in (f.title, *f.paragraphs)]
    assert [text for text in fronts if not text.startswith("⟦")] == []
    assert (book.lang, book.own_lang) == ("cy", "en")


@pytest.mark.parametrize("make", [publish_site, publish_epub])
def test_no_page_has_untranslated_words_of_the_tool(
    library: Library, tmp_path: Path, make: Callable[..., object]
) -> None:
    make(library, tmp_path / "made", as_of=AS_OF, selection=MARKED)
    if make is publish_site:
        pages = {p.name: p.read_text("utf-8") for p in (tmp_path / "made").rglob("*.html")}
    else:
        with zipfile.ZipFile(tmp_path / "made") as archive:
            pages = {n: archive.read(n).decode() for n in archive.namelist() if n.endswith(".xhtml")}
    assert len(pages) > 5
    assert {name: left for name, page in pages.items() if (left := left_in_english(visible(page)))} == {}
    for page in pages.values():
        assert '<html lang="cy"' in page or 'lang="cy" xml:lang="cy">' in page


def test_the_site_search_has_translated_plural_forms(library: Library, tmp_path: Path) -> None:
    publish_site(library, tmp_path / "site", as_of=AS_OF, selection=MARKED)
    names = (tmp_path / "site/assets/names.js").read_text("utf-8")
    for category in ("zero", "one", "two", "few", "many", "other"):
        assert f'"{category}":"⟦' in names
    assert '"begins":"⟦begins like this⟧"' in names


def test_the_documents_state_the_language_of_their_words(library: Library, tmp_path: Path) -> None:
    plain = Selection(voice=Voice("ga", Plain()))
    publish_pdf(library, tmp_path / "book.pdf", as_of=AS_OF, selection=plain)
    publish_cards(library, tmp_path / "cards.pdf", as_of=AS_OF, selection=plain)
    publish_epub(library, tmp_path / "book.epub", as_of=AS_OF, selection=plain)
    for name in ("book.pdf", "cards.pdf"):
        assert pypdf.PdfReader(tmp_path / name).trailer["/Root"]["/Lang"] == "ga"  # type: ignore[index]
    with zipfile.ZipFile(tmp_path / "book.epub") as archive:
        package = archive.read("EPUB/package.opf").decode()
    assert re.findall(r"<dc:language>(\w+)<", package) == ["ga", "en", "cy"]
    assert 'unique-identifier="id" xml:lang="ga"' in package


class Plain:
    def one(self, text: str, /) -> str:
        return text

    def number(self, one: str, many: str, n: int, /) -> str:
        return one if n == 1 else many


def test_names_stay_in_their_own_language(library: Library) -> None:
    book = render(library, MARKED, as_of=AS_OF)
    items = (i for p in book.parts for letter in p.letters for i in letter.items)
    heel = next(i for i in items if isinstance(i, Article) and i.id == "c0001")
    assert (heel.head.text, heel.head.lang) == ("back-heel", "en")
    assert heel.note == "The first thing a boy learnt."


def test_books_in_other_languages_have_other_ids(library: Library, tmp_path: Path) -> None:
    found = set()
    for n, selection in enumerate((Selection(), Selection(voice=Voice("cy", Plain())))):
        publish_epub(library, tmp_path / f"{n}.epub", as_of=AS_OF, selection=selection)
        with zipfile.ZipFile(tmp_path / f"{n}.epub") as archive:
            found.update(re.findall(r"urn:uuid:[\w-]+", archive.read("EPUB/package.opf").decode()))
    assert len(found) == 2
