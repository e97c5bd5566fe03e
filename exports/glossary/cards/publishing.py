"""Training cards: as data, one for each technique with a description, and printed as a PDF."""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import msgspec
from msgspec import Struct

from exports.files import atomic_write, check_writable
from exports.glossary.book import wording
from exports.glossary.book.articles import article, head_of, names_of
from exports.glossary.book.assembling import articles_with_progress
from exports.glossary.book.book import Drawing, Judgement, Name, Picture, Quotation, Selection, Words
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
from exports.glossary.pdf.publishing import pages_of, timestamp_of
from exports.glossary.pdf.typesetting import breakable, typeset
from termbase.languages.alphabets import sort_key
from termbase.messages import joined, message, message_of_number
from termbase.overviews.articles import Article as RecordArticle
from termbase.overviews.articles import Library
from termbase.record.cautions import own_cautions
from termbase.record.people import CAUTIONS
from termbase.technique.profile import Profile

__all__ = ["Card", "CardReport", "Deck", "deck_of", "publish_cards"]


TEMPLATE = Path(__file__).with_name("cards.typ")
SHORT = 220
"""Characters of a quotation that fit on a card; shorter quotations are preferred."""
_PHRASE: Final = re.compile(r"\S.*?(?:[;.!?](?=\s)|$)", re.DOTALL)
PIECE = 160
"""The most characters that must stay together on one side of a card."""


class Card(Struct, frozen=True, omit_defaults=True):
    """A card.

    Attributes:
        names: its headwords, the working language's first.
        said: how it is done, in words.
        cautions: its own cautions.
        hurt: notices of trials in which someone was hurt.
        quotation: the words of one witness; `quoted` is its text in pieces.
        steps: `said` in pieces.
        picture: the first picture of the entry.
        draft: the word that marks a draft.
    """

    id: str
    names: tuple[Name, ...]
    figure: Drawing | None = None
    said: str = ""
    steps: tuple[str, ...] = ()
    verdicts: tuple[Judgement, ...] = ()
    quotation: Quotation | None = None
    quoted: tuple[str, ...] = ()
    picture: Picture | None = None
    cautions: tuple[str, ...] = ()
    hurt: tuple[str, ...] = ()
    draft: str = ""


class Deck(Struct, frozen=True):
    """All cards, and what is printed on every one of them; `lang` and `own_lang` as in a book."""

    title: str
    lang: str
    own_lang: str
    as_of: str
    notice: str
    caution: tuple[str, ...]
    words: Words
    cards: tuple[Card, ...]


def deck_of(
    library: Library,
    selection: Selection,
    *,
    as_of: str,
    on_progress: Callable[[int, int], None] | None = None,
) -> Deck:
    """Return the cards of a termbase; the same record gives the same deck.

    Raises:
        BadInput: `as_of` is not a date.
    """
    voice = selection.voice
    as_of_words = voice.date(as_of)
    working = library.termbase.working_language
    vernaculars = selection.vernaculars_of(library.termbase)
    placed: list[tuple[bytes, str, Card]] = []
    for original in articles_with_progress(library, on_progress):
        entry = original.entry
        if entry.technique is not None and selection.includes(entry):
            head = head_of(original, working, vernaculars)
            key = sort_key(head.sort_text or head.text, head.language) if head else b""
            placed.append((key, entry.id, _card(original, library, selection, vernaculars)))
    return Deck(
        title=library.termbase.title,
        lang=voice.language,
        own_lang=wording.primary(working),
        as_of=as_of_words,
        notice=library.termbase.notice,
        caution=_pieces(voice.word(CAUTIONS)),
        words=wording.words_of(voice),
        cards=tuple(card for *_, card in sorted(placed, key=lambda p: p[:2])),
    )


def _card(
    original: RecordArticle, library: Library, selection: Selection, vernaculars: tuple[str, ...]
) -> Card:
    named = names_of(original, selection.voice)
    made = article(original, named, library, selection, vernaculars)
    firsts = tuple(group.names[0] for group in made.names)
    voice, quotation = selection.voice, _best(made.quotations)
    description = made.figure.said if made.figure else voice.profile(original.entry.technique or Profile())
    own = map(voice.word, own_cautions(original.entry.topic, original.entry.technique))
    return Card(
        id=made.id,
        names=tuple(map(_printed, (made.head, *firsts))),
        figure=made.figure,
        said=description,
        steps=_pieces(description),
        verdicts=tuple(
            msgspec.structs.replace(verdict, says=_pieces(*verdict.says), code_id="")
            for verdict in made.verdicts
        ),
        quotation=quotation,
        quoted=_pieces(quotation.text) if quotation else (),
        picture=next((msgspec.structs.replace(picture, caption="") for picture in made.pictures), None),
        cautions=_pieces(*own),
        hurt=_pieces(*made.hurt),
        draft=made.draft,
    )


def _printed(name: Name) -> Name:
    """Return a name without the details that do not fit on a card."""
    return msgspec.structs.replace(name, said="", forms=(), printed="", labels="", note="")


def _best(quotations: tuple[Quotation, ...]) -> Quotation | None:
    """Return the quotation for a card, uncut: a certain one of use if there is one, and a short one."""
    ordered = sorted(quotations, key=lambda q: (bool(q.kind), len(q.text) > SHORT))
    return next((msgspec.structs.replace(quotation, also="") for quotation in ordered), None)


def _pieces(*texts: str) -> tuple[str, ...]:
    """Return texts as pieces between which a card may divide them: phrases, or groups of words."""
    return tuple(piece for text in texts for phrase in _PHRASE.findall(text) for piece in _parted(phrase))


def _parted(phrase: str) -> Iterator[str]:
    """Yield a phrase in pieces that are not too long; a single long word stays whole."""
    piece = ""
    for word in phrase.split():
        if piece and len(piece) + len(word) >= PIECE:
            yield piece
            piece = ""
        piece = f"{piece} {word}" if piece else word
    if piece:
        yield piece


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
        MissingCharacters: no font has a character of the deck, and `selection.mark_missing` is off.
        BadInput: `as_of` is not a date, or a font cannot be read.
        TypesettingFailed: the typesetter failed.
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
