"""What is wrong with a file as XML, in words; and what it declares before its root."""

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Final, Protocol
from xml.parsers import expat

from exports.tbx.faults import MEND
from termbase.errors import BadInput
from termbase.messages import joined, message

__all__ = ["Logged", "declaration_line", "not_well_formed"]

# Numbers of libxml2 (xmlerror.h, xmlParserErrors), from memory and by trying.
_EMPTY, _UNKNOWN_ENCODING, _WRONG_ENCODING, _LIMIT = 4, 32, 81, 114
_WIDE: Final = re.compile(rb"""^\s*<\?xml[^>]*encoding\s*=\s*["']([^"']*(?:16|32|UCS)[^"']*)["']""", re.I)
_UTF_32: Final = (b"\xff\xfe\x00\x00", b"\x00\x00\xfe\xff")
_START: Final = 200


class Logged(Protocol):
    """A fault that the parser logged.

    Attributes:
        type: libxml2's number for it.
        level_name: `WARNING`, `ERROR` or `FATAL`.
        line: where.
        message: what, in English.
    """

    type: int
    level_name: str
    line: int
    message: str


def not_well_formed(
    path: Path, name: str, faults: Sequence[Logged], otherwise: tuple[str, int | None]
) -> BadInput:
    """The first fault of a parse, with its line and how to mend it.

    Args:
        name: of the file, for the message.
        faults: what the parser logged; the first counts.
        otherwise: text and line, if it logged nothing.
    """
    text, line = (faults[0].message, faults[0].line) if faults else otherwise
    kind = faults[0].type if faults else 0
    what, mend = _told(path, text.strip().rstrip("."), kind)
    where = message("%(name)s, line %(line)s", name=name, line=line) if line else name
    return BadInput(what, where=where, mend=joined((mend, MEND)))


def _told(path: Path, text: str, kind: int) -> tuple[str, str]:
    with path.open("rb") as file:
        start = file.read(_START)
    save = message("Save it as UTF-8, and let its first line say so.")
    if start.startswith(_UTF_32):
        return message("It is in UTF-32, which is not read."), save
    if found := _WIDE.match(start):
        said = found[1].decode("ascii", "replace")
        return message("It says that it is in %(encoding)s, and is not.", encoding=said), save
    if kind in (_UNKNOWN_ENCODING, _WRONG_ENCODING) or "encoding" in text.casefold():
        return message("Its characters cannot be read: %(fault)s.", fault=text), save
    if kind == _EMPTY:
        return message("This is no XML: it does not begin with a tag."), message("Choose a TBX file.")
    if "Excessive depth" in text:
        return message("Its elements are nested too deep (more than 2048 in one another)."), ""
    what = message("It is not well-formed XML: %(fault)s.", fault=text)
    return what, message("The file may have been cut short.")


class _Found(Exception):
    def __init__(self, line: int) -> None:
        self.line = line


def declaration_line(path: Path) -> int | None:
    """The line on which a file first declares anything of its own: an entity, an element, attributes, a
    notation; None where it does not, or where expat cannot read it.

    Nothing is expanded: reading ends at the first declaration, or at the root.
    """
    parser = expat.ParserCreate()

    def declared(*_: object) -> None:
        raise _Found(parser.CurrentLineNumber)

    def root(*_: object) -> None:
        raise _Found(0)

    parser.EntityDeclHandler = parser.ElementDeclHandler = declared
    parser.AttlistDeclHandler = parser.NotationDeclHandler = declared
    parser.StartElementHandler = root
    try:
        with path.open("rb") as file:
            parser.ParseFile(file)
    except _Found as found:
        return found.line or None
    except (expat.ExpatError, LookupError, ValueError):
        return None
    return None
