"""Narrowing a list of entries by what is typed over it."""

from collections.abc import Sequence

from termbase.lookup.asked import take
from termbase.search.finding import by_own_keys, near_names
from termbase.search.hits import best_of_each_entry
from termbase.search.queries import entries_beginning
from termbase.search.texts import by_words, ids_with_words
from termbase.store.reading import Reader

__all__ = ["filter_ids"]

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
