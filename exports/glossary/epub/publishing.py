"""Publishes the book as an EPUB file."""

import re
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from uuid import NAMESPACE_URL, uuid5

from exports.files import atomic_write, check_writable
from exports.glossary.book.assembling import render
from exports.glossary.book.book import Article, Book, Selection
from exports.glossary.book.coverage import PRINT_FONTS
from exports.glossary.book.markup import template_environment
from exports.glossary.book.pictures import picture_files
from exports.glossary.book.wording import entries_counted
from exports.glossary.epub.contents import documents_of, homes_of, table_of
from termbase.dates.edtf import parse
from termbase.messages import joined
from termbase.overviews.articles import Library
from termbase.voice import Voice

__all__ = ["EpubReport", "publish_epub"]

ROOM = Path(__file__).parent
BOOK = "EPUB"
_NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")
_CONTAINER = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<container version="1.0" xmlns="urn:oasis:names:tc:opendocument:xmlns:container"><rootfiles>'
    f'<rootfile full-path="{BOOK}/package.opf" media-type="application/oebps-package+xml"/>'
    "</rootfiles></container>\n"
)


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
        BadInput: `as_of` is no date, or a picture cannot be read.
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
    templates = template_environment(ROOM / "templates", voice, book.words, book.own_lang)
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
            # one with other words is another book
            identifier=uuid5(NAMESPACE_URL, own if book.lang in languages[:1] else f"{own}:{book.lang}").urn,
            languages=tuple(dict.fromkeys((book.lang, *languages))),
            date=first.isoformat(),
            fonts=[p.name for p in _fonts()],
            pictures=[*dict.fromkeys(picture.file for picture in pictures)],
        ),
    )
    yield f"{BOOK}/nav.xhtml", made("nav.xhtml", table=table_of(documents))
    yield f"{BOOK}/style.css", (ROOM / "book.css").read_bytes()
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
