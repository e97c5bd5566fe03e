"""What is wrong with a file, with its place; and what was not understood, counted."""

from collections import Counter
from pathlib import Path
from typing import Final, cast

from lxml import etree

from exports.tbx.reading.elements import block_of
from exports.tbx.reading.lines import STRAY, line_of, true_line
from exports.tbx.reading.markup import local_name
from exports.tbx.reading.names import ENTRIES, HEADERS
from termbase.errors import BadInput
from termbase.foreignnotes import ForeignNote
from termbase.messages import joined, message

__all__ = [
    "MEND",
    "MOST_LINES",
    "MOST_SHOWN",
    "PIECES",
    "Fault",
    "Unread",
    "fault",
    "line_of",
    "located",
    "place_of",
]

PIECES: Final = HEADERS | ENTRIES | {"refObject"}
"""Names of the elements that a file is read by, one at a time."""
MOST_SHOWN: Final = 80
"""Characters of something wrong that are shown."""
MOST_LINES: Final = 65_535
MEND: Final = message("Correct it there, or leave it out; nothing was changed.")


class Fault(BadInput):
    """Something wrong with an element.

    Attributes:
        index: the place of the element in its piece, if its line could not be told for certain.
        rest: what of `where` follows the line.
    """

    def __init__(self, what: str, where: str, mend: str, index: int | None, rest: str) -> None:
        super().__init__(what, where=where, mend=mend)
        self.index = index
        self.rest = rest


def fault(what: str, element: etree._Element | None, field: str = "", *, mend: str = "") -> Fault:
    """An error that names line, element and field."""
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
    return Fault(what, where, joined((mend, MEND)), index, rest)


def located(error: BadInput, path: Path, pieces: frozenset[str], piece: int) -> BadInput:
    """The error with its true line, in a file of more lines than the tree can tell.

    Args:
        pieces: names of the elements that are pieces of the file.
        piece: the number of the piece it was found in, from 1.
    """
    if not isinstance(error, Fault) or error.index is None:
        return error
    line = true_line(path, pieces, piece, error.index)
    where = joined((_line(line), error.rest), ", ")
    return BadInput(error.what, where=where if line else error.where, mend=error.mend)


def place_of(element: etree._Element) -> str:
    """`line 12`; nothing where the line cannot be told."""
    return _line(line_of(element))


def _line(line: int | None) -> str:
    return message("line %(line)s", line=line) if line else ""


def _index_of(element: etree._Element) -> int:
    piece = element
    while piece is not None and local_name(piece) not in PIECES:
        piece = cast("etree._Element", piece.getparent())
    if piece is None:
        return STRAY
    return next(n for n, found in enumerate(piece.iter("*")) if found is element)


def _short(name: str) -> str:
    return name if len(name) <= MOST_SHOWN else f"{name[:MOST_SHOWN]}…"


class Unread:
    """Counts, by name, what a reader has no field for.

    Attributes:
        kept: data categories that stand in a note, by name.
        placed: how many notes stand at each level (`conceptEntry`, `langSec`, `termSec`).
        in_words: those that TBX-Basic can only hold in a note with their name, by name.
        dropped: what was left out, by name.
        noted: what else a reader should know, each once.
    """

    def __init__(self) -> None:
        self.noted: dict[str, None] = {}
        self.kept: Counter[str] = Counter()
        self.placed: Counter[str] = Counter()
        self.in_words: Counter[str] = Counter()
        self.dropped: Counter[str] = Counter()

    def add(self, other: "Unread") -> None:
        """Take over what another one counted."""
        self.noted |= other.noted
        self.kept.update(other.kept)
        self.placed.update(other.placed)
        self.in_words.update(other.in_words)
        self.dropped.update(other.dropped)

    def note(
        self,
        element: etree._Element,
        file_name: str,
        *,
        category: str = "",
        about: str = "",
        language: str = "",
        text_language: str = "",
    ) -> ForeignNote:
        """The note that keeps what stands in an element; its category is counted.

        Args:
            file_name: the file it came from.
            category: its data category, if not that of its own name.
            about: what it is said of.
            language: of the language section that it stood in, where it is no note on a name.
            text_language: its language, if that is to be told.

        Raises:
            BadInput: it is a reference to an entity, which is never expanded.
        """
        if not isinstance(element.tag, str):
            raise fault(
                message("There is a reference to an entity; entities are not read."), element.getparent()
            )
        category = category or element.get("type") or local_name(element)
        self.kept[category] += 1
        return ForeignNote(
            category=category, text=block_of(element), file=file_name, about=about, language=language,
            text_language=text_language, target=element.get("target") or "",
        )  # fmt: skip
