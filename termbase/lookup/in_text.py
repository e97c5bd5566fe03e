"""Names of the record among phrases of running text, many phrases at once."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping

from termbase.languages.keys import KeyKind, weaker
from termbase.lookup.asked import Asked, take
from termbase.search.hits import Hit, best_of_each_entry, hit_by_key
from termbase.search.queries import WITHOUT_WORDS, Stored, by_texts
from termbase.store.reading import Reader

__all__ = ["names_in"]

SHORTEST: Mapping[KeyKind, int] = {
    KeyKind.FORM: 2,
    KeyKind.SPELLING: 3,
    KeyKind.MUTATED: 3,
    KeyKind.INFLECTED: 4,
    KeyKind.OLD: 4,
    KeyKind.OLD_LOOSE: 5,
    KeyKind.MISREAD: 6,
}
"""Letters from which a phrase is believed to be a form of a name: of the short words of a page too many could
be, and a misreading could make almost any of them another. Common practice, no source."""
MOST = 4


def names_in(
    reader: Reader, phrases: Iterable[str], languages: Collection[str]
) -> dict[str, tuple[Hit, ...]]:
    """The names that phrases of a text are forms of: very forms, variants, inflected and mutated ones, old
    spellings, and misprints by letters that old print confuses.

    Args:
        reader: the record.
        phrases: one to some words each, as they stand in the text.
        languages: tags of the languages whose names are looked for.

    Returns:
        The phrases that are any, with the best hit of each entry, nearest first.

    Raises:
        BadInput: a tag is not well formed.
    """
    asked = {
        phrase: [one for tag in languages if (one := take(phrase, tag))] for phrase in dict.fromkeys(phrases)
    }
    texts = {text for ones in asked.values() for one in ones for text in one.keys}
    stored: defaultdict[str, list[Stored]] = defaultdict(list)
    for found in by_texts(reader, sorted(texts), WITHOUT_WORDS):
        stored[found.text].append(found)
    hits = {phrase: _hits(phrase, ones, stored) for phrase, ones in asked.items()}
    return {phrase: these for phrase, these in hits.items() if these}


def _hits(phrase: str, ones: list[Asked], stored: Mapping[str, list[Stored]]) -> tuple[Hit, ...]:
    letters = sum(c.isalpha() for c in phrase)
    found: list[Hit] = []
    for asked in ones:
        for text in asked.keys:
            for name in stored.get(text, ()):
                key = asked.meeting(text, name.name.primary)
                if key is None or name.name.primary != asked.only:
                    continue
                kind = weaker(name.kind, key.kind)
                if letters >= SHORTEST.get(kind, 1):
                    found.append(hit_by_key(name.name, kind, asked.text, key.note))
    return tuple(best_of_each_entry(found, MOST))
