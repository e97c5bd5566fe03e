"""Answering while somebody is still typing."""

from rapidfuzz.distance import Levenshtein

from termbase.lookup.asked import Asked, take
from termbase.lookup.hits import Hit, best_of_each_entry, hit_beginning
from termbase.lookup.tables import WHOLE, WORD, by_beginning, by_texts, texts_under
from termbase.segments import beginning_probes
from termbase.store.reading import Reader

__all__ = ["beginnings", "complete", "with_an_error"]

SHORTEST_WITH_ERROR = 3
ENOUGH = 60  # names read for each way of completing
MOST_LATE = 1200  # names read for a wrong letter late in the query


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
    return [hit_beginning(found.name, start, 0, whole=found.text == start) for found in stored]


def with_an_error(reader: Reader, asked: Asked) -> list[Hit]:
    """Names that begin like the query but for one letter."""
    start = asked.loose
    if len(start) < SHORTEST_WITH_ERROR:
        return []
    near = sorted(
        filter(lambda text: _begins_nearly(text, start), texts_under(reader, beginning_probes(start)))
    )
    found = list(by_texts(reader, near, WHOLE, asked.only))
    half = start[: max(SHORTEST_WITH_ERROR, (len(start) + 1) // 2)]
    late = by_beginning(reader, half, WHOLE, asked.only, MOST_LATE)
    found += [stored for stored in late if _begins_nearly(stored.text, start)]
    return [hit_beginning(stored.name, start, 1) for stored in found]


def _enough(hits: list[Hit], limit: int) -> bool:
    return len({hit.entry_id for hit in hits}) >= limit


def _begins_nearly(text: str, start: str) -> bool:
    """Whether some beginning of the text is one edit away from the start, or none."""
    size = len(start)
    return any(Levenshtein.distance(start, text[:n], score_cutoff=1) <= 1 for n in (size, size - 1, size + 1))
