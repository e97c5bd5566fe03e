"""The cards as data: one for each technique that is described, in the order of the alphabet."""

from collections.abc import Callable, Iterator

from msgspec import Struct

from exports.glossary.print import wording
from exports.glossary.print.articles import article, head_of, names_of
from exports.glossary.print.book import Drawing, Judgement, Name, Picture, Quotation, Words
from exports.glossary.print.choices import Selection
from termbase.articles import Article as Found
from termbase.articles import Library
from termbase.cautions import own_cautions
from termbase.entries import Entry
from termbase.languages.alphabets import sort_key
from termbase.people import CAUTIONS

__all__ = ["Card", "Deck", "deck_of"]

FIT = 220
"""Characters of a quotation that a card has room for; a longer one is cut, and says so."""
CUT = " […]"


class Card(Struct, frozen=True, omit_defaults=True):
    """One card.

    Attributes:
        names: its heads, the working language's first.
        said: how it is done, in words.
        cautions: lines of its own.
        quotation: one witness, the earliest that fits.
        picture: the first of the entry.
        draft: the word that says it is one.
    """

    id: str
    names: tuple[Name, ...]
    figure: Drawing | None = None
    said: str = ""
    verdicts: tuple[Judgement, ...] = ()
    quotation: Quotation | None = None
    picture: Picture | None = None
    cautions: tuple[str, ...] = ()
    draft: str = ""


class Deck(Struct, frozen=True):
    """All cards, and what every one of them says; `lang` and `own_lang` as of a book."""

    title: str
    lang: str
    own_lang: str
    as_of: str
    notice: str
    caution: str
    words: Words
    cards: tuple[Card, ...]


def deck_of(
    library: Library,
    selection: Selection,
    *,
    as_of: str,
    on_progress: Callable[[int, int], None] | None = None,
) -> Deck:
    """The cards of a termbase; the same record gives the same deck.

    Raises:
        BadInput: `as_of` is no date.
    """
    voice = selection.voice
    as_of_words = voice.date(as_of)
    working = library.termbase.working_language
    vernaculars = selection.vernaculars if selection.vernaculars is not None else library.termbase.vernaculars
    total = library.reader.count(Entry)
    placed: list[tuple[bytes, str, Card]] = []
    for done, found in enumerate(library.articles(), start=1):
        entry = found.entry
        if entry.technique is not None and selection.lets_in(entry):
            head = head_of(found, working, vernaculars)
            key = sort_key(head.sort_text or head.text, head.language) if head else b""
            placed.append((key, entry.id, _card(found, library, selection, vernaculars)))
        if on_progress:
            on_progress(done, total)
    return Deck(
        title=library.termbase.title,
        lang=voice.language,
        own_lang=wording.primary(working),
        as_of=as_of_words,
        notice=library.termbase.notice,
        caution=voice.word(CAUTIONS),
        words=wording.words_of(voice),
        cards=tuple(card for *_, card in sorted(placed, key=lambda p: p[:2])),
    )


def _card(found: Found, library: Library, selection: Selection, vernaculars: tuple[str, ...]) -> Card:
    named = names_of(found, selection.voice)
    made = article(found, named, library, selection, vernaculars)
    firsts = tuple(group.names[0] for group in made.names)
    return Card(
        id=made.id,
        names=(made.head, *firsts),
        figure=made.figure,
        said=made.figure.said if made.figure else "",
        verdicts=made.verdicts,
        quotation=next(_fit(made.quotations), None),
        picture=next(iter(made.pictures), None),
        cautions=tuple(map(selection.voice.word, own_cautions(found.entry.topic, found.entry.technique))),
        draft=made.draft,
    )


def _fit(quotations: tuple[Quotation, ...]) -> Iterator[Quotation]:
    """Quotations, best for a card first: secure ones from use before others, short before long."""
    ordered = sorted(quotations, key=lambda q: (bool(q.kind), len(q.text) > FIT))
    for quotation in ordered:
        yield quotation if len(quotation.text) <= FIT else _cut(quotation)


def _cut(quotation: Quotation) -> Quotation:
    whole = quotation.text[: FIT + 1].rsplit(" ", 1)[0]
    return Quotation(
        text=f"{whole}{CUT}",
        lang=quotation.lang,
        date=quotation.date,
        source=quotation.source,
        kind=quotation.kind,
    )
