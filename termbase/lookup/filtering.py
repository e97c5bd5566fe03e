"""Narrowing a list of entries by what is typed over it."""

from collections.abc import Sequence

from termbase.lookup.asked import Asked, take
from termbase.lookup.finding import by_own_keys, near_names
from termbase.lookup.hits import best_of_each_entry
from termbase.lookup.tables import names_beginning
from termbase.store.reading import Reader

__all__ = ["filter_ids"]

MOST = 1_000_000


def filter_ids(reader: Reader, text: str, *, language: str | None = None) -> Sequence[str]:
    """Ids of the entries that a filter lets through, nearest first.

    An entry stays when one of its names is found by the text (as by `find`, near names apart), or when every
    word of the text begins some word of one of its names. Where nothing stays, near names do. A text that
    says nothing (spaces, signs only) lets nothing through; ask only when something is typed.

    Raises:
        BadInput: the tag is not well formed.
    """
    asked = take(text, language)
    if asked is None:
        return ()
    first = [hit.entry_id for hit in best_of_each_entry(by_own_keys(reader, asked), MOST)]
    found = dict.fromkeys([*first, *_by_words(reader, asked)])
    if not found:
        found = dict.fromkeys(hit.entry_id for hit in best_of_each_entry(near_names(reader, asked, 20), MOST))
    return tuple(found)


def _by_words(reader: Reader, asked: Asked) -> list[str]:
    """Entries with a name of which, for every word asked, some word begins so; oldest first."""
    here: set[tuple[str, str]] | None = None
    for word in sorted(asked.words, key=len, reverse=True):
        these = set(names_beginning(reader, word, asked.only))
        here = these if here is None else here & these
        if not here:
            break
    return sorted({entry_id for entry_id, _ in here or ()}, key=lambda i: (len(i), i))
