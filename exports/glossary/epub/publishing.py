"""Publishes the book as an EPUB file: its documents, its table of contents, and the file itself."""

import re
import zipfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import NamedTuple
from uuid import NAMESPACE_URL, uuid5

from exports.files import atomic_write, check_writable
from exports.glossary.book.assembling import render
from exports.glossary.book.book import Article, Book, Letter, Part, ReverseLine, Selection
from exports.glossary.book.coverage import PRINT_FONTS
from exports.glossary.book.markup import template_environment
from exports.glossary.book.pictures import picture_files
from exports.glossary.book.wording import entries_counted
from termbase.dates.edtf import parse
from termbase.messages import joined
from termbase.overviews.articles import Library
from termbase.voice import Voice

__all__ = [
    "MOST_ARTICLES",
    "Chapter",
    "Document",
    "EpubReport",
    "Stretch",
    "documents_of",
    "homes_of",
    "publish_epub",
    "table_of",
]


TEMPLATES = Path(__file__).with_name("templates")
STYLE = Path(__file__).with_name("book.css")
BOOK = "EPUB"
_NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")
_CONTAINER = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<container version="1.0" xmlns="urn:oasis:names:tc:opendocument:xmlns:container"><rootfiles>'
    f'<rootfile full-path="{BOOK}/package.opf" media-type="application/oebps-package+xml"/>'
    "</rootfiles></container>\n"
)
MOST_ARTICLES = 60
"""Articles per document: reading systems open a document as a whole and begin it on a new page."""
MOST_LINES = 400
"""Lines of the reverse part per document."""


class Stretch(NamedTuple):
    """A letter with its articles, or part of one; `anchor` is empty where the letter continues."""

    letter: str
    anchor: str
    items: tuple[Article | ReverseLine, ...]


class Document(NamedTuple):
    """A document: its file, the part it belongs to, whether it opens that part, and its letters."""

    file: str
    part: str
    lang: str
    opens_part: bool
    stretches: tuple[Stretch, ...]

    @property
    def has_figures(self) -> bool:
        """Return whether it contains a figure."""
        return any(isinstance(i, Article) and i.figure for s in self.stretches for i in s.items)

    @property
    def title(self) -> str:
        """Return the part and the letters in it."""
        first, last = self.stretches[0].letter, self.stretches[-1].letter
        return f"{self.part}: {first if first == last else f'{first} – {last}'}"


class Chapter(NamedTuple):
    """A line of the table of contents, with the lines below it."""

    title: str
    href: str
    under: tuple["Chapter", ...] = ()


def documents_of(book: Book) -> tuple[Document, ...]:
    """Return the documents of all parts, in reading order."""
    return tuple(d for number, part in enumerate(book.parts, start=1) for d in _of_part(part, number))


def homes_of(documents: Sequence[Document]) -> dict[str, str]:
    """Return the file of each article, by entry id."""
    return {i.id: d.file for d in documents for s in d.stretches for i in s.items if isinstance(i, Article)}


def table_of(documents: Sequence[Document]) -> tuple[Chapter, ...]:
    """Return the table of contents: parts, and the letters in each."""
    parts: dict[str, list[Document]] = {}
    for document in documents:
        parts.setdefault(document.part, []).append(document)
    return tuple(
        Chapter(
            title,
            mine[0].file,
            tuple(Chapter(s.letter, f"{d.file}#{s.anchor}") for d in mine for s in d.stretches if s.anchor),
        )
        for title, mine in parts.items()
    )


def _of_part(part: Part, number: int) -> Iterator[Document]:
    for n, stretches in enumerate(_packed(part.letters), start=1):
        yield Document(f"part{number}-{n:03}.xhtml", part.title, part.lang, n == 1, stretches)


def _packed(letters: Sequence[Letter]) -> Iterator[tuple[Stretch, ...]]:
    """Combine or divide letters into documents of suitable size."""
    packed: list[Stretch] = []
    weight = 0.0
    for number, letter in enumerate(letters, start=1):
        for place, items in enumerate(_pieces(letter)):
            more = sum(map(_weight, items))
            if packed and weight + more > 1:
                yield tuple(packed)
                packed, weight = [], 0.0
            packed.append(Stretch(letter.letter, f"letter{number}" if place == 0 else "", items))
            weight += more
    if packed:
        yield tuple(packed)


def _pieces(letter: Letter) -> Iterator[tuple[Article | ReverseLine, ...]]:
    piece: list[Article | ReverseLine] = []
    weight = 0.0
    for item in letter.items:
        if piece and weight + _weight(item) > 1 + 1e-9:
            yield tuple(piece)
            piece, weight = [], 0.0
        piece.append(item)
        weight += _weight(item)
    yield tuple(piece)


def _weight(item: Article | ReverseLine) -> float:
    """Return the share of a document that an item takes up."""
    return 1 / (MOST_ARTICLES if isinstance(item, Article) else MOST_LINES)


@dataclass(frozen=True)
class EpubReport:
    """What was published.

    Attributes:
        entries: articles in the book.
        drafts: how many of them are marked as drafts.
        documents: documents in the book.
        size: bytes of the file.
    """

    entries: int
    drafts: int
    documents: int
    size: int

    def readable(self) -> tuple[str, ...]:
        """Return how much was published."""
        return (joined((entries_counted(self.entries, self.drafts), "."), ""),)


def publish_epub(
    library: Library,
    path: Path,
    *,
    as_of: str,
    selection: Selection = Selection(),  # noqa: B008 - frozen
    on_progress: Callable[[int, int], None] | None = None,
) -> EpubReport:
    """Write the glossary as an EPUB 3.2 book. The same record and date give the same bytes.

    Args:
        library: the record.
        path: the file to write; an existing file is replaced only by a complete book.
        as_of: ISO date of the edition, and of the book file.
        selection: what goes in.
        on_progress: called after each entry read.

    Raises:
        BadInput: `as_of` is not a date, or a picture cannot be read.
        OSError: it cannot be written there.
    """
    path = Path(path)
    check_writable(path)
    book = render(library, selection, as_of=as_of, on_progress=on_progress)
    first = date.fromisoformat(parse(as_of).earliest() or "1980-01-01")
    number = 0
    with atomic_write(path) as unfinished, zipfile.ZipFile(unfinished, "w") as archive:
        for name, data in _files(book, library, selection.voice, first):
            _add(archive, name, data, first)
            number += name.endswith(".xhtml")
    articles = _articles(book)
    return EpubReport(len(articles), sum(bool(a.draft) for a in articles), number, path.stat().st_size)


def _files(book: Book, library: Library, voice: Voice, first: date) -> Iterator[tuple[str, str | bytes]]:
    """Yield every file of the container, in order: the media type first (EPUB OCF 3.2, 4.3)."""
    termbase = library.termbase
    pictures = [p for a in _articles(book) for p in a.pictures]
    templates = template_environment(TEMPLATES, voice, book.words, book.own_lang)
    documents = documents_of(book)
    homes = homes_of(documents)
    shared: dict[str, object] = {"book": book, "homes": homes}

    def made(template: str, **content: object) -> str:
        return _NOT_XML.sub("\ufffd", templates.get_template(template).render(**shared, **content))

    yield "mimetype", "application/epub+zip"
    yield "META-INF/container.xml", _CONTAINER
    languages = tuple(dict.fromkeys(termbase.languages))
    own = f"wordhold:{termbase.title}:{'+'.join(languages)}"
    yield (
        f"{BOOK}/package.opf",
        made(
            "package.opf",
            documents=documents,
            # with its own words in another language it is another book
            identifier=uuid5(NAMESPACE_URL, own if book.lang in languages[:1] else f"{own}:{book.lang}").urn,
            languages=tuple(dict.fromkeys((book.lang, *languages))),
            date=first.isoformat(),
            fonts=[p.name for p in _fonts()],
            pictures=[*dict.fromkeys(picture.file for picture in pictures)],
        ),
    )
    yield f"{BOOK}/nav.xhtml", made("nav.xhtml", table=table_of(documents))
    yield f"{BOOK}/style.css", STYLE.read_bytes()
    for font in _fonts():
        yield f"{BOOK}/fonts/{font.name}", font.read_bytes()
    yield f"{BOOK}/fonts/OFL.txt", (PRINT_FONTS / "OFL.txt").read_bytes()
    for name in ("title.xhtml", "about.xhtml"):
        yield f"{BOOK}/{name}", made(name)
    for file, picture in picture_files(pictures, library.reader):
        yield f"{BOOK}/pictures/{file}", picture
    for document in documents:
        yield f"{BOOK}/{document.file}", made("letter.xhtml", document=document)
    for name in ("rules.xhtml", "sources.xhtml", "mechanic.xhtml"):
        yield f"{BOOK}/{name}", made(name)


def _articles(book: Book) -> list[Article]:
    return [i for p in book.parts for letter in p.letters for i in letter.items if isinstance(i, Article)]


def _fonts() -> list[Path]:
    return sorted(PRINT_FONTS.glob("*.otf"))


def _add(archive: zipfile.ZipFile, name: str, data: str | bytes, first: date) -> None:
    entry = zipfile.ZipInfo(name, (max(first.year, 1980), first.month, first.day, 0, 0, 0))
    entry.compress_type = zipfile.ZIP_STORED if name == "mimetype" else zipfile.ZIP_DEFLATED
    entry.external_attr = 0o644 << 16
    entry.create_system = 3
    archive.writestr(entry, data)
