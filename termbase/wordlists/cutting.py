"""Cutting a transcription into lines: records, page furniture, blanks. No character is lost."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from termbase.record.lines import CutLine, Join, JoinKind, LineKind
from termbase.wordlists.patterns import Furniture, LinePattern

__all__ = ["LineClass", "classify", "cut", "indentation", "read_depths"]


# Page furniture: running heads, page numbers, section letters, front and back matter.

LineClass = Literal["text", "furniture", "blank"]

_PAGE_NUMBER = re.compile(r"[\W_]*(?:\d{1,4}|[ivxlc]{2,8}|[ivx](?!\.))[\W_]*\Z")
_NUMBER_AT_EDGE = re.compile(r"\A[\W_]*(?:\d{1,4}|[ivxlc]{1,8})\b|\b(?:\d{1,4}|[ivxlc]{1,8})[\W_]*\Z")
_DOUBLE_LETTERS = {"bh", "ch", "c'h", "dd", "dh", "ff", "gh", "gw", "ng", "ll", "ph", "rh", "sh", "th"}
"""Letters written with two signs in the Welsh, Breton and Cornish alphabets."""


def classify(printed: Sequence[str], furniture: Furniture) -> list[LineClass]:
    """Say of each printed line whether it is text, furniture or blank."""
    body_from, body_to = _body(printed, furniture)
    heads = {_core(head) for head in furniture.running_heads} - {""}
    return [
        "blank"
        if not line.strip()
        else "text"
        if body_from <= place < body_to and not _is_furniture(line, furniture, heads)
        else "furniture"
        for place, line in enumerate(printed)
    ]


def _body(printed: Sequence[str], furniture: Furniture) -> tuple[int, int]:
    start, end = 0, len(printed)
    last_words, first_words = furniture.front_matter_ends.casefold(), furniture.back_matter_begins.casefold()
    if last_words:
        holding = [place for place, line in enumerate(printed) if last_words in line.casefold()]
        start = holding[-1] + 1 if holding else 0
    if first_words:
        alike = [place for place, line in enumerate(printed) if line.strip().casefold() == first_words]
        end = alike[-1] if alike and alike[-1] >= start else end
    return start, end


def _is_furniture(line: str, furniture: Furniture, heads: set[str]) -> bool:
    if furniture.page_numbers and _PAGE_NUMBER.match(line):
        return True
    if furniture.section_letters and _is_section_letter(line):
        return True
    return bool(heads) and _core(line) in heads


def _is_section_letter(line: str) -> bool:
    letter = line.strip(" \t.—–-*[]()").replace("’", "'")
    return letter[:1].isupper() and (len(letter) == 1 or letter.casefold() in _DOUBLE_LETTERS)


def _core(line: str) -> str:
    """A running head without its page number, punctuation and case."""
    bare = _NUMBER_AT_EDGE.sub("", line.strip().casefold(), count=1)
    return " ".join(re.findall(r"\w+", bare))


_HYPHENATED = re.compile(r"(?<![^\W\d_])[^\W\d_]++(?:[-‐][^\W\d_]++)+")
_LONGEST_WORD = 80  # signs looked at for the first half of a broken word
_LAST_WORD = re.compile(r"(?<![^\W\d_])[^\W\d_]++(?:[-‐'’][^\W\d_]++)*\Z")
_FIRST_WORD = re.compile(r"[^\W\d_]+(?:[-‐'’][^\W\d_]+)*")
_OTHER_NUMBER = re.compile(r"\(?(?:([2-9]|[1-9]\d)|[b-z])[.)](?:\s|\Z)")


def cut(transcription: str, pattern: LinePattern) -> tuple[CutLine, ...]:
    r"""Cut a page's transcription into lines by its source's pattern.

    The raw texts, put together, are the transcription. Lines end at `\n`.
    """
    return tuple(_Cutter(transcription, pattern).lines())


def indentation(line: str) -> int:
    """Count the spaces before the first sign; a tab goes to the next multiple of eight."""
    lead = line[: len(line) - len(line.lstrip(" \t"))]
    return len(lead.expandtabs(8)) if "\t" in lead else len(lead)


@dataclass(slots=True)
class _Run:
    """Printed lines that belong together, from (included) to (excluded)."""

    start: int
    end: int
    kind: LineKind


class _Cutter:
    """Cuts one transcription."""

    def __init__(self, transcription: str, pattern: LinePattern) -> None:
        self.pattern = pattern
        self.printed = transcription.split("\n")
        self.raws = [line + "\n" for line in self.printed[:-1]] + self.printed[-1:]
        if not self.printed[-1]:
            self.printed.pop()
            self.raws.pop()
        self.classes = classify(self.printed, pattern.furniture)
        self.hyphens = tuple(pattern.breaks.hyphens)
        self.kept = self._kept_hyphens(transcription) if self.hyphens else frozenset()

    def lines(self) -> Iterator[CutLine]:
        records = {
            "each line": self._each_line,
            "margin": self._margin,
            "blank line": self._blank_line,
            "headword line": self._headword_line,
        }[self.pattern.cutting.records]
        start, number, total = 0, 0, len(self.printed)
        while start < total:
            kind = self.classes[start]
            run = (
                _Run(start, records(start), "record")
                if kind == "text"
                else _Run(start, start + 1, "blank" if kind == "blank" else "furniture")
            )
            number += 1
            yield self._line(number, run)
            start = run.end

    def _line(self, number: int, run: _Run) -> CutLine:
        raw = "".join(self.raws[run.start : run.end])
        if run.kind != "record":
            return CutLine(number, raw, raw.strip(), run.kind, run.start + 1)
        text, joins = self._join(run)
        return CutLine(number, raw, text, run.kind, run.start + 1, joins)

    # where a record that starts here ends

    def _is(self, place: int, kind: LineClass) -> bool:
        return place < len(self.classes) and self.classes[place] == kind

    def _indented(self, place: int) -> bool:
        return self._is(place, "text") and indentation(self.printed[place]) >= self.pattern.cutting.indent

    def _each_line(self, start: int) -> int:
        end = start + 1
        while self._is(end, "text") and self._broken(self.printed[end - 1], self.printed[end]):
            end += 1
        return end

    def _margin(self, start: int) -> int:
        end = start + 1
        while True:
            following = end
            while self._is(following, "blank"):
                following += 1
            if not self._indented(following):
                return end
            end = following + 1

    def _blank_line(self, start: int) -> int:
        end = start + 1
        while self._is(end, "text"):
            end += 1
        return end

    def _headword_line(self, start: int) -> int:
        """The headword line, its gloss lines, and what goes on with them."""
        end, gloss_at_margin = start + 1, True
        for _ in range(self.pattern.cutting.gloss_lines):
            place = self._next_text(end)
            if not self._is(place, "text") or self._shows_headword(place):
                return end
            if place > end and self._indented(place):  # the gloss itself is blank
                break
            gloss_at_margin = not self._indented(place)
            end = place + 1
        while True:
            place = self._next_text(end)
            if not self._goes_on(place, gloss_at_margin):
                return end
            end = place + 1

    def _next_text(self, place: int) -> int:
        while self._is(place, "blank"):
            place += 1
        return place

    def _goes_on(self, place: int, gloss_at_margin: bool) -> bool:
        """Whether a line goes on with the record above.

        Where glosses stand at the margin, a line at the margin is not a headword line when what is below it
        is no gloss: it is indented, has a later sense number, or is a headword line itself. (With a blank
        below it, it may be a headword whose gloss is missing.)
        """
        if not self._is(place, "text") or self._shows_headword(place):
            return False
        if self._indented(place) or self._later_number(place):
            return True
        below = self._next_text(place + 1)
        if not gloss_at_margin or not self._is(below, "text"):
            return False
        if below > place + 1:
            return self._shows_headword(below)
        return self._indented(below) or self._later_number(below) or self._shows_headword(below)

    def _shows_headword(self, place: int) -> bool:
        sign = self.pattern.cutting.headword_sign
        return bool(sign) and sign in self.printed[place] and not self._indented(place)

    def _later_number(self, place: int) -> bool:
        return bool(self.pattern.marks.sense_number and _OTHER_NUMBER.match(self.printed[place]))

    # joining printed lines

    def _join(self, run: _Run) -> tuple[str, tuple[Join, ...]]:
        first = self.printed[run.start].strip()
        pieces, length, joins = [first], len(first), list[Join]()
        stays = self.pattern.cutting.records == "headword line"
        for place in range(run.start + 1, run.end):
            line = self.printed[place].rstrip()
            bare = line.lstrip()
            skipped = len(line) - len(bare)
            goes_on = not self.pattern.layouts.phrase and place > run.start + 1 and self._indented(place)
            if not bare and not stays:
                joins.append(Join(length + 1, "space"))
                continue
            if self._broken(pieces[-1], line):
                stem, how = self._mend(pieces[-1], bare)
                length += len(stem) - len(pieces[-1])
                pieces[-1] = stem
                joins.append(Join(length, how, skipped))
            elif stays and not goes_on:
                pieces.append("\n")
                length, bare = length + 1, line
                joins.append(Join(length, "line"))
            else:
                pieces.append(" ")
                length += 1
                joins.append(Join(length, "space", skipped))
            pieces.append(bare)
            length += len(bare)
        return "".join(pieces).rstrip(), tuple(joins)

    def _broken(self, above: str, below: str) -> bool:
        above, below = above.rstrip(), below.lstrip()
        if not self.hyphens or not above.endswith(self.hyphens):
            return False
        return above[-2:-1].isalpha() and below[:1].isalpha()

    def _mend(self, above: str, below: str) -> tuple[str, JoinKind]:
        stem = above[:-1]
        left, right = _LAST_WORD.search(stem[-_LONGEST_WORD:]), _FIRST_WORD.match(below)
        word = f"{left.group() if left else ''}-{right.group() if right else ''}"
        if word.replace("‐", "-").casefold() in self.kept:
            return (above if above[-1] in "-‐" else f"{stem}-"), "hyphen"
        return stem, "word"

    def _kept_hyphens(self, transcription: str) -> frozenset[str]:
        seen = {hit.group() for hit in _HYPHENATED.finditer(transcription)} | set(self.pattern.breaks.kept)
        return frozenset(word.replace("‐", "-").casefold() for word in seen)


# Round and square brackets: how many are open at each character, and which have no partner.

_BRACKET = re.compile(r"[()\[\]]")
_PAIR = {")": "(", "]": "["}


def read_depths(text: str) -> tuple[list[int] | None, int | None]:
    """Return how many brackets are open before each character, and the first that does not pair.

    The first value is None when there are no brackets, or when they do not pair (then nothing is known
    of what is inside); the second is the offset of the odd bracket, or None.
    """
    opened: list[int] = []
    marks: list[tuple[int, int]] = []
    for hit in _BRACKET.finditer(text):
        place, sign = hit.start(), hit.group()
        if sign in "([":
            opened.append(place)
            marks.append((place + 1, len(opened)))
        elif opened and text[opened[-1]] == _PAIR[sign]:
            opened.pop()
            marks.append((place + 1, len(opened)))
        else:
            return None, place
    if opened:
        return None, opened[0]
    if not marks:
        return None, None
    depths: list[int] = []
    level = 0
    for place, following in marks:
        depths += [level] * (place - len(depths))
        level = following
    depths += [level] * (len(text) + 1 - len(depths))
    return depths, None
