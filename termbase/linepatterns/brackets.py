"""Round and square brackets: how many are open at each place, and which do not pair."""

import re

__all__ = ["read_depths"]

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
