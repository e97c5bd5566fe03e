"""The cards as data: one for each technique with a description, in alphabetical order."""

import re
from collections.abc import Callable, Iterator
from typing import Final

import msgspec
from msgspec import Struct

from exports.glossary.book import wording
from exports.glossary.book.articles import article, head_of, names_of
from exports.glossary.book.assembling import articles_told
from exports.glossary.book.book import Drawing, Judgement, Name, Picture, Quotation, Selection, Words
from termbase.languages.alphabets import sort_key
from termbase.overviews.articles import Article as Found
from termbase.overviews.articles import Library
from termbase.record.cautions import own_cautions
from termbase.record.people import CAUTIONS
from termbase.technique.profile import Profile

__all__ = ["Card", "Deck", "deck_of"]

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
        quotation: one witness; `quoted` are the pieces of its text.
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
        BadInput: `as_of` is no date.
    """
    voice = selection.voice
    as_of_words = voice.date(as_of)
    working = library.termbase.working_language
    vernaculars = selection.vernaculars_of(library.termbase)
    placed: list[tuple[bytes, str, Card]] = []
    for found in articles_told(library, on_progress):
        entry = found.entry
        if entry.technique is not None and selection.lets_in(entry):
            head = head_of(found, working, vernaculars)
            key = sort_key(head.sort_text or head.text, head.language) if head else b""
            placed.append((key, entry.id, _card(found, library, selection, vernaculars)))
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


def _card(found: Found, library: Library, selection: Selection, vernaculars: tuple[str, ...]) -> Card:
    named = names_of(found, selection.voice)
    made = article(found, named, library, selection, vernaculars)
    firsts = tuple(group.names[0] for group in made.names)
    voice, quotation = selection.voice, _best(made.quotations)
    said = made.figure.said if made.figure else voice.profile(found.entry.technique or Profile())
    own = map(voice.word, own_cautions(found.entry.topic, found.entry.technique))
    return Card(
        id=made.id,
        names=tuple(map(_printed, (made.head, *firsts))),
        figure=made.figure,
        said=said,
        steps=_pieces(said),
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
    """Return the names printed on a card; the others do not fit."""
    return msgspec.structs.replace(name, said="", forms=(), printed="", labels="", note="")


def _best(quotations: tuple[Quotation, ...]) -> Quotation | None:
    """Return the quotation for a card: certain ones of use first, then shorter ones. It is never cut."""
    ordered = sorted(quotations, key=lambda q: (bool(q.kind), len(q.text) > SHORT))
    return next((msgspec.structs.replace(quotation, also="") for quotation in ordered), None)


def _pieces(*texts: str) -> tuple[str, ...]:
    """Return texts as pieces between which a card may divide them: at phrase ends, otherwise between
    words."""
    return tuple(piece for text in texts for phrase in _PHRASE.findall(text) for piece in _parted(phrase))


def _parted(phrase: str) -> Iterator[str]:
    """Return a phrase in pieces that are not too long; a single long word stays whole."""
    piece = ""
    for word in phrase.split():
        if piece and len(piece) + len(word) >= PIECE:
            yield piece
            piece = ""
        piece = f"{piece} {word}" if piece else word
    if piece:
        yield piece
