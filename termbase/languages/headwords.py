"""From a form in a text to the headwords it may stand for, ranked, each with how it was found."""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass

from termbase.languages.alphabets import sort_key
from termbase.languages.keys import KeyKind, find_keys, query_keys, weaker

__all__ = ["Found", "Lookup", "StoredKey", "headwords_for", "index_of"]


@dataclass(frozen=True, slots=True)
class StoredKey:
    """A stored key and the headword it was made of."""

    text: str
    kind: KeyKind
    headword: str


Lookup = Callable[[Collection[str]], Iterable[StoredKey]]
"""Given texts of keys, every stored key with one of them; a query to a database, or `index_of`."""


@dataclass(frozen=True, slots=True)
class Found:
    """A headword that a form may stand for.

    Attributes:
        headword: as stored.
        how: what had to be disregarded to find it.
        note: the mutation or irregular form undone (`lenition, c > ch`); empty where none.
    """

    headword: str
    how: KeyKind
    note: str = ""


def headwords_for(form: str, tag: str, headwords: Lookup) -> tuple[Found, ...]:
    """Headwords a form may stand for, best first, each once.

    The very form comes first, then another spelling, a mutated form, an inflected one, an old spelling, a
    misreading, a single word of a longer name; equals in alphabetical order.

    Raises:
        BadInput: the tag is not well formed.
    """
    asked = {key.text: (place, key) for place, key in reversed(list(enumerate(query_keys(form, tag))))}
    best: dict[str, tuple[int, int, bytes, Found]] = {}
    for stored in headwords(asked.keys()):
        place, query = asked[stored.text]
        how = weaker(query.kind, stored.kind)
        ranked = (how.rank, place, sort_key(stored.headword, tag), Found(stored.headword, how, query.note))
        known = best.get(stored.headword)
        if known is None or ranked[:2] < known[:2]:
            best[stored.headword] = ranked
    return tuple(found for *_, found in sorted(best.values(), key=lambda ranked: ranked[:3]))


def index_of(headwords: Iterable[str], tag: str) -> Lookup:
    """A lookup in memory over a list of headwords of one language.

    Raises:
        BadInput: the tag is not well formed.
    """
    by_text: dict[str, list[StoredKey]] = {}
    for headword in headwords:
        for key in find_keys(headword, tag):
            by_text.setdefault(key.text, []).append(StoredKey(key.text, key.kind, headword))

    def look_up(texts: Collection[str]) -> Iterable[StoredKey]:
        for text in texts:
            yield from by_text.get(text, ())

    return look_up
