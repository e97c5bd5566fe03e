"""Answering while somebody is still typing."""

from collections.abc import Iterator

from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

from termbase.languages.folding import one_spelling
from termbase.lookup.asked import Asked, take
from termbase.search.hits import Hit, best_of_each_entry, hit_beginning
from termbase.search.queries import WHOLE, WORD, by_beginning, by_texts, texts_beginning, texts_under
from termbase.segments import beginning_probes
from termbase.store.reading import Reader

__all__ = ["beginnings", "complete", "with_an_error"]

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
