"""How a name is printed where that differs from the name: as a spelling of it, or as a stand-in for it.

Only a spelling is another form of the name. A ditto mark, an abbreviation and a word broken at the line end
replace the name in one place of one book; nobody searches for the name by them.
"""

import re
from typing import Final

from termbase.record.lines import PrintedWhy

__all__ = ["DITTO_MARKS", "is_printed_in", "is_spelling", "kind_of_print", "may_be_spelling"]

DITTO_MARKS: Final = ("″", "”", "“", "„", '"', "〃", ",,", "''", "do.", "ditto", "id.", "—", "–", "--")
"""Marks that repeat the text above; common practice of printed lists, no source."""

_MARKS = "|".join(re.escape(mark) for mark in sorted(DITTO_MARKS, key=len, reverse=True))
_DITTO = re.compile(rf"(?:^|(?<=[\s(,;]))(?:{_MARKS})(?=$|[\s),;.\-‐])", re.IGNORECASE)
_BREAK = re.compile(r"[-‐¬]\s+|\s*\n\s*|¬")
_SIGNS = re.compile(r"[\W_]+")
_WORD = re.compile(r"[^\W\d_]+")
_SHORTENED = re.compile(r"([^\W\d_]+)\.(?=$|[\s\-‐,;)]|[^\W\d_])")
_LEAST_ALIKE = 0.5  # of the letters of two words, so that one may be a spelling of the other


def kind_of_print(printed: str, name: str) -> PrintedWhy:
    """What a printed form is beside the name: a ditto, a broken word, an abbreviation, else a spelling."""
    if _DITTO.search(printed) and not _DITTO.search(name):
        return PrintedWhy.DITTO
    if _BREAK.search(printed) and not _BREAK.search(name) and _letters(printed) == _letters(name):
        return PrintedWhy.BROKEN_WORD
    if _is_shortened(printed, name):
        return PrintedWhy.ABBREVIATION
    return PrintedWhy.BY_HAND


def is_spelling(printed: str, name: str) -> bool:
    """Whether a printed form is a spelling of the name, under which one may look for it."""
    return kind_of_print(printed, name) is PrintedWhy.BY_HAND


def may_be_spelling(printed: str, name: str) -> bool:
    """Whether two texts are so alike that one may be the printed form of the other, for an offer to a person.

    They have as many words, and each of them shares half of its letters. A stand-in always may.
    """
    if not is_spelling(printed, name):
        return True
    pairs = _WORD.findall(printed.casefold()), _WORD.findall(name.casefold())
    return len(pairs[0]) == len(pairs[1]) and all(map(_are_alike, *pairs))


def is_printed_in(name: str, line: str) -> bool:
    """Whether a line prints the name itself, whatever its capitals and spaces."""
    return bool(name.strip()) and _plain(name) in _plain(line)


def _are_alike(one: str, other: str) -> bool:
    shared = sum(min(one.count(letter), other.count(letter)) for letter in set(one))
    return shared >= _LEAST_ALIKE * max(len(one), len(other))


def _is_shortened(printed: str, name: str) -> bool:
    """Whether a word with a full stop begins a word of the name: `c.-buttock`, `b. heel`."""
    words = [word.casefold() for word in _WORD.findall(name)]
    return any(
        any(word.startswith(stem.casefold()) and len(word) > len(stem) for word in words)
        for stem in _SHORTENED.findall(printed)
    )


def _letters(text: str) -> str:
    return _SIGNS.sub("", text).casefold()


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()
