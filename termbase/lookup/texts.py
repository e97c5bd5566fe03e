"""Entries by several words, each of them in a name or in a text of the entry.

Texts are the definitions, the values of the technique, the analogues and the notes.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from math import log
from typing import Any, Final

from sqlalchemy import Column, ColumnElement, Select, and_, or_, select

from termbase.languages.keys import KeyKind
from termbase.lookup.asked import Asked, take
from termbase.lookup.hits import Hit, Name
from termbase.lookup.tables import LAST, first_names
from termbase.messages import joined, message
from termbase.store import schema
from termbase.store.reading import BATCH, Reader
from termbase.store.textwords import TextPlace

__all__ = ["by_words", "entries_with_text"]

MOST_WORDS: Final = 8
MOST_ROWS: Final = 4000
"""Rows read for one word. A word that has more is too common to choose by: it is only looked for in the
entries that the other words found."""
SHORTEST_BEGINNING: Final = 3
"""Letters from which a word is looked for as the beginning of longer ones."""
ENOUGH: Final = 0.5
"""An entry that lacks some of the words must have more than this part of them: counted, and weighed by how
rare they are. Common practice, no source."""

_NAME_KINDS: Final = tuple(kind.rank for kind in KeyKind if kind not in (KeyKind.OLD_LOOSE, KeyKind.MISREAD))


@dataclass
class _Word:
    """One word of the question: how it is looked for, and where it was found, by entry."""

    text: str
    asked: Asked
    begun: bool
    names: dict[str, Name] = field(default_factory=dict)
    places: defaultdict[str, set[int]] = field(default_factory=lambda: defaultdict(set))
    common: bool = False

    def entries(self) -> set[str]:
        """The entries it was found in."""
        return self.names.keys() | self.places.keys()


def by_words(
    reader: Reader,
    text: str,
    limit: int,
    *,
    language: str | None = None,
    begun: bool = False,
    within: Collection[str] | None = None,
    whole: bool = False,
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
        whole: only entries that have all the words.

    Raises:
        BadInput: the tag is not well formed.
    """
    words = _words(text, language, begun)
    if not words:
        return []
    for word in words:
        _look_up(reader, word)
    chosen = {i for word in words if not word.common for i in word.entries()}
    if not chosen:  # every word is common: what was read of them must do
        chosen = {i for word in words for i in word.entries()}
    if within is not None:
        chosen &= set(within)
    for word in words:
        if word.common:
            _look_up(reader, word, sorted(chosen))
    return _hits(reader, words, chosen, limit, whole)


def entries_with_text(reader: Reader, text: str, language: str | None = None) -> set[str]:
    """Ids of all the entries that have a single word, or longer ones that begin with it, in a text.

    Raises:
        BadInput: the tag is not well formed.
    """
    words = _words(text, language, begun=True)
    if len(words) != 1 or len(words[0].text) < SHORTEST_BEGINNING:
        return set()
    return {entry_id for entry_id, _ in _in_texts(reader, words[0], None, None)}


def _words(text: str, language: str | None, begun: bool) -> list[_Word]:
    """The words of a question, none twice; single letters say too little."""
    asked = take(text, language)
    found: dict[str, _Word] = {}
    for part in asked.form.replace("-", " ").split() if asked else ():
        one = take(part, language)
        if one and len(one.loose) > 1:
            found.setdefault(one.loose, _Word(part, one, begun and len(part) >= SHORTEST_BEGINNING))
    return list(found.values())[:MOST_WORDS]


def _look_up(reader: Reader, word: _Word, among: Sequence[str] | None = None) -> None:
    """Find a word in names and texts: in these entries, or anywhere (then in `MOST_ROWS` rows at most)."""
    rows = 0
    for name in _in_names(reader, word, among):
        rows += 1
        known = word.names.get(name.entry_id)
        if known is None or len(name.text) < len(known.text):
            word.names[name.entry_id] = name
    for entry_id, place in _in_texts(reader, word, among, MOST_ROWS):
        rows += 1
        word.places[entry_id].add(place)
    if among is None:
        word.common = rows >= MOST_ROWS


def _in_names(reader: Reader, word: _Word, among: Sequence[str] | None) -> Iterator[Name]:
    """Names that have the word."""
    key, term = schema.key.c, schema.term.c
    query = (
        select(key.text, term.entry_id, term.id, term.text, term.language)
        .join_from(schema.key, schema.term)
        .where(_matching(key.text, word), key.kind.in_(_NAME_KINDS))
    )
    for text, *name in _rows(reader, query, term.entry_id, among, MOST_ROWS):
        found = Name(*name)
        if word.asked.only in ("", found.primary) and _meets(word, text, found.primary):
            yield found


def _in_texts(
    reader: Reader, word: _Word, among: Sequence[str] | None, most: int | None
) -> Iterator[tuple[str, int]]:
    """Entries that have the word in a text, each with the place."""
    c = schema.text_word.c
    query = select(c.word, c.language, c.entry_id, c.place).where(_matching(c.word, word))
    for text, language, entry_id, place in _rows(reader, query, c.entry_id, among, most):
        if word.asked.only in ("", language) and _meets(word, text, language):
            yield entry_id, place


def _matching(column: Column[Any], word: _Word) -> ColumnElement[bool]:
    """Whether a stored text is one that the word is looked for by, or begins with it."""
    same = column.in_(list(word.asked.keys))
    if not word.begun:
        return same
    return or_(same, and_(column >= word.asked.loose, column < word.asked.loose + LAST))


def _meets(word: _Word, text: str, language: str) -> bool:
    """Whether a stored text is the word in this language; a mutation is undone in its own language only."""
    return word.asked.meeting(text, language) is not None or (
        word.begun and text.startswith(word.asked.loose)
    )


def _rows(
    reader: Reader, query: Select[Any], entry_id: Column[Any], among: Sequence[str] | None, most: int | None
) -> Iterator[Any]:
    if among is None:
        yield from reader.connection.execute(query.limit(most)).all()
        return
    for start in range(0, len(among), BATCH):
        part = query.where(entry_id.in_(among[start : start + BATCH]))
        yield from reader.connection.execute(part).all()


# ---- what was found, ranked and explained


def _hits(reader: Reader, words: list[_Word], chosen: set[str], limit: int, whole: bool) -> list[Hit]:
    known = [word for word in words if word.entries()]
    if not known:
        return []
    weights = _weights(known)
    scored = []
    for entry_id in chosen:
        here = [word for word in known if entry_id in word.names or entry_id in word.places]
        share = sum(weights[word.text] for word in here) / sum(weights.values())
        if len(here) < len(words) and (whole or min(share, len(here) / len(words)) <= ENOUGH):
            continue
        named = sum(weights[word.text] for word in here if entry_id in word.names) / sum(weights.values())
        scored.append((-len(here) / len(words), -share, -named, len(entry_id), entry_id))
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
    """How much each word says: the rarer, the more (inverse document frequency; Sparck Jones 1972)."""
    numbers = {word.text: len(word.entries()) for word in words}
    most = max(numbers.values())
    return {text: 1 + log((most + 1) / (number + 1)) for text, number in numbers.items()}


def _hit(words: list[_Word], entry_id: str, names: dict[str, Name], score: float) -> Hit:
    named = [word for word in words if entry_id in word.names]
    name = named[0].names[entry_id] if named else names[entry_id]
    return Hit(
        entry_id,
        name.term_id,
        name.text,
        name.language,
        "word inside" if len(named) == len(words) else "in a text",
        score,
        _reason(words, entry_id),
    )


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
