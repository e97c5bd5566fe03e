"""Sources (works) and slips (quotations from them)."""

from dataclasses import dataclass
from enum import StrEnum

from termbase.messages import joined, message

__all__ = ["Certainty", "Presence", "Slip", "SlipKind", "Source", "SourceKind", "locator"]


class SourceKind(StrEnum):
    """What kind of work a source is."""

    NEWSPAPER = "newspaper"
    WORD_LIST = "word-list"
    RULE_BOOK = "rule book"
    MANUSCRIPT = "manuscript"
    RECORDING = "recording"
    PICTURE = "picture"
    OTHER = "other"


class SlipKind(StrEnum):
    """What the quotation does with the name; what comes in from elsewhere may not state it."""

    USE = "use"
    MENTION = "mention"
    DEFINITION = "definition"
    HEADWORD = "headword"
    RULE = "rule"
    DESCRIPTION = "description"
    NOT_STATED = "not stated"

    @property
    def alone(self) -> str:
        """The word where nothing beside it says that it is the kind of a quotation."""
        return message("kind not stated") if self is SlipKind.NOT_STATED else self.value


class Certainty(StrEnum):
    """How sure it is that the quotation bears witness to the term; `NOT_STATED` counts as not sure."""

    SECURE = "secure"
    PROBABLE = "probable"
    DOUBTFUL = "doubtful"
    NOT_STATED = "not stated"

    @property
    def alone(self) -> str:
        """The word where nothing beside it says that it is the certainty of a quotation."""
        return message("certainty not stated") if self is Certainty.NOT_STATED else self.value


class Presence(StrEnum):
    """How the name is in the quotation. Where no form of it can be recognised there, the editor says so."""

    FORM = ""
    DITTO = "ditto"
    BROKEN = "broken"
    GAP = "gap"
    MISPRINT = "misprint"

    @property
    def words(self) -> str:
        """For the reader."""
        return _PRESENCE[self]


_PRESENCE = {
    Presence.FORM: message("in one of its forms"),
    Presence.DITTO: message("as a ditto mark"),
    Presence.BROKEN: message("broken or cut off"),
    Presence.GAP: message("in a gap: it cannot be read or is missing"),
    Presence.MISPRINT: message("misprinted"),
}


@dataclass(frozen=True)
class Source:
    """A work. Field names follow CSL-JSON; `issued` is EDTF; `label` is short and unique.

    `pattern` is the line pattern of a word-list (TOML, see `termbase.linepatterns`), empty otherwise.
    """

    id: str
    label: str
    kind: SourceKind
    title: str
    author: str = ""
    editor: str = ""
    container: str = ""
    publisher: str = ""
    place: str = ""
    issued: str = ""
    pages: str = ""
    archive: str = ""
    shelfmark: str = ""
    url: str = ""
    language: str = ""
    styles: tuple[str, ...] = ()
    rights: str = ""
    note: str = ""
    pattern: str = ""
    version: int = 0


@dataclass(frozen=True)
class Slip:
    """One quotation. `text` is verbatim and never rewritten by the program.

    `term_id` is empty while the slip is unsorted. `date` is EDTF, the source's date when empty.
    `joined_to` (a slip id) and `apart` hold the editor's word on which slips are one witness. `presence` is
    the editor's word that the name is in the quotation although no form of it can be recognised there.
    """

    id: str
    source_id: str
    text: str
    name: str = ""
    page: str = ""
    column: str = ""
    line: str = ""
    item: str = ""
    date: str = ""
    place: str = ""
    kind: SlipKind = SlipKind.USE
    certainty: Certainty = Certainty.SECURE
    note: str = ""
    image_id: str = ""
    term_id: str = ""
    joined_to: str = ""
    apart: bool = False
    presence: Presence = Presence.FORM
    version: int = 0


def locator(slip: Slip) -> str:
    """Where in the source the quotation stands: `p. 12, col. 3, l. 40`; empty when nothing is known."""
    return joined(
        (
            slip.page and message("p. %(number)s", number=slip.page),
            slip.column and message("col. %(number)s", number=slip.column),
            slip.line and message("l. %(number)s", number=slip.line),
            slip.item and message("no. %(number)s", number=slip.item),
        ),
        ", ",
    )
