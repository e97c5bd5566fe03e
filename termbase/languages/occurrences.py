"""Whether a text contains a name, in any form in which the name may be printed there.

The keys of finding decide (`termbase.languages.keys`), so that a quotation contains what a search would find:
the name in old print, with hyphens, in two words or in one, mutated, inflected, broken at the end of a line.
Only whole words count: *hankering* does not contain *hank*.
"""

import re
from collections.abc import Callable, Iterable
from functools import lru_cache

from termbase.languages.folding import clean, modern_spelling
from termbase.languages.keys import KeyKind, find_keys, query_keys
from termbase.languages.tags import is_well_formed

__all__ = ["SHORTEST", "Form", "contains"]

Form = tuple[str, str]
"""One form of a name and the tag of its language."""

SHORTEST: dict[KeyKind, int] = {
    KeyKind.FORM: 1,
    KeyKind.SPELLING: 1,
    KeyKind.INFLECTED: 3,
    KeyKind.OLD: 4,
    KeyKind.OLD_LOOSE: 5,
    KeyKind.MISREAD: 6,
}
"""Letters from which a name may be met by such a key. Shorter names are too easily met by chance. Common
practice, no source."""

# What parts two phrases. A hyphen, an apostrophe, a space, one line end and the old signs of a word that goes
# on in the next line (= ⸗ ¬) do not, since a name may be printed with any of them inside.
_END_OF_PHRASE = re.compile(r"\n[ \t\r]*\n|(?:[^\w\s'’‘ʼʻ′`´\-‐‑‒–—−=⸗¬&]|_)+")
_WORD = re.compile(r"[^\W_]+|&")

_Words = Callable[[str, str], frozenset[str]]


def contains(text: str, forms: tuple[Form, ...]) -> bool:
    """Whether a text contains one of these forms of a name, or a form of one of them.

    Args:
        text: as it was printed; line ends are kept.
        forms: the forms, each with the tag of its language; a tag that is not well formed, which a file may
            have brought in, stands for no language.
    """
    folded = _folded(text)
    phrases = [words for part in _END_OF_PHRASE.split(folded) if (words := _WORD.findall(part))]
    whole = [_WORD.findall(folded)]
    return any(
        _stands_in(whole if across else phrases, tag, keys, beginnings, words)
        for tag, across, keys, beginnings, words in _sought(forms)
    )


def _folded(text: str) -> str:
    return text.lower() if text.isascii() else modern_spelling(clean(text)).casefold()


def _stands_in(
    phrases: Iterable[list[str]], tag: str, keys: frozenset[str], beginnings: frozenset[str], words: _Words
) -> bool:
    """Whether the keys of some words in a row, one key of each, make a key of the name."""
    for phrase in phrases:
        for first, word in enumerate(phrase):
            own = words(word, tag)
            if beginnings.isdisjoint(own):
                continue
            reached = beginnings & own
            after = first
            while reached:
                if not keys.isdisjoint(reached):
                    return True
                after += 1
                if after == len(phrase):
                    break
                more = words(phrase[after], tag)
                reached = frozenset(a + b for a in reached for b in more if a + b in beginnings)
    return False


@lru_cache(maxsize=4096)
def _sought(forms: tuple[Form, ...]) -> tuple[tuple[str, bool, frozenset[str], frozenset[str], _Words], ...]:
    """For each language: the keys to be met, all their beginnings, and what gives the keys of a word.

    The flag says that the names have signs in them that otherwise end a phrase: *hank (a man)*.
    """
    by_tag: dict[tuple[str, bool], set[str]] = {}
    misread: set[str] = set()
    for text, stated in forms:
        tag = stated if is_well_formed(stated) else "und"
        across = _END_OF_PHRASE.search(_folded(text)) is not None
        for key in find_keys(text, tag):
            if len(key.text) >= SHORTEST.get(key.kind, len(key.text) + 1):
                by_tag.setdefault((tag, across), set()).add(key.text)
                misread.update([tag] if len(key.text) >= SHORTEST[KeyKind.MISREAD] else [])
    return tuple(
        (
            tag,
            across,
            frozenset(keys),
            frozenset(key[:end] for key in keys for end in range(1, len(key) + 1)),
            _misread_keys if tag in misread else _word_keys,
        )
        for (tag, across), keys in by_tag.items()
    )


@lru_cache(maxsize=65536)
def _word_keys(word: str, tag: str) -> frozenset[str]:
    """What one word of a text may be a form of; the kinds that disregard too much are left out."""
    return frozenset(
        key.text for key in query_keys(word, tag) if key.kind not in (KeyKind.MISREAD, KeyKind.WORD)
    )


@lru_cache(maxsize=65536)
def _misread_keys(word: str, tag: str) -> frozenset[str]:
    """The same and, for long names, with letters that are taken for one another in old print made one."""
    return frozenset(key.text for key in query_keys(word, tag) if key.kind is not KeyKind.WORD)
