"""Errors in a file, with their place.

libxml2 stores line numbers of elements only up to 65,534. Beyond that it knows the lines of texts, which
nearly always determine the line of an element. To report an error whose line is unknown, the file is read
again with expat up to that element.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Final, Protocol, cast
from xml.parsers import expat

from lxml import etree

from exports.tbx.elements import ENTRIES, HEADERS, local_name
from termbase.errors import BadInput
from termbase.messages import joined, message
from termbase.record.limits import check_lengths

__all__ = [
    "HOW_TO_FIX",
    "MOST_LINES",
    "MOST_SHOWN",
    "PIECES",
    "Fault",
    "check_lengths_in",
    "entity_error",
    "fault",
    "line_of",
    "located",
    "naming_file",
    "place_of",
]  # fmt: skip

PIECES: Final = HEADERS | ENTRIES | {"refObject"}
"""Names of the elements that a file is read by, one at a time."""
MOST_SHOWN: Final = 80
"""Number of characters of a wrong value that are shown."""
MOST_LINES: Final = 65_535
"""The last line number that libxml2 stores for an element."""
STRAY: Final = -1
"""Used instead of an index for something outside the pieces, before this piece or after the last."""
HOW_TO_FIX: Final = message("Correct it or remove it. Nothing has been changed.")
# libxml2 error numbers (xmlerror.h, xmlParserErrors), from memory and by experiment.
_EMPTY, _UNKNOWN_ENCODING, _WRONG_ENCODING = 4, 32, 81
_WIDE: Final = re.compile(rb"""^\s*<\?xml[^>]*encoding\s*=\s*["']([^"']*(?:16|32|UCS)[^"']*)["']""", re.I)
_UTF_32: Final = (b"\xff\xfe\x00\x00", b"\x00\x00\xfe\xff")
_START: Final = 200


class Fault(BadInput):
    """An error in an element.

    Attributes:
        index: the position of the element in its piece, if its line is uncertain.
        rest: the part of `where` after the line.
    """

    def __init__(self, what: str, where: str, fix: str, index: int | None, rest: str) -> None:
        super().__init__(what, where=where, fix=fix)
        self.index = index
        self.rest = rest


def fault(what: str, element: etree._Element | None, field: str = "", *, fix: str = "") -> Fault:
    """Return an error that names line, element and field."""
    places: list[str] = []
    line, index = None, None
    if element is not None:
        line = line_of(element)
        named = local_name(element)
        holder = element
        while holder is not None and not holder.get("id"):
            holder = cast("etree._Element", holder.getparent())
        own = element.get("id")
        places = [f"{named} {_short(own)}" if own else named]
        if holder is not None and holder is not element:
            within = joined((local_name(holder), _short(holder.get("id") or "")))
            places.append(message("in %(element)s", element=within))
        if line is None or line >= MOST_LINES:
            index = _index_of(element)
    if field and (element is None or field != local_name(element)):
        places.append(field)
    rest = joined(places, ", ")
    where = joined((_line(line), rest), ", ")
    return Fault(what, where, joined((fix, HOW_TO_FIX)), index, rest)


def entity_error(around: etree._Element | None) -> Fault:
    """Return the error for an entity reference, which is never expanded, in the element that contains it."""
    return fault(message("It contains an entity reference; entities are not read."), around)


def check_lengths_in(element: etree._Element, *records: object) -> None:
    """Check the length of texts in records.

    Raises:
        BadInput: a text is too long; `where` has the line of its element.
    """
    for record in records:
        try:
            check_lengths(record)
        except BadInput as error:
            raise fault(error.what, element, error.where, fix=error.fix) from error


def located(error: BadInput, path: Path, pieces: frozenset[str], piece: int) -> BadInput:
    """Return the error with its true line, for a file with more lines than the tree can count.

    Args:
        pieces: names of the elements that are pieces of the file.
        piece: number of the piece in which it was found, from 1.
    """
    if not isinstance(error, Fault) or error.index is None:
        return error
    line = true_line(path, pieces, piece, error.index)
    where = joined((_line(line), error.rest), ", ")
    return BadInput(error.what, where=where if line else error.where, fix=error.fix)


def place_of(element: etree._Element) -> str:
    """Return `line 12`; empty if the line is unknown."""
    return _line(line_of(element))


def _line(line: int | None) -> str:
    return message("line %(line)s", line=line) if line else ""


def _index_of(element: etree._Element) -> int:
    piece = element
    while piece is not None and local_name(piece) not in PIECES:
        piece = cast("etree._Element", piece.getparent())
    if piece is None:
        return STRAY
    return next(n for n, other in enumerate(piece.iter("*")) if other is element)


def _short(name: str) -> str:
    return name if len(name) <= MOST_SHOWN else f"{name[:MOST_SHOWN]}…"


def line_of(element: etree._Element) -> int | None:
    """Return the line where an element begins; None if the tree does not have it."""
    line = cast("int | None", element.sourceline)
    if line is None or line < MOST_LINES:
        return line
    node: etree._Element | None = element
    while node is not None:
        text = node.text or (node.tail if not len(node) else None)
        if text:  # libxml2 gives the line where the first text after the tag ends
            return None if line == MOST_LINES else line - text.count("\n")
        node = node[0] if len(node) else node.getnext()
    return None


class _Found(Exception):
    def __init__(self, line: int) -> None:
        self.line = line


class _Counter:
    """Counts the elements of a file up to a given one."""

    def __init__(self, pieces: frozenset[str], piece: int, index: int) -> None:
        self.pieces, self.piece, self.index = pieces, piece, index
        self.parser = expat.ParserCreate()
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = self.end
        self.number = self.inside = self.depth = self.depth_inside = 0
        self.stray: dict[int, int] = {}  # line of the last element outside pieces, by depth
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
    """Return the line of an element, found by counting elements; None if expat cannot read the file.

    Args:
        path: the file.
        pieces: names of the elements that are pieces.
        piece: number of its piece, from 1.
        index: its position in the piece, from 0, or `STRAY`.
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


# ---- a file that is not XML


class _Logged(Protocol):
    """An error logged by the parser.

    Attributes:
        type: libxml2's number for it.
        level_name: `WARNING`, `ERROR` or `FATAL`.
        line: line number.
        message: description, in English.
    """

    type: int
    level_name: str
    line: int
    message: str


class _Parser(Protocol):
    """A parser that logs errors."""

    @property
    def error_log(self) -> Iterable[_Logged]: ...


@contextmanager
def naming_file(path: Path, name: str) -> Iterator[list[_Parser]]:
    """Add the name of the file to XML errors, and to errors raised while it is read.

    The caller appends the parser to the list: only the parser knows its first error.
    """
    parsers: list[_Parser] = []
    try:
        yield parsers
    except etree.XMLSyntaxError as error:
        faults = [f for f in (parsers[0].error_log if parsers else ()) if f.level_name != "WARNING"]
        raise _not_well_formed(path, name, faults, (str(error.msg), error.lineno)) from error
    except BadInput as error:
        if error.where.startswith(name):
            raise
        where = ", ".join(filter(None, (name, error.where)))
        raise BadInput(error.what, where=where, fix=error.fix) from error


def _not_well_formed(
    path: Path, name: str, faults: Sequence[_Logged], otherwise: tuple[str, int | None]
) -> BadInput:
    """Return the first error of a parse, with its line and how to fix it.

    Args:
        name: name of the file, for the message.
        faults: the errors that the parser logged; the first is reported.
        otherwise: text and line to report if it logged none.
    """
    text, line = (faults[0].message, faults[0].line) if faults else otherwise
    kind = faults[0].type if faults else 0
    what, fix = _what_and_fix(path, text.strip().rstrip("."), kind)
    where = message("%(name)s, line %(line)s", name=name, line=line) if line else name
    return BadInput(what, where=where, fix=joined((fix, HOW_TO_FIX)))


def _what_and_fix(path: Path, text: str, kind: int) -> tuple[str, str]:
    with path.open("rb") as file:
        start = file.read(_START)
    save = message("Save it as UTF-8 and declare that in its first line.")
    if start.startswith(_UTF_32):
        return message("It is in UTF-32, which is not supported."), save
    if match := _WIDE.match(start):
        encoding = match[1].decode("ascii", "replace")
        return message("It declares the encoding %(encoding)s, but is not in it.", encoding=encoding), save
    if kind in (_UNKNOWN_ENCODING, _WRONG_ENCODING) or "encoding" in text.casefold():
        return message("Its characters cannot be read: %(fault)s.", fault=text), save
    if kind == _EMPTY:
        return message("This is not XML: it does not begin with a tag."), message("Choose a TBX file.")
    if "Excessive depth" in text:
        return message("Its elements are nested too deeply (more than 2048 levels)."), ""
    what = message("It is not well-formed XML: %(fault)s.", fault=text)
    return what, message("The file may have been cut short.")
