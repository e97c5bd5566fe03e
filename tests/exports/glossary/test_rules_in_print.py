"""Verdicts name their clauses, and rule codes are printed in the words of their sources."""

import subprocess
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import msgspec
import pytest
from lxml import etree

from app.catalogues import LANGUAGES, voice_of
from exports.glossary.book.assembling import render
from exports.glossary.book.book import Article, Book, Selection
from exports.glossary.epub.publishing import publish_epub
from exports.glossary.pdf.publishing import publish_pdf
from exports.glossary.site.publishing import publish_site
from termbase.overviews.articles import Library
from termbase.rules.clauses import RuleCode
from termbase.store.engine import Store
from tests.exports.glossary.conftest import AS_OF

WORDS = "He that gives a kick shall be put out of the ring & lose."


@pytest.fixture
def library(own_store: Store) -> Iterator[Library]:
    """The sample, with one clause in its source's own words."""
    with own_store.act("Nia", "copied the rule") as act:
        code = act.get(RuleCode, "r1")
        clauses = [msgspec.structs.replace(c, words=WORDS) if c.id == "F4" else c for c in code.clauses]
        act.put(replace(code, clauses=tuple(clauses)))
    with own_store.read() as reader:
        yield Library(reader)


def verdicts(book: Book, entry_id: str) -> dict[str, tuple[str, ...]]:
    items = (i for part in book.parts for letter in part.letters for i in letter.items)
    article = next(i for i in items if isinstance(i, Article) and i.id == entry_id)
    return {verdict.code: verdict.says for verdict in article.verdicts}


def test_a_reason_names_the_number_and_source_of_its_clause(library: Library) -> None:
    fair = verdicts(render(library, as_of=AS_OF), "c0002")["Glanmorwen Fair rules (1868)"]
    assert "A leg is used (kick), which is barred. [F4: Word-List 1898]" in fair
    assert "There is pressure (neck), which is barred. [F6: Word-List 1898]" in fair


def test_a_verdict_within_the_rules_names_the_clauses_it_meets(library: Library) -> None:
    (met,) = verdicts(render(library, as_of=AS_OF), "c0001")["Glanmorwen Fair rules (1868)"]
    assert met.startswith("Clauses met: F2")
    assert met.endswith(": Word-List 1898.")


def test_a_code_is_printed_clause_by_clause(library: Library) -> None:
    fair, _ = render(library, as_of=AS_OF).rules
    kick = next(clause for clause in fair.clauses if clause.number == "F4")
    assert (kick.words, kick.lang, kick.source, kick.says) == (
        WORDS, "en", "Word-List 1898", "Kicking is barred."
    )  # fmt: skip
    trip = next(clause for clause in fair.clauses if clause.number == "F5")
    assert (trip.words, trip.unsaid) == ("", "The source's own words are not recorded.")


def test_only_the_chosen_codes_are_printed(library: Library) -> None:
    assert [code.id for code in render(library, Selection(codes=("r2",)), as_of=AS_OF).rules] == ["r2"]


def test_book(library: Library, tmp_path: Path) -> None:
    publish_pdf(library, tmp_path / "book.pdf", as_of=AS_OF)
    output = subprocess.run(
        ["pdftotext", "-raw", tmp_path / "book.pdf", "-"], capture_output=True, check=True, text=True
    ).stdout
    text = " ".join(output.split())
    assert f"F4 “{WORDS}” (Word-List 1898) Kicking is barred." in text
    assert "[F4: Word-List 1898]" in text


def test_epub(library: Library, tmp_path: Path) -> None:
    publish_epub(library, tmp_path / "book.epub", as_of=AS_OF)
    with zipfile.ZipFile(tmp_path / "book.epub") as archive:
        text = " ".join("".join(etree.fromstring(archive.read("EPUB/rules.xhtml")).itertext()).split())
        nav = archive.read("EPUB/nav.xhtml").decode()
        articles = archive.read("EPUB/part1-001.xhtml").decode()
    assert f"F4 {WORDS} (Word-List 1898)" in text
    assert "Kicking is barred." in text
    assert 'href="rules.xhtml"' in nav
    assert "[F4: Word-List 1898]" in articles
    assert 'href="rules.xhtml#r1"' in articles


def test_site(library: Library, tmp_path: Path) -> None:
    publish_site(library, tmp_path / "site", as_of=AS_OF)
    rules = (tmp_path / "site/rules.html").read_text("utf-8")
    assert WORDS.replace("&", "&amp;") in rules
    assert 'id="r1-F4"' in rules
    entry = (tmp_path / "site/entries/c0002.html").read_text("utf-8")
    assert "[F4: Word-List 1898]" in entry
    assert 'href="../rules.html#r1"' in entry


@pytest.mark.parametrize("tag", LANGUAGES)
def test_every_verdict_of_the_demo_names_a_clause_or_a_silence(tag: str, demo_store: Store) -> None:
    with demo_store.read() as reader:
        book = render(Library(reader), Selection(voice=voice_of(tag)), as_of=AS_OF)
    numbers = {clause.number for code in book.rules for clause in code.clauses}
    judged = [
        (item.id, verdict)
        for part in book.parts
        for letter in part.letters
        for item in letter.items
        if isinstance(item, Article)
        for verdict in item.verdicts
    ]
    assert judged
    for entry_id, verdict in judged:
        assert verdict.says, (entry_id, verdict.code)
        if verdict.mark in "■▼":  # fits, or breaks the rules
            assert any(number in reason for reason in verdict.says for number in numbers), (entry_id, verdict)
    assert all(clause.words for code in book.rules for clause in code.clauses)
