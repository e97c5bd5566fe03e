"""Allows words too long for a column to break anywhere; otherwise the typesetter lets them run off the
page."""

import re
from typing import Final

__all__ = ["breakable"]

_LONG: Final = re.compile(r"(?<!\w)\w{41,}")
"""Longer than any word of the languages printed; a column of the small book holds about forty letters."""
_PIECE: Final = 20
_BREAK: Final = "\u200b"
"""ZERO WIDTH SPACE (Unicode 16, 23.2): where a line may end without a hyphen."""


def breakable(data: bytes) -> bytes:
    """Return JSON in which words longer than forty letters have break points; everything else is unchanged.

    An escape (`\\u0001`) stays whole, since it ends before the first break point.
    """
    text = data.decode()
    return _LONG.sub(_parted, text).encode() if _LONG.search(text) else data


def _parted(found: re.Match[str]) -> str:
    word = found[0]
    return _BREAK.join(word[at : at + _PIECE] for at in range(0, len(word), _PIECE))
