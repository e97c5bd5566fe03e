"""Publishes the deck as a PDF."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import msgspec

from exports.files import atomic_write, check_writable
from exports.glossary.book.book import Selection
from exports.glossary.book.coverage import (
    PRINT_FONTS,
    MissingCharacter,
    MissingCharacters,
    font_files,
    missing_in,
    with_code_points,
)
from exports.glossary.book.pictures import picture_files
from exports.glossary.book.wording import drafts_counted
from exports.glossary.cards.deck import Deck, deck_of
from exports.glossary.pdf.publishing import pages_of, timestamp_of
from exports.glossary.pdf.typesetting import typeset
from exports.glossary.print.breaking import breakable
from termbase.messages import joined, message, message_of_number
from termbase.overviews.articles import Library

__all__ = ["CardReport", "publish_cards"]

TEMPLATE = Path(__file__).with_name("cards.typ")


@dataclass(frozen=True)
class CardReport:
    """What was printed.

    Attributes:
        cards: how many; a technique without a description has none.
        drafts: how many of them are marked as drafts.
        pages: pages of the PDF, two per sheet.
        size: bytes of the PDF.
        missing: characters printed as code points because no font has them.
    """

    cards: int
    drafts: int
    pages: int
    size: int
    missing: tuple[MissingCharacter, ...] = ()

    def readable(self) -> tuple[str, ...]:
        """Return how much was printed, and how to print it on paper."""
        cards = message_of_number("%(n)s card", "%(n)s cards", self.cards)
        sheets = message_of_number("on %(n)s sheet.", "on %(n)s sheets.", self.pages // 2)
        words = joined((joined((cards, drafts_counted(self.drafts)), ""), sheets), ", ")
        return words, message("Print on both sides, flipping on the long edge.")


def publish_cards(
    library: Library,
    path: Path,
    *,
    as_of: str,
    selection: Selection = Selection(),  # noqa: B008 - frozen
    font_folders: Sequence[Path] = (),
    on_progress: Callable[[int, int], None] | None = None,
) -> CardReport:
    """Write training cards, eight to an A4 sheet; print them on both sides, flipping on the long edge.

    The same record and date give the same bytes.

    Args:
        library: the record.
        path: the file to write; an existing file is replaced only by a complete deck.
        as_of: ISO date of the edition.
        selection: what goes in.
        font_folders: folders with additional fonts, for scripts that the shipped ones lack.
        on_progress: called after each entry read.

    Raises:
        MissingCharacters: no face has a character of the deck, and the selection does not have it marked.
        BadInput: `as_of` is no date, or a face cannot be read.
        TypesettingFailed: the typesetter gave up.
    """
    path = Path(path)
    check_writable(path)
    folders = (PRINT_FONTS, *map(Path, font_folders))
    deck = deck_of(library, selection, as_of=as_of, on_progress=on_progress)
    lacking = missing_in(_texts(deck), font_files(folders))
    if lacking and not selection.mark_missing:
        raise MissingCharacters(lacking)
    data = breakable(with_code_points(msgspec.json.encode(deck), lacking))
    pictures = picture_files([card.picture for card in deck.cards if card.picture], library.reader)
    pdf = typeset(data, timestamp=timestamp_of(as_of), folders=folders, template=TEMPLATE, pictures=pictures)
    with atomic_write(path) as unfinished:
        unfinished.write_bytes(pdf)
    drafts = sum(bool(card.draft) for card in deck.cards)
    return CardReport(len(deck.cards), drafts, pages_of(pdf), len(pdf), lacking)


def _texts(deck: Deck) -> Iterator[tuple[str, str, bytes]]:
    for card in deck.cards:
        yield card.id, card.names[0].text, msgspec.json.encode(card)
    yield "termbase", deck.title, msgspec.json.encode(msgspec.structs.replace(deck, cards=()))
