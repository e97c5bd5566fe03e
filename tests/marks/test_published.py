"""Every text in the data of the book and the cards appears in each published file.

`test_marks` searches that data for marks and choices; this test finds what is lost between the data and a
file.
"""

import html
import re
from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest
from pypdfium2 import PdfDocument

from exports.glossary.book.assembling import render
from exports.glossary.book.book import Selection
from exports.glossary.cards.publishing import deck_of, publish_cards
from exports.glossary.pdf.publishing import publish_pdf
from tests.marks.outputs import DAY, OUTPUTS
from tests.marks.seeking import Bench

NOT_READ = {
    "svg",
    "alt",
    "lang",
    "own_lang",
    "paper",
    "words",
    "file",
    "to",
    "id",
    "code_id",
    "subtitle",
    "index_title",
}
"""Parts of the data that are no text of the record: drawings, addresses, what only one of the files has."""


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    made = Bench(tmp_path_factory.mktemp("published"))
    yield made
    made.store.close()


def texts(value: object) -> Iterator[str]:
    """Yield every readable text in the data of a publication, without spaces and punctuation."""
    if isinstance(value, dict):
        for name, inner in value.items():
            if name not in NOT_READ:
                yield from texts(inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from texts(inner)
    elif isinstance(value, str) and (plain := letters(value)):
        yield plain


def letters(text: str) -> str:
    """Return a text for comparison, since each file breaks lines and words differently."""
    return re.sub(r"[\W\ufffe]+", "", text)


def read_in(pdf: Path) -> str:
    with PdfDocument(pdf) as document:
        return letters("".join(page.get_textpage().get_text_range() for page in document))


def read_in_pages(content: bytes) -> str:
    """Return the text of web pages, without drawings and scripts."""
    text = re.sub(r"<(svg|style|script).*?</\1>", "", content.decode("utf-8", "replace"), flags=re.DOTALL)
    return letters(html.unescape(re.sub(r"<[^>]*>", " ", text)))


def test_each_text_of_the_book_is_in_its_pdf_its_epub_and_on_the_site(bench: Bench) -> None:
    with bench.library(bench.base) as library:
        book = msgspec.to_builtins(render(library, Selection(), as_of=DAY))
        publish_pdf(library, bench.folder / "book.pdf", as_of=DAY)
        written = {
            "pdf": read_in(bench.folder / "book.pdf"),
            **{n: read_in_pages(OUTPUTS[n].write(library, bench.folder)) for n in ("epub", "site")},
        }

    wanted, parts = set(texts(book)), {letters(part["title"]) for part in book["parts"]}
    assert len(wanted) > 100
    assert {name: {w for w in wanted if w not in text} for name, text in written.items()} == {
        "pdf": set(), "epub": set(), "site": parts,  # the site has a list for each language instead
    }  # fmt: skip


def test_each_text_of_the_deck_is_on_the_cards(bench: Bench) -> None:
    with bench.library(bench.base) as library:
        deck = msgspec.to_builtins(deck_of(library, Selection(), as_of=DAY))
        publish_cards(library, bench.folder / "cards.pdf", as_of=DAY)
        text = read_in(bench.folder / "cards.pdf")

    assert sorted(wanted for wanted in set(texts(deck)) if wanted not in text) == []
