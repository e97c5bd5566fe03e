"""Near names without reading every name: the segment index of Pass-Join.

Source: Li, Deng, Wang, Feng, *Pass-Join: A Partition-based Method for Similarity Joins*, PVLDB 5(3), 2012. A
name is cut into one segment more than the edits allowed to it. Whatever is within those edits leaves at least
one segment untouched, at a nearby place; so the names to compare with are those that share a segment with the
query (section 4, multi-match-aware selection). A segment is kept as one number made of the length of the
name, the place in it and the letters; two segments that happen to have one number cost a comparison, never an
answer.

Edits are insertions, deletions and replacements of single characters (Levenshtein).
"""

from functools import lru_cache
from zlib import crc32

__all__ = ["MOST_EDITS", "beginning_probes", "edits_allowed", "probes", "segments"]

MOST_EDITS = 3
_SIGN = 1 << 31  # numbers are kept as signed 32-bit integers, which every database has


def edits_allowed(length: int) -> int:
    """How far away a name of so many letters may be found: 1 edit from 3 letters on, 2 from 5, 3 from 8.

    In shorter names more edits would make any name near any other.
    """
    if length < 3:
        return 0
    return 1 if length < 5 else 2 if length < 8 else MOST_EDITS


@lru_cache(maxsize=1024)
def _cuts(length: int) -> tuple[tuple[int, int, int], ...]:
    """Of each segment of a name of this length: where it starts and ends, and what its number is reckoned on
    from. All are even, but that the last may be longer by one."""
    number = edits_allowed(length) + 1
    short, longer = divmod(length, number)
    found, start = [], 0
    for n in range(number):
        width = short + (n >= number - longer)
        if width:
            found.append((start, start + width, crc32(f"{length},{n},".encode())))
        start += width
    return tuple(found)


def _number(place: int, letters: str) -> int:
    return crc32(letters.encode(), place) - _SIGN


def segments(name: str) -> list[int]:
    """The numbers under which a name is kept; none for an empty one."""
    return [_number(place, name[start:end]) for start, end, place in _cuts(len(name))]


def probes(query: str) -> list[int]:
    """The numbers to look for: every name within the edits allowed to it is kept under one of them."""
    asked = len(query)
    found: set[int] = set()
    for length in range(max(1, asked - MOST_EDITS), asked + MOST_EDITS + 1):
        edits = edits_allowed(length)
        longer = asked - length
        if abs(longer) > edits:
            continue
        for n, (start, end, place) in enumerate(_cuts(length)):
            left, width = edits - n, end - start
            first = max(0, start - n, start + longer - left)
            last = min(asked - width, start + n, start + longer + left)
            found.update([_number(place, query[at : at + width]) for at in range(first, last + 1)])
    return sorted(found)


def beginning_probes(query: str, longest: int = 60) -> list[int]:
    """The numbers to look for when the query is the beginning of a name and one letter of it may be wrong.

    Complete for names of which two whole segments were typed (about half the name); names much longer than
    that are found only when the wrong letter comes late.
    """
    asked = len(query)
    found: set[int] = set()
    for length in range(max(1, asked - 1), min(longest, 4 * asked) + 1):
        for n, (start, end, place) in enumerate(_cuts(length)[:2]):
            last = min(asked - (end - start), start + n)
            for at in range(max(0, start - n), last + 1):
                found.add(_number(place, query[at : at + end - start]))
    return sorted(found)
