"""Word-list pages and their lines: the printed text, and the state of each line."""

from dataclasses import KW_ONLY, dataclass
from enum import StrEnum
from typing import Annotated

from termbase.fields import declarations
from termbase.fields.declarations import VERSION, Count, Flag, Id, Lines, Member, Nested, Reference, Verbatim
from termbase.fields.notes import NOTHING_SAID, CodedText
from termbase.record.lines import ParsedLine, troubles_of

__all__ = ["Line", "LineState", "Page", "PageCount", "count", "page_order"]


class LineState(StrEnum):
    """The state of a line; no line is ever dropped."""

    NEW = "new"
    ATTACHED = "attached"
    MADE = "made"
    SET_ASIDE = "set aside"
    UNPARSED = "unparsed"
    FURNITURE = "furniture"


@dataclass(frozen=True)
class Page:
    """One page of a word-list: number as printed, transcription as entered, image if there is one."""

    id: Annotated[str, Id(bookkeeping=True)]
    source_id: Annotated[str, Reference("source", to="source")]
    number: Annotated[str, declarations.Line(title=True)]
    transcription: Annotated[str, Verbatim(length="page")]
    _: KW_ONLY
    image_id: Annotated[str, Reference("picture", to="image", bookkeeping=True)] = ""
    version: Annotated[int, VERSION] = 0


@dataclass(frozen=True)
class Line:
    """One record of a page.

    Attributes:
        id: given once and never used again.
        page_id: id of the page.
        position: its place on the page.
        text: what is printed; it may span several printed lines.
        first: number of its first printed line on the page, from 1.
        parsed: what the pattern or the editor made of it.
        corrected: whether the editor changed the parse by hand; a new pattern then leaves it alone.
        state: what has become of it.
        reason: why it is set aside.
        entry_ids: ids of the entries made from it or attached to it, in the order of its senses.
        version: counts the writes.
    """

    id: Annotated[str, Id(bookkeeping=True)]
    page_id: Annotated[str, Reference("page", to="page")]
    position: Annotated[int, Count()]
    text: Annotated[str, Verbatim(title=True)]
    _: KW_ONLY
    first: Annotated[int, Count()] = 1
    parsed: Annotated[ParsedLine | None, Nested()] = None
    corrected: Annotated[bool, Flag()] = False
    state: Annotated[LineState, Member()] = LineState.NEW
    reason: Annotated[CodedText, declarations.Reason()] = NOTHING_SAID
    entry_ids: Annotated[tuple[str, ...], Lines("entry", to="entry")] = ()
    version: Annotated[int, VERSION] = 0

    def open_state(self) -> LineState:
        """The state of this line before anyone works it: new, or unparsed if it was not parsed cleanly."""
        clean = self.parsed is not None and not troubles_of(self.parsed)
        return LineState.NEW if clean else LineState.UNPARSED


@dataclass(frozen=True)
class PageCount:
    """Progress on a page: lines done, set aside, and remaining (including unparsed ones)."""

    done: int
    set_aside: int
    left: int
    unparsed: int

    @property
    def total(self) -> int:
        """All lines that are records; furniture does not count."""
        return self.done + self.set_aside + self.left


def count(states: dict[LineState, int]) -> PageCount:
    """Sum up a page from the number of its lines in each state."""
    done = states.get(LineState.MADE, 0) + states.get(LineState.ATTACHED, 0)
    unparsed = states.get(LineState.UNPARSED, 0)
    left = states.get(LineState.NEW, 0) + unparsed
    return PageCount(done, states.get(LineState.SET_ASIDE, 0), left, unparsed)


def page_order(page: Page) -> tuple[int, str]:
    """Sort key: by number if the page has one, then as text; pages without a number last."""
    digits = "".join(c for c in page.number if c.isascii() and c.isdigit())
    return (int(digits) if digits else 10**9, page.number)
