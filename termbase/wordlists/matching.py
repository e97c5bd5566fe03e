"""Laying a layout over a line: the steps of a layout, and the walk along the line that they make.

A part takes the fewest words that let the rest of the layout fit, and never half a bracket. The walk
takes time in proportion to the length of the line, times a bounded number of places where a part may end.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Literal

from termbase.codes.lines import Expected, LinePart
from termbase.fields.notes import NOTHING_SAID, CodedText

__all__ = ["ALWAYS", "PARTS", "Found", "Node", "Span", "Stop", "lay"]

PARTS: dict[str, str] = {part.name: part.one for part in LinePart}
"""Names of parts as written in a layout, and in words."""


_OVER_LINES = {"SENSES", "EQUIVALENTS", "NOTE", "GLOSS"}
_MOST_ENDS = 200  # more possible ends are not tried, so that odd lines do not take long
_Kind = Literal["sign", "listed", "taken", "fork", "end"]
ALWAYS = re.compile("")


@dataclass(frozen=True, slots=True)
class Span:
    """A matched part: its name and its position in the text."""

    part: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Stop:
    """Where a layout stopped fitting: offset, the part expected there, the parts matched before."""

    at: int
    wanted: CodedText
    found: tuple[Span, ...]


Found = tuple[Span, ...]
"""Parts in the order in which they stand."""

_NOTHING: Found = ()


class Node:
    """A step of a layout: a sign to find, a part to take, a way round a group, or the end."""

    __slots__ = ("follow", "kind", "next", "order", "other", "shown", "sign", "to_end")

    def __init__(
        self,
        kind: _Kind,
        order: int,
        shown: str = "",
        sign: re.Pattern[str] = ALWAYS,
        after: "Node | None" = None,
        other: "Node | None" = None,
    ) -> None:
        self.kind, self.order, self.shown, self.sign = kind, order, shown, sign
        self.next = after or self
        self.other = other or self
        self.follow = ALWAYS
        self.to_end = False


def lay(first: Node, text: str, start: int, end: int, depths: Sequence[int] | None) -> Found | Stop:
    """Walk from the first step along `text[start:end]`; return the parts found, or where it stopped.

    `depths` gives how many brackets are open before each character; None: take no account of them.
    """
    return _Laying(text, end, depths).lay(first, start)


class _Laying:
    """One laying of a layout over a line."""

    __slots__ = ("before", "deepest", "depths", "end", "failed", "stopped_at", "text")

    def __init__(self, text: str, end: int, depths: Sequence[int] | None) -> None:
        self.text, self.end, self.depths = text, end, depths
        self.failed: set[tuple[int, int]] = set()
        self.deepest, self.stopped_at, self.before = Node("fork", -1), 0, _NOTHING

    def lay(self, node: Node, start: int) -> Found | Stop:
        found = self._at(node, start, ())
        if found is None:
            return Stop(self.stopped_at, _wanted(self.deepest), self.before)
        return found

    def _at(self, node: Node, place: int, found: Found) -> Found | None:
        if (node.order, place) in self.failed:
            return None
        result: Found | None
        if node.kind == "end":
            result = found if place == self.end else self._stop(node, place, found)
        elif node.kind == "fork":
            result = self._at(node.next, place, found)
            if result is None:
                result = self._at(node.other, place, found)
        elif node.kind == "sign":
            hit = node.sign.match(self.text, place, self.end)
            result = self._at(node.next, hit.end(), found) if hit else self._stop(node, place, found)
        else:
            result = self._part(node, place, found)
        if result is None:
            self.failed.add((node.order, place))
        return result

    def _part(self, node: Node, place: int, found: Found) -> Found | None:
        following = node.next
        if node.kind == "listed":
            hit = node.sign.match(self.text, place, self.end)
            if not hit:
                return self._stop(node, place, found)
            return self._at(following, hit.end(), (*found, Span(node.shown, place, hit.end())))
        begins = node.sign.match(self.text, place, self.end)
        if not begins:
            return self._stop(node, place, found)
        if node.to_end and place < self.end:
            return self._at(following, self.end, (*found, Span(node.shown, place, self.end)))
        for close in self._closes(node, place, begins.end()):
            result = self._at(following, close, (*found, Span(node.shown, place, close)))
            if result is not None:
                return result
        return self._stop(node, place, found)

    def _closes(self, node: Node, place: int, begin: int) -> list[int]:
        """Where a part that starts at `place` may end: before each sign that may follow it."""
        end = self.end
        if node.shown not in _OVER_LINES:
            line = self.text.find("\n", place, end)
            end = line + 1 if line >= 0 else end
        hits = node.follow.finditer(self.text, max(begin, place + 1), end)
        closes = [hit.start() for hit in islice(hits, _MOST_ENDS)]
        if self.depths is None or not closes:
            return closes
        depths, level = self.depths, self.depths[place]
        return [close for close in closes if depths[close] == level]

    def _stop(self, node: Node, place: int, found: Found) -> Found | None:
        """Remember the deepest stop; of equally deep ones the first in the line."""
        deepest = self.deepest.order
        if node.order > deepest or (node.order == deepest and place < self.stopped_at):
            self.deepest, self.stopped_at, self.before = node, place, found
        return None


def _wanted(node: Node) -> CodedText:
    if node.kind == "end":
        return Expected.END()
    if node.kind == "sign":
        if not node.shown.strip():
            if "\t" in node.shown:
                return Expected.GAP()
            return Expected.NEW_LINE() if "\n" in node.shown else _wanted_after(node)
        after = _next_part(node)
        if after:
            return Expected.SIGN_AND_PART(sign=node.shown.strip(), part=after)
        return Expected.SIGN(sign=node.shown.strip())
    return Expected.PART(part=LinePart[node.shown]())


def _wanted_after(node: Node) -> CodedText:
    part = _next_part(node)
    return Expected.PART(part=part) if part else Expected.SPACE()


def _next_part(node: Node) -> CodedText:
    """The part that follows; nothing where something else does."""
    following = node.next
    while following.kind == "fork":
        following = following.other
    return LinePart[following.shown]() if following.kind in ("listed", "taken") else NOTHING_SAID
