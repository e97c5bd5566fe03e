"""Finding entries by name: full answers, answers while typing, list filters, and one entry by id or name."""

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import Final

from rapidfuzz import process
from rapidfuzz.distance import Levenshtein
from sqlalchemy import select

from termbase.errors import Ambiguous, BadInput
from termbase.languages.alphabets import sort_key
from termbase.languages.folding import one_spelling
from termbase.languages.keys import KeyKind, weaker
from termbase.messages import message
from termbase.record.entries import Entry, heads
from termbase.search.hits import (
    HOWS,
    Hit,
    How,
    best_of_each_entry,
    hit_beginning,
    hit_by_key,
    hit_near,
    hit_near_word,
)
from termbase.search.queries import (
    SOUGHT,
    WHOLE,
    WITHOUT_WORDS,
    WORD,
    Asked,
    by_beginning,
    by_texts,
    entries_beginning,
    near_texts,
    take,
    texts_beginning,
    texts_under,
)
from termbase.search.texts import by_words, ids_with_words
from termbase.store import tables
from termbase.store.batches import batched
from termbase.store.keys import beginning_probes
from termbase.store.reading import Reader

__all__ = [
    "beginnings",
    "by_own_keys",
    "complete",
    "entry_called",
    "filter_ids",
    "find",
    "near_names",
    "neighbours",
    "with_an_error",
]


# Answers while somebody is still typing.

SHORTEST_WITH_ERROR = 3
ENOUGH = 60  # names read for each way of completing
MOST_LATE = 3000  # names read for a wrong letter late in the query


def complete(reader: Reader, text: str, *, language: str | None = None, limit: int = 10) -> tuple[Hit, ...]:
    """Names that begin as typed, or have a word that does, or would if one letter were not wrong.

    Spaces, hyphens, accents and old letters do not count. A wrong letter is forgiven once about half the name
    is typed, and before that when it comes late.

    Returns:
        The best hit of each entry: the whole name typed, beginnings of names, beginnings of a word inside,
        beginnings with a letter wrong.

    Raises:
        BadInput: the tag is not well formed.
    """
    asked = take(text, language)
    if asked is None or limit < 1:
        return ()
    hits = beginnings(reader, asked, limit)
    if not _enough(hits, limit):
        hits += [
            hit_beginning(stored.name, stored.text, 0, inside=True)
            for stored in by_beginning(reader, asked.loose, WORD, asked.only, ENOUGH)
        ]
    if not _enough(hits, limit):
        hits += with_an_error(reader, asked)
    return best_of_each_entry(hits, limit)


def beginnings(reader: Reader, asked: Asked, limit: int) -> list[Hit]:
    """Names that begin like the query, in the order of their characters."""
    start = asked.loose
    stored = by_beginning(reader, start, WHOLE, asked.only, max(ENOUGH, 4 * limit))
    return [
        hit_beginning(
            found.name, start, 0, whole=found.text == start, apart=_apart(asked.typed, found.name.text)
        )
        for found in stored
    ]


def with_an_error(reader: Reader, asked: Asked) -> list[Hit]:
    """Names that begin like the query but for one letter."""
    start = asked.loose
    if len(start) < SHORTEST_WITH_ERROR:
        return []
    half = start[: max(SHORTEST_WITH_ERROR, (len(start) + 1) // 2)]
    texts = texts_under(reader, beginning_probes(start))
    texts.update(texts_beginning(reader, half, WHOLE, MOST_LATE))
    found = by_texts(reader, sorted(_begin_nearly(list(texts), start)), WHOLE, asked.only)
    return [
        hit_beginning(stored.name, start, 1, apart=_apart(asked.typed, stored.name.text)) for stored in found
    ]


def _enough(hits: list[Hit], limit: int) -> bool:
    return len({hit.entry_id for hit in hits}) >= limit


def _apart(typed: str, name: str) -> int:
    """In how many characters the beginning of a name differs from what was typed: its words begin where they
    were typed to begin, or they do not."""
    size = len(typed)
    written = one_spelling(name[: 2 * size])
    if written.startswith(typed):
        return 0
    return min(Levenshtein.distance(typed, written[:n], score_cutoff=4) for n in (size, size - 1, size + 1))


def _begin_nearly(texts: list[str], start: str) -> Iterator[str]:
    """The texts of which some beginning is one edit away from the start, or none."""
    size = len(start)
    cut = [text[:size] for text in texts]  # of these two edits away at most: looked at all together
    for _, _, place in process.extract(start, cut, scorer=Levenshtein.distance, score_cutoff=2, limit=None):
        text = texts[place]
        lengths = (size, size - 1, size + 1)
        if any(Levenshtein.distance(start, text[:n], score_cutoff=1) <= 1 for n in lengths):
            yield text


MOST_READ = 500  # names read of each way of finding where only some entries are wanted
ENOUGH_WORDS = 200  # names read for one word inside them: there may be thousands, and nobody reads them all


def find(
    reader: Reader,
    text: str,
    *,
    language: str | None = None,
    limit: int = 10,
    within: Collection[str] | None = None,
) -> tuple[Hit, ...]:
    """Find entries by a name as somebody says, types or reads it.

    Args:
        text: the name; may be mutated, inflected, in old print, misspelt, or a part of the name.
        language: search names of this language only; None for all, each by its own rules.
        limit: how many entries at most.
        within: ids of the only entries to be found; None for all.

    Returns:
        The best hit of each entry: the very form, a spelling variant, a mutated or inflected form, an old
        spelling, a near name, the beginning of a name, a word in a name, the words one by one in names and
        texts (definition, technique, analogues, notes); none where the text says nothing.
        Later ways are not tried once `limit` is reached by earlier ones.

    Raises:
        BadInput: the tag is not well formed.
    """
    asked = take(text, language)
    if asked is None or limit < 1:
        return ()
    reach = limit if within is None else max(limit, MOST_READ)  # so that enough of them are among those read

    def kept(hits: Iterable[Hit]) -> list[Hit]:
        return [hit for hit in hits if within is None or hit.entry_id in within]

    hits = kept(by_own_keys(reader, asked))
    for ways in ((near_names, beginnings), (_by_words,)):
        if len({hit.entry_id for hit in hits}) >= limit:
            break
        for way in ways:
            hits.extend(kept(way(reader, asked, reach)))
    hits = hits or kept(with_an_error(reader, asked))
    if len({hit.entry_id for hit in hits}) < limit:
        hits += by_words(reader, text, limit, language=language, within=within)
    return best_of_each_entry(hits, limit)


def by_own_keys(reader: Reader, asked: Asked) -> Iterator[Hit]:
    """Names one of whose keys is a key of the query, single words left out."""
    for stored in by_texts(reader, list(asked.keys), WITHOUT_WORDS, asked.only):
        key = asked.meeting(stored.text, stored.name.primary)
        if key:
            yield hit_by_key(stored.name, weaker(stored.kind, key.kind), asked.text, key.note)


def near_names(reader: Reader, asked: Asked, limit: int) -> list[Hit]:
    """Whole names near to the query, and names with a word near to it; nearest texts first."""
    near = {found.text: found for found in near_texts(reader, asked.loose) if found.edits}
    hits: list[Hit] = []
    entries: set[str] = set()
    for part in batched(near, 4 * limit):
        for stored in by_texts(reader, part, SOUGHT, asked.only):
            found = near[stored.text]
            hits.append(hit_near(stored.name, found.edits, found.likeness))
            entries.add(stored.name.entry_id)
        for stored in by_texts(reader, part, WORD, asked.only, ENOUGH_WORDS):
            found = near[stored.text]
            hits.append(hit_near_word(stored.name, stored.text, found.edits, found.likeness))
        if len(entries) >= limit:
            break
    return hits


def _by_words(reader: Reader, asked: Asked, limit: int) -> Iterator[Hit]:
    """Names that have the query as one of their words, in whatever form the query may be of it."""
    for stored in by_texts(reader, list(asked.keys), WORD, asked.only, max(limit, ENOUGH_WORDS)):
        key = asked.meeting(stored.text, stored.name.primary)
        if key:
            yield hit_by_key(stored.name, KeyKind.WORD, asked.text, key.note)


# The one entry that an id or any form of a name stands for.

MOST_OFFERED: Final = 9
LONGEST_SAID: Final = 60  # letters of the typed text that are repeated in the answer
_ID: Final = re.compile(r"\s*(c\d{4,})(?:\s|$)")
_FORMS: Final[tuple[How, ...]] = (
    How.VERY_FORM, How.VARIANT, How.MUTATED, How.INFLECTED, How.OLD_SPELLING,
)  # fmt: skip
"""Match types that identify a name; a merely similar name is offered, never chosen."""
_RANK: Final = {how: HOWS.index(how) for how in _FORMS} | {How.INFLECTED: HOWS.index(How.MUTATED)}


def entry_called(reader: Reader, typed: str, where: str) -> str:
    """The id of the entry that somebody means: by its id (names may follow it), or by any form of a name.

    A form that is nearer wins: where one entry has the very form and others a mutated one, it is that one.
    The id need not exist, and may be of an entry that was merged; ids lead on elsewhere.

    Args:
        typed: `c0012`, `c0012 hank · clicied`, `hank`, `hanks`, `glicied`.
        where: the field or argument, for the message.

    Raises:
        Ambiguous: more than one entry is called so, or none but some have a name like it.
        BadInput: no entry has a name like it.
    """
    given = _ID.match(typed)
    if given:
        return given[1]
    hits = find(reader, typed, limit=MOST_OFFERED)
    called = [hit for hit in hits if hit.how in _FORMS]
    nearest = [hit for hit in called if _RANK[hit.how] == _RANK[called[0].how]]
    if len(nearest) == 1:
        return nearest[0].entry_id
    short = typed.strip() if len(typed.strip()) <= LONGEST_SAID else f"{typed.strip()[:LONGEST_SAID]}…"
    if not hits:
        raise BadInput(
            message("No entry is called “%(typed)s”.", typed=short),
            where=where,
            fix=message("Type any form of one of its names, or its id (c0012)."),
        )
    choices = _choices(reader, called or list(hits))
    known = "; ".join(words for _, words in choices)
    what = (
        message("Several entries are called “%(typed)s”.", typed=short)
        if called
        else message("No entry is called “%(typed)s”, but some have a similar name.", typed=short)
    )
    raise Ambiguous(what, where=where, fix=message("Choose one: %(known)s.", known=known), choices=choices)


def _choices(reader: Reader, hits: list[Hit]) -> tuple[tuple[str, str], ...]:
    entries = reader.many(Entry, [hit.entry_id for hit in hits])
    return tuple(
        (i, f"{i} {' · '.join(term.text for term in heads(entry).values())}") for i, entry in entries.items()
    )


# Filter a list of entries by the text typed above it.

MOST = 1_000_000
MOST_WORDS = 8
MOST_OF_SOME = 200
"""Entries that are let through though they lack some of the words."""


def filter_ids(reader: Reader, text: str, *, language: str | None = None) -> Sequence[str]:
    """Ids of the entries that a filter lets through, nearest first.

    An entry stays when one of its names is found by the text (as by `find`, near names apart), or when every
    word of the text begins some word of its names or of its texts (definition, technique, analogues, notes).
    Where nothing stays, near names do, and entries that have most of the words. A text that says nothing
    (spaces, signs only) lets nothing through; ask only when something is typed.

    Raises:
        BadInput: the tag is not well formed.
    """
    asked = take(text, language)
    if asked is None:
        return ()
    first = [hit.entry_id for hit in best_of_each_entry(by_own_keys(reader, asked), MOST)]
    begun = entries_beginning(reader, asked.words()[:MOST_WORDS], asked.only)
    found = dict.fromkeys([*first, *sorted(begun, key=_as_made)])
    found |= dict.fromkeys(sorted(ids_with_words(reader, text, language=language), key=_as_made))
    if not found:
        near = best_of_each_entry(near_names(reader, asked, 20), MOST)
        some = by_words(reader, text, MOST_OF_SOME, language=language, begun=True)
        found = dict.fromkeys(hit.entry_id for hit in (*near, *some))
    return tuple(found)


def _as_made(entry_id: str) -> tuple[int, str]:
    return len(entry_id), entry_id


# Where a name would stand in the alphabetical order of its language.


def neighbours(reader: Reader, sort_form: str, tag: str, *, without: str = "") -> tuple[str, str]:
    """The heads before and after a name when it is sorted by this form; empty at either end of the list.

    Args:
        without: id of a name that is not asked about (the name itself).

    Raises:
        BadInput: the tag is not well formed.
    """
    term = tables.term.c
    key = sort_key(sort_form, tag)
    heads = select(term.text).where(term.language == tag, term.is_head, term.id != without).limit(1)
    before = reader.connection.scalar(heads.where(term.sort_key < key).order_by(term.sort_key.desc()))
    after = reader.connection.scalar(heads.where(term.sort_key > key).order_by(term.sort_key))
    return before or "", after or ""
