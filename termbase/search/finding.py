"""Answering what somebody asks for by name."""

from collections.abc import Collection, Iterable, Iterator

from termbase.languages.keys import KeyKind, weaker
from termbase.lookup.asked import Asked, take
from termbase.lookup.completing import beginnings, with_an_error
from termbase.search.hits import Hit, best_of_each_entry, hit_by_key, hit_near, hit_near_word
from termbase.search.queries import SOUGHT, WITHOUT_WORDS, WORD, by_texts, near_texts
from termbase.search.texts import by_words
from termbase.store.batches import batched
from termbase.store.reading import Reader

__all__ = ["by_own_keys", "find", "near_names"]

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
