"""The line an element begins on.

libxml2 remembers lines up to 65,534 with an element. Beyond, it knows those of texts, from which that of an
element nearly always follows; where a fault is told, the file is read again by expat up to that element.
"""

from pathlib import Path
from typing import Final, cast
from xml.parsers import expat

from lxml import etree

__all__ = ["STRAY", "line_of", "true_line"]

STRAY: Final = -1
"""In place of an index: what stands beside the pieces, before this one or after it as the last."""
_LAST = 65_535


def line_of(element: etree._Element) -> int | None:
    """The line an element begins on; None where it cannot be told from the tree."""
    line = cast("int | None", element.sourceline)
    if line is None or line < _LAST:
        return line
    node: etree._Element | None = element
    while node is not None:
        text = node.text or (node.tail if not len(node) else None)
        if text:  # libxml2 gives the line on which the first text after the tag ends
            return None if line == _LAST else line - text.count("\n")
        node = node[0] if len(node) else node.getnext()
    return None


class _Found(Exception):
    def __init__(self, line: int) -> None:
        self.line = line


class _Counter:
    """Counts the elements of a file up to one of them."""

    def __init__(self, pieces: frozenset[str], piece: int, index: int) -> None:
        self.pieces, self.piece, self.index = pieces, piece, index
        self.parser = expat.ParserCreate()
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = self.end
        self.number = self.inside = self.depth = self.depth_inside = 0
        self.stray: dict[int, int] = {}  # line of the last element outside of pieces, by depth
        self.depth_of_pieces = 0

    def start(self, name: str, _: object) -> None:
        line = self.parser.CurrentLineNumber
        if self.depth_inside:
            self.depth_inside += 1
            self.inside += 1
        elif name.rpartition(":")[2] in self.pieces:
            self.number += 1
            self.depth_inside, self.inside, self.depth_of_pieces = 1, 0, self.depth
        else:
            self.stray[self.depth] = line
            self.depth += 1
            return
        if self.number != self.piece or (self.index == STRAY and self.depth_inside > 1):
            return
        if self.index == STRAY and self.depth in self.stray:
            raise _Found(self.stray[self.depth])
        if self.index == self.inside:
            raise _Found(line)

    def end(self, _: str) -> None:
        if self.depth_inside:
            self.depth_inside -= 1
            return
        self.depth -= 1
        beside = self.stray.get(self.depth_of_pieces)
        if self.index == STRAY and self.number == self.piece and self.depth < self.depth_of_pieces and beside:
            raise _Found(beside)


def true_line(path: Path, pieces: frozenset[str], piece: int, index: int) -> int | None:
    """The line of an element by counting: the piece it stands in (from 1), and its place there (from 0), or
    `STRAY`; None where expat cannot read the file.

    Args:
        pieces: names of the elements that are pieces.
    """
    counter = _Counter(pieces, piece, index)
    try:
        with path.open("rb") as file:
            counter.parser.ParseFile(file)
    except _Found as found:
        return found.line
    except (expat.ExpatError, LookupError, ValueError):
        return None
    return None
