"""Reading a text of the period: its sentences, and the names in them that the record knows.

Pure: who knows the names is handed in (`termbase.overviews.texts.names_in` does). Every sentence and every
mark is a place in the text as given, so that a quotation from it matches the text exactly.
"""

import re
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from termbase.languages.keys import KeyKind, weaker
from termbase.search.hits import Hit, best_of_each_entry, hit_by_key
from termbase.search.queries import WITHOUT_WORDS, Asked, Stored, by_texts, take
from termbase.store.reading import Reader

__all__ = ["LONGEST_PHRASE", "Mark", "ReadSentence", "Span", "names_in", "read", "sentences"]


LONGEST_PHRASE = 5
"""Words of the longest phrase that is looked up as a name."""

_ABBREVIATIONS = frozenset(
    {
        *("mr", "mrs", "ms", "messrs", "dr", "rev", "st", "esq", "capt", "col", "lieut", "sergt", "hon"),
        *("jas", "wm", "thos", "geo", "chas", "jno", "robt", "saml", "jun", "junr", "sen", "senr"),
        *("no", "vol", "p", "pp", "viz", "ult", "inst", "prox", "co", "lb", "lbs", "oz"),
    }
)
"""After these a full stop ends no sentence; common in the print of the time, from memory."""
_END = re.compile(r"[.!?…]+[\"'”’»)\]]*(?=\s)")
_BLANK = re.compile(r"[ \t]*\n(?:[ \t]*\n)+")
_LAST_WORD = re.compile(r"(\w+)\W*$")
_WORD = re.compile(r"[^\W\d_]+(?:['’‑-](?:\n[ \t]*)?[^\W\d_]+)*")
_BETWEEN = re.compile(r"(?:[ \t]|\n(?![ \t]*\n)|[-‑])+")
_BROKEN = re.compile(r"([-‑])\n[ \t]*")

Knower = Callable[[Sequence[str]], Mapping[str, Sequence[Hit]]]
"""Gives, for phrases, the names of the record that they are forms of; phrases that are none are left out."""


@dataclass(frozen=True, slots=True)
class Span:
    """A sentence: where it begins and ends in the text, in characters."""

    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Mark:
    """A name found in a sentence.

    Attributes:
        start, end: its place, in characters from the beginning of the sentence.
        text: as written there.
        hits: the names of the record it may be, nearest first.
    """

    start: int
    end: int
    text: str
    hits: tuple[Hit, ...]


@dataclass(frozen=True, slots=True)
class ReadSentence:
    """A sentence as written in the text, with the names marked in it, in order and not overlapping.

    `opens` says that a paragraph begins with it.
    """

    number: int
    text: str
    marks: tuple[Mark, ...]
    opens: bool

    def pieces(self) -> tuple[tuple[str, Mark | None], ...]:
        """The sentence in pieces, each with its mark or none; put together they are the sentence."""
        found: list[tuple[str, Mark | None]] = []
        at = 0
        for mark in self.marks:
            found += [(self.text[at : mark.start], None), (self.text[mark.start : mark.end], mark)]
            at = mark.end
        found.append((self.text[at:], None))
        return tuple((text, mark) for text, mark in found if text)


def read(text: str, knower: Knower) -> tuple[ReadSentence, ...]:
    """The sentences of a text, with the names that the record knows.

    Where phrases overlap the longer one is taken, and of two equally long ones the earlier.
    """
    spans = sentences(text)
    parts = [text[span.start : span.end] for span in spans]
    phrases = [list(_phrases(part)) for part in parts]
    known = knower(list(dict.fromkeys(phrase for each in phrases for _, _, phrase in each)))
    found = []
    before = 0
    for number, (span, part, these) in enumerate(zip(spans, parts, phrases, strict=True)):
        opens = number == 0 or _BLANK.search(text[before : span.start]) is not None
        found.append(ReadSentence(number, part, _chosen(part, these, known), opens))
        before = span.end
    return tuple(found)


def sentences(text: str) -> tuple[Span, ...]:
    """Where the sentences of a text are, in order; white space between them belongs to none.

    A blank line ends a sentence; a full stop after an abbreviation or an initial does not.
    """
    ends = {match.end() for match in _END.finditer(text) if _ends_here(text, match)}
    ends |= {match.start() for match in _BLANK.finditer(text)}
    found = []
    start = 0
    for end in [*sorted(ends), len(text)]:
        piece = text[start:end]
        stripped = piece.strip()
        if stripped:
            first = start + piece.index(stripped)
            found.append(Span(first, first + len(stripped)))
        start = end
    return tuple(found)


def _ends_here(text: str, match: re.Match[str]) -> bool:
    if not match.group().startswith(".") or match.group().startswith(".."):
        return _starts_anew(text, match.end())
    word = _LAST_WORD.search(text, 0, match.start())
    if word and (word.group(1).casefold() in _ABBREVIATIONS or _is_initial(word.group(1))):
        return False
    return _starts_anew(text, match.end())


def _is_initial(word: str) -> bool:
    return len(word) == 1 and word.isupper() and word != "I"


def _starts_anew(text: str, at: int) -> bool:
    """Whether what follows can begin a sentence: no small letter."""
    rest = text[at:].lstrip().lstrip("\"'“‘«([—–-")
    return not rest or not rest[0].islower()


def _phrases(sentence: str) -> Iterator[tuple[int, int, str]]:
    """Every run of words with nothing but space between, as place and text to look up."""
    words = [(m.start(), m.end()) for m in _WORD.finditer(sentence)]
    for first, (start, _) in enumerate(words):
        for last in range(first, min(first + LONGEST_PHRASE, len(words))):
            end = words[last][1]
            if last > first and not _BETWEEN.fullmatch(sentence, words[last - 1][1], words[last][0]):
                break
            yield start, end, _as_looked_up(sentence[start:end])


def _as_looked_up(phrase: str) -> str:
    """A phrase on one line; a word broken at the line's end is put together with its hyphen."""
    return " ".join(_BROKEN.sub(r"\1", phrase).split())


def _chosen(
    sentence: str, phrases: Sequence[tuple[int, int, str]], known: Mapping[str, Sequence[Hit]]
) -> tuple[Mark, ...]:
    candidates = [(start, end, known[phrase]) for start, end, phrase in phrases if phrase in known]
    candidates.sort(key=lambda c: (c[0] - c[1], c[0]))
    taken: list[Mark] = []
    for start, end, hits in candidates:
        if all(end <= mark.start or start >= mark.end for mark in taken):
            taken.append(Mark(start, end, sentence[start:end], tuple(hits)))
    return tuple(sorted(taken, key=lambda mark: mark.start))


# Find the names of the record in many phrases of running text at once.

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
        phrases: one or more words each, as written in the text.
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
