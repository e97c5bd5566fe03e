"""In every publication, readers learn that someone was hurt in a trial before they read the technique."""

import subprocess
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from lxml import etree

from exports.glossary.cards import publishing as cards
from exports.glossary.epub.publishing import publish_epub
from exports.glossary.pdf.publishing import publish_pdf
from exports.glossary.site.publishing import publish_site
from termbase.overviews.articles import Library
from termbase.record.trials import Outcome, Trial
from termbase.store.engine import Store
from tests.exports.glossary.conftest import AS_OF

NOTICE = "Someone was hurt when this was tried: Bruised rib, four days."
SAFETY = "safety measures: Crash mat; injuries: Bruised rib, four days"
FIRST_WORDS_OF_HOW = "Right hand on the shoulder strap"


@pytest.fixture
def library(own_store: Store) -> Iterator[Library]:
    with own_store.act("Nia", "tried it") as act:
        act.add(
            Trial("m2", "c0001", "2025-06-01", Outcome.WORKS, safety="Crash mat.",
                  injuries="Bruised rib, four days.")
        )  # fmt: skip
    with own_store.read() as reader:
        yield Library(reader)


def pdf_text(path: Path) -> str:
    output = subprocess.run(
        ["pdftotext", "-raw", path, "-"], capture_output=True, check=True, text=True
    ).stdout
    return " ".join(output.replace("\u00ad\n", "").replace("-\n", "-").split())


def before_the_technique(text: str) -> bool:
    return text.index(NOTICE) < text.index(FIRST_WORDS_OF_HOW)


def test_book(library: Library, tmp_path: Path) -> None:
    publish_pdf(library, tmp_path / "book.pdf", as_of=AS_OF)
    text = pdf_text(tmp_path / "book.pdf")
    assert before_the_technique(text)
    assert SAFETY in text


def test_cards(library: Library, tmp_path: Path) -> None:
    cards.publish_cards(library, tmp_path / "cards.pdf", as_of=AS_OF)
    assert before_the_technique(pdf_text(tmp_path / "cards.pdf"))


def test_epub(library: Library, tmp_path: Path) -> None:
    publish_epub(library, tmp_path / "book.epub", as_of=AS_OF)
    with zipfile.ZipFile(tmp_path / "book.epub") as archive:
        pages = [archive.read(n) for n in archive.namelist() if n.startswith("EPUB/part1")]
    text = " ".join(" ".join(etree.fromstring(page).itertext()) for page in pages)
    text = " ".join(text.split())
    assert before_the_technique(text)
    assert SAFETY in text


def test_site_page_and_lists(library: Library, tmp_path: Path) -> None:
    publish_site(library, tmp_path / "site", as_of=AS_OF)
    page = (tmp_path / "site/entries/c0001.html").read_text("utf-8")
    shown = page.partition('<main id="main"')[2]
    assert shown.index(NOTICE) < shown.index("<svg") < shown.index(FIRST_WORDS_OF_HOW + ", pushing; ")
    assert SAFETY in page
    for language in ("en", "cy"):
        listed = (tmp_path / f"site/names/{language}/index.html").read_text("utf-8")
        assert listed.count("someone was hurt") == listed.count('href="../../entries/c0001.html"')
    quiet = (tmp_path / "site/entries/c0002.html").read_text("utf-8")
    assert "someone was hurt" not in quiet


def test_a_trial_without_stated_injuries_is_reported(own_store: Store, tmp_path: Path) -> None:
    with own_store.read() as reader:
        publish_site(Library(reader), tmp_path / "site", as_of=AS_OF)
    page = (tmp_path / "site/entries/c0001.html").read_text("utf-8")
    assert "injuries not stated" in page
    assert "someone was hurt" not in page
