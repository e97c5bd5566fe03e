"""Publishes the book as a PDF: typesets it, and moves the complete file to its place."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import msgspec

from exports.files import atomic_write, check_writable
from exports.glossary.book.assembling import Progress, render
from exports.glossary.book.book import Article, Paper, Selection
from exports.glossary.book.coverage import (
    PRINT_FONTS,
    MissingCharacter,
    MissingCharacters,
    font_files,
    missing_characters,
    with_code_points,
)
from exports.glossary.book.pictures import picture_files
from exports.glossary.book.wording import entries_counted
from exports.glossary.pdf.typesetting import breakable, typeset
from termbase.dates.edtf import parse
from termbase.messages import joined, message, message_of_number
from termbase.overviews.articles import Library

__all__ = ["PrintReport", "pages_of", "publish_pdf", "timestamp_of"]


@dataclass(frozen=True)
class PrintReport:
    """What was printed.

    Attributes:
        entries: articles in the book.
        drafts: how many of them are marked as drafts.
        pages: pages of the PDF.
        size: bytes of the PDF.
        missing: characters printed as code points because no font has them.
    """

    entries: int
    drafts: int
    pages: int
    size: int
    missing: tuple[MissingCharacter, ...] = ()

    def readable(self) -> tuple[str, ...]:
        """Return how much was printed, and which characters no font has."""
        pages = message_of_number("on %(n)s page.", "on %(n)s pages.", self.pages)
        words = joined((entries_counted(self.entries, self.drafts), pages), ", ")
        if not self.missing:
            return (words,)
        shown = " ".join(f"U+{ord(m.character):04X}" for m in self.missing)
        warning = message(
            "No font has these characters; they are printed as code points: %(shown)s.", shown=shown
        )
        return words, warning


def publish_pdf(
    library: Library,
    path: Path,
    *,
    as_of: str,
    paper: Paper = "a5",
    selection: Selection = Selection(),  # noqa: B008 - frozen
    font_folders: Sequence[Path] = (),
    on_progress: Progress | None = None,
) -> PrintReport:
    """Print the glossary to a PDF file. The same record and date give the same bytes.

    Args:
        library: the record.
        path: the file to write; an existing file is replaced only by a complete book.
        as_of: ISO date of the edition, for the title page and the file's own date.
        paper: page size.
        selection: what goes in.
        font_folders: folders with additional fonts, for scripts that the shipped ones lack.
        on_progress: called after each entry read.

    Raises:
        MissingCharacters: no font has a character of the record, and `selection.mark_missing` is off.
        BadInput: `as_of` is not a date, or a font or a picture cannot be read.
        TypesettingFailed: the typesetter failed.
    """
    path = Path(path)
    check_writable(path)
    folders = (PRINT_FONTS, *map(Path, font_folders))
    book = render(library, selection, as_of=as_of, paper=paper, on_progress=on_progress)
    lacking = missing_characters(book, font_files(folders))
    if lacking and not selection.mark_missing:
        raise MissingCharacters(lacking)
    data = breakable(with_code_points(msgspec.json.encode(book), lacking))
    articles = [i for p in book.parts for letter in p.letters for i in letter.items if isinstance(i, Article)]
    entries, drafts = len(articles), sum(1 for a in articles if a.draft)
    pictures = picture_files([p for a in articles for p in a.pictures], library.reader)
    del book, articles
    pdf = typeset(data, timestamp=timestamp_of(as_of), folders=folders, pictures=pictures)
    with atomic_write(path) as unfinished:
        unfinished.write_bytes(pdf)
    return PrintReport(entries, drafts, pages_of(pdf), len(pdf), lacking)


def timestamp_of(as_of: str) -> int:
    """Return midnight UTC of the first day that the date may mean, in seconds since 1970."""
    first = parse(as_of).earliest() or "1970-01-01"
    return int(datetime.fromisoformat(first).replace(tzinfo=UTC).timestamp())


def pages_of(pdf: bytes) -> int:
    """Return the number of pages in a PDF, by its page objects; the typesetter writes them uncompressed."""
    return len(re.findall(rb"/Type\s*/Page(?!s)", pdf))
