"""Entries by several words, each of them in a name or in a text of the entry.

Texts are the definitions, the values of the technique, the analogues and the notes.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from math import log
from typing import Final

from sqlalchemy import Column, ColumnElement, CompoundSelect, and_, intersect, or_, select, union

from termbase.languages.keys import KeyKind
from termbase.messages import joined, message
from termbase.search.hits import Hit, How, Name, hit_of
from termbase.search.queries import LAST, Asked, first_names, take
from termbase.store import tables
from termbase.store.batches import rows_in
from termbase.store.reading import Reader
from termbase.store.textwords import TextPlace

__all__ = ["by_words", "ids_with_words"]

MOST_WORDS: Final = 8
MOST_WEIGHED: Final = 400
"""Entries that are looked at closely: so many with all the words, and with each of the rarer words."""
SHORTEST_BEGINNING: Final = 3
"""Letters from which a word is looked for as the beginning of longer ones."""
ENOUGH: Final = 0.5
"""An entry that lacks some of the words must have more than this part of them: counted, and weighed by how
rare they are. Common practice, no source."""

_NAME_KINDS: Final = tuple(kind.rank for kind in KeyKind if kind not in (KeyKind.OLD_LOOSE, KeyKind.MISREAD))
_KEY, _TERM, _TEXT = tables.key.c, tables.term.c, tables.text_word.c


@dataclass
class _Word:
    """One word of the question: how it is looked for, and where it was found, by entry."""

    text: str
    asked: Asked
    begun: bool
    number: int = 0
    names: dict[str, Name] = field(default_factory=dict)
    places: defaultdict[str, set[int]] = field(default_factory=lambda: defaultdict(set))


def by_words(
    reader: Reader,
    text: str,
    limit: int,
    *,
    language: str | None = None,
    begun: bool = False,
    within: Collection[str] | None = None,
) -> list[Hit]:
    """Entries that have the words asked for, one in a name perhaps and another in a text; the fullest first.

    Entries that lack some of the words come after those that have all. Where words are equally many, those
    in names weigh more.

    Args:
        text: what was typed; of more than `MOST_WORDS` words the first are taken.
        limit: how many entries at most.
        language: names and texts of this language only; None for all.
        begun: a word also stands for the longer ones that begin with it.
        within: ids of the only entries to be found; None for all.

    Raises:
        BadInput: the tag is not well formed.
    """
    words = _words(text, language, begun)
    if not words or limit < 1:
        return []
    if within is not None:
        chosen = sorted(within)
    else:
        chosen = _with_all(reader, words, MOST_WEIGHED)
        if len(chosen) < limit and len(words) > 1:
            chosen = list(dict.fromkeys([*chosen, *_with_rarer(reader, words)]))
    for word in words:
        _look_up(reader, word, chosen)
    return _hits(reader, words, chosen, limit)


def ids_with_words(reader: Reader, text: str, *, language: str | None = None) -> list[str]:
    """Ids of all the entries that have every word of a text, or longer ones that begin with it; in no order.

    Raises:
        BadInput: the tag is not well formed.
    """
    words = _words(text, language, begun=True)
    return _with_all(reader, words, None) if words else []


def _words(text: str, language: str | None, begun: bool) -> list[_Word]:
    """The words of a question, none twice; single letters say too little."""
    asked = take(text, language)
    found: dict[str, _Word] = {}
    for part in asked.form.replace("-", " ").split() if asked else ():
        one = take(part, language)
        if one and len(one.loose) > 1:
            found.setdefault(one.loose, _Word(part, one, begun and len(part) >= SHORTEST_BEGINNING))
    return list(found.values())[:MOST_WORDS]


def _with_all(reader: Reader, words: list[_Word], most: int | None) -> list[str]:
    """Entries that have every word."""
    query = intersect(*(select(_having(word).subquery().c.entry_id) for word in words))
    found = reader.connection.scalars(select(query.subquery().c.entry_id).limit(most))
    return list(found.all())


def _with_rarer(reader: Reader, words: list[_Word]) -> list[str]:
    """Entries that have one of the rarer words: what has more than half of all words has one of these."""
    found: list[tuple[int, list[str]]] = []
    for word in words:
        having = _having(word).subquery()
        ids = list(reader.connection.scalars(select(having.c.entry_id).limit(MOST_WEIGHED)).all())
        word.number = len(ids)
        found.append((len(ids), ids))
    known = sorted((ids for number, ids in found if number), key=len)
    needed = len(words) - int(len(words) * ENOUGH)
    return [i for ids in known[:needed] for i in ids]


def _having(word: _Word) -> "CompoundSelect[str]":
    """The entries that have a word in a name or in a text."""
    in_names = (
        select(_TERM.entry_id.label("entry_id"))
        .join_from(tables.key, tables.term)
        .where(_KEY.kind.in_(_NAME_KINDS), _matching(_KEY.text, _TERM.language, word))
    )
    return union(in_names, select(_TEXT.entry_id).where(_matching(_TEXT.word, _TEXT.language, word)))


def _look_up(reader: Reader, word: _Word, among: Sequence[str]) -> None:
    """Find out in which names and texts of these entries a word is."""
    names = (
        select(_TERM.entry_id, _TERM.id, _TERM.text, _TERM.language)
        .join_from(tables.key, tables.term)
        .where(_KEY.kind.in_(_NAME_KINDS), _matching(_KEY.text, _TERM.language, word))
    )
    for row in rows_in(reader.connection, names, _TERM.entry_id, among):
        name = Name(*row)
        known = word.names.get(name.entry_id)
        if known is None or (len(name.text), name.text) < (len(known.text), known.text):
            word.names[name.entry_id] = name
    texts = select(_TEXT.entry_id, _TEXT.place).where(_matching(_TEXT.word, _TEXT.language, word))
    for entry_id, place in rows_in(reader.connection, texts, _TEXT.entry_id, among):
        word.places[entry_id].add(place)
    word.number = max(word.number, len(word.names.keys() | word.places.keys()))


def _matching(text: Column[str], language: Column[str], word: _Word) -> ColumnElement[bool]:
    """Whether a stored text is one that the word is looked for by, or begins with it.

    A mutation is undone only in names and texts in its language.
    """
    asked = word.asked
    by_language: defaultdict[str, list[str]] = defaultdict(list)
    for key, ways in asked.keys.items():
        for tag in {way.language for way in ways}:
            by_language[tag].append(key)
    either = [
        and_(text.in_(keys), _is_in(language, tag)) if tag else text.in_(keys)
        for tag, keys in by_language.items()
    ]
    if word.begun:
        either.append(and_(text >= asked.loose, text < asked.loose + LAST))
    return and_(or_(*either), _is_in(language, asked.only)) if asked.only else or_(*either)


def _is_in(language: Column[str], tag: str) -> ColumnElement[bool]:
    return or_(language == tag, language.startswith(f"{tag}-"))


# ---- hits, ranked and explained


def _hits(reader: Reader, words: list[_Word], chosen: Iterable[str], limit: int) -> list[Hit]:
    weights = _weights(words)
    whole = sum(weights.values())
    scored = []
    for entry_id in chosen:
        here = [word for word in words if entry_id in word.names or entry_id in word.places]
        part = len(here) / len(words)
        share = sum(weights[word.text] for word in here) / whole if here else 0
        if not here or (part < 1 and min(share, part) <= ENOUGH):
            continue
        named = sum(weights[word.text] for word in here if entry_id in word.names) / whole
        scored.append((-part, -share, -named, len(entry_id), entry_id))
    best = sorted(scored)[:limit]
    names = first_names(reader, [entry_id for *_, entry_id in best])
    return [
        _hit(words, entry_id, names, _score(-part, -share, -named))
        for part, share, named, _, entry_id in best
        if entry_id in names
    ]


def _score(part: float, share: float, named: float) -> float:
    """Below that of any name found by one of its words; what has all the words is above what lacks some."""
    return (20 if part == 1 else 10 * share) + 10 * part + 4 * named


def _weights(words: Iterable[_Word]) -> dict[str, float]:
    """How much each word says: the rarer, the more (inverse document frequency; Sparck Jones 1972). A word
    that is nowhere says nothing."""
    numbers = {word.text: word.number for word in words if word.number}
    most = max(numbers.values(), default=0)
    return {text: 1 + log((most + 1) / (number + 1)) for text, number in numbers.items()}


def _hit(words: list[_Word], entry_id: str, names: dict[str, Name], score: float) -> Hit:
    named = [word for word in words if entry_id in word.names]
    name = named[0].names[entry_id] if named else names[entry_id]
    how = How.WORD_INSIDE if len(named) == len(words) else How.IN_A_TEXT
    return hit_of(name, how, score, _reason(words, entry_id))


def _reason(words: list[_Word], entry_id: str) -> str:
    """Where each word was found, in one sentence."""
    by_name: defaultdict[str, list[str]] = defaultdict(list)
    by_place: defaultdict[int, list[str]] = defaultdict(list)
    lacking = []
    for word in words:
        if entry_id in word.names:
            by_name[word.names[entry_id].text].append(word.text)
        elif entry_id in word.places:
            by_place[min(word.places[entry_id])].append(word.text)
        else:
            lacking.append(word.text)
    parts: list[str] = [
        message("%(words)s in the name “%(name)s”", words=_quoted(here), name=name)
        for name, here in by_name.items()
    ]
    parts += [_placed(TextPlace(place), _quoted(here)) for place, here in sorted(by_place.items())]
    if lacking:
        parts.append(message("not found in it: %(words)s", words=_quoted(lacking)))
    return joined((joined(parts, "; "), "."), "")


def _quoted(words: Iterable[str]) -> str:
    return ", ".join(f"“{word}”" for word in words)


def _placed(place: TextPlace, words: str) -> str:
    match place:
        case TextPlace.DEFINITION:
            return message("%(words)s in the definition", words=words)
        case TextPlace.TECHNIQUE:
            return message("%(words)s in how it is done", words=words)
        case TextPlace.ANALOGUE:
            return message("%(words)s in an analogue", words=words)
        case TextPlace.USAGE_NOTE:
            return message("%(words)s in the usage note", words=words)
        case TextPlace.EDITOR_NOTE:
            return message("%(words)s in the editor’s note", words=words)
        case TextPlace.FOREIGN_NOTE:
            return message("%(words)s in a note from elsewhere", words=words)
