"""The closed lists of grammar that a label must lead to, and what of a line is in none of them.

A word-list may say of a word what our lists do not know (*participle*). Such a word is never dropped: the
line keeps it and says so, until somebody decides. In a pattern it is decided once for all: `other
(participle)` is one of our words, and the book's own in brackets, which goes into the note.
"""

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from termbase.codes.lines import Problem
from termbase.fields.notes import CodedText
from termbase.record.entries import Gender, Number, PartOfSpeech
from termbase.record.lines import ParsedLine, Trouble

__all__ = ["LISTS", "listed_meaning", "outside_lists", "outside_said", "troubles_of"]

LISTS: Final[Mapping[str, frozenset[str]]] = MappingProxyType(
    {
        "part of speech": frozenset(p.value for p in PartOfSpeech),
        "gender": frozenset(g.value for g in Gender),
        "number": frozenset(n.value for n in Number),
    }
)
"""The words that each slot of grammar can hold."""

_OUTSIDE: Final = MappingProxyType(
    {
        "part of speech": Problem.NO_PART_OF_SPEECH,
        "gender": Problem.NO_GENDER,
        "number": Problem.NO_NUMBER,
    }
)
"""What is said of a word that a slot cannot hold."""

_WITH_REMARK = re.compile(r"([^()]+?)\s*\((.+)\)\s*", re.DOTALL)


def listed_meaning(meaning: str) -> tuple[str, str]:
    """A meaning and the remark in brackets after it: `other (participle)` is `other` and `participle`."""
    found = _WITH_REMARK.fullmatch(meaning)
    return (found[1].strip(), found[2].strip()) if found else (meaning, "")


def outside_said(slot: str, word: str) -> CodedText:
    """That a word is not in the list of its slot."""
    return _OUTSIDE[slot](word=word)


def outside_lists(parsed: ParsedLine) -> Iterator[tuple[str, str, str]]:
    """The words of grammar that no list has, each with its slot and the name it is said of."""
    told = [(parsed.headword, parsed.part_of_speech, parsed.gender, parsed.number)]
    told += [
        (equivalent.text, equivalent.part_of_speech, equivalent.gender, equivalent.number)
        for sense in parsed.senses
        for equivalent in sense.equivalents
    ]
    for name, *words in told:
        for slot, word in zip(LISTS, words, strict=True):
            if word and word not in LISTS[slot]:
                yield slot, word, name


def troubles_of(parsed: ParsedLine) -> tuple[Trouble, ...]:
    """The troubles of a line, and one for each word that no list has where none is kept for it.

    Lines read by an earlier version, and lines corrected by hand, hold such words without a trouble.
    """
    known = {trouble.why for trouble in parsed.troubles}
    more = dict.fromkeys(outside_said(slot, word) for slot, word, _ in outside_lists(parsed))
    return (*parsed.troubles, *(Trouble(1, why) for why in more if why not in known))
