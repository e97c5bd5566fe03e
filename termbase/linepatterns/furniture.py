"""Page furniture: running heads, page numbers, section letters, front and back matter."""

import re
from collections.abc import Sequence
from typing import Literal

from termbase.wordlists.patterns import Furniture

__all__ = ["LineClass", "classify"]

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
