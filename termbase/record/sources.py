"""Sources (works) and slips (quotations from them)."""

from dataclasses import KW_ONLY, dataclass
from enum import StrEnum
from typing import Annotated, Final

from termbase.fields.declarations import (
    VERSION,
    Block,
    Date,
    Flag,
    Id,
    Language,
    Line,
    Lines,
    Member,
    Reference,
    Verbatim,
)
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
    """How the quotation treats the name; imported slips may not state it."""

    USE = "use"
    MENTION = "mention"
    DEFINITION = "definition"
    HEADWORD = "headword"
    RULE = "rule"
    DESCRIPTION = "description"
    NOT_STATED = "not stated"

    @property
    def alone(self) -> str:
        """The word to use without a label saying that it is the kind of a quotation."""
        return message("kind not stated") if self is SlipKind.NOT_STATED else self.value


class Certainty(StrEnum):
    """How certain it is that the quotation is evidence for the term; `NOT_STATED` counts as not certain."""

    SECURE = "secure"
    PROBABLE = "probable"
    DOUBTFUL = "doubtful"
    NOT_STATED = "not stated"

    @property
    def alone(self) -> str:
        """The word to use without a label saying that it is the certainty of a quotation."""
        return message("certainty not stated") if self is Certainty.NOT_STATED else self.value


class Presence(StrEnum):
    """How the name appears in the quotation, stated by the editor if no form of it can be recognised."""

    FORM = ""
    DITTO = "ditto"
    BROKEN = "broken"
    GAP = "gap"
    MISPRINT = "misprint"

    @property
    def words(self) -> str:
        """The words to show."""
        return _PRESENCE[self]


_PRESENCE = {
    Presence.FORM: message("in one of its forms"),
    Presence.DITTO: message("as a ditto mark"),
    Presence.BROKEN: message("broken or cut off"),
    Presence.GAP: message("in a gap: it cannot be read or is missing"),
    Presence.MISPRINT: message("misprinted"),
}


_QUOTATION: Final = Verbatim(
    needed=True,
    title=True,
    column="quotation",
    missing=(message("The quotation is empty."), message("Type what the source says, word for word.")),
)


@dataclass(frozen=True)
class Source:
    """A work. Field names follow CSL-JSON.

    Attributes:
        id: given once and never used again.
        label: short and unique.
        kind: what kind of work it is.
        title: its title.
        author: who wrote it.
        editor: who edited it.
        container: the work that it appeared in.
        publisher: who published it.
        place: place of publication.
        issued: when it appeared (EDTF).
        pages: its pages in the container.
        archive: the archive that holds it.
        shelfmark: its shelfmark there.
        url: its address.
        language: BCP 47 tag.
        styles: style labels used in a word-list.
        rights: who holds the rights, and the licence.
        note: a note.
        pattern: the line pattern of a word-list (TOML, see `termbase.wordlists`); otherwise empty.
        version: counts the writes.
    """

    id: Annotated[str, Id(bookkeeping=True)]
    label: Annotated[str, Line(needed=True, length="name", title=True)]
    kind: Annotated[SourceKind, Member(back="special")]
    title: Annotated[str, Line(needed=True)]
    _: KW_ONLY
    author: Annotated[str, Line()] = ""
    editor: Annotated[str, Line()] = ""
    container: Annotated[str, Line()] = ""
    publisher: Annotated[str, Line()] = ""
    place: Annotated[str, Line()] = ""
    issued: Annotated[str, Date()] = ""
    pages: Annotated[str, Line()] = ""
    archive: Annotated[str, Line()] = ""
    shelfmark: Annotated[str, Line()] = ""
    url: Annotated[str, Line()] = ""
    language: Annotated[str, Language()] = ""
    styles: Annotated[tuple[str, ...], Lines(back="replaces")] = ()
    rights: Annotated[str, Block()] = ""
    note: Annotated[str, Block()] = ""
    pattern: Annotated[str, Verbatim()] = ""
    version: Annotated[int, VERSION] = 0


_NAME_IN_QUOTATION: Final = Line(
    length="name", column="slip_name", heading="name in the quotation", back="stays"
)
_NOTE_ON_SLIP: Final = Block(column="slip_note", heading="note on the quotation", back="stays")


@dataclass(frozen=True)
class Slip:
    """One quotation. When it comes back from another system, only the quotation is taken.

    Attributes:
        id: given once and never used again.
        source_id: id of the source.
        text: the quotation, word for word; the program never rewrites it.
        name: the name as the quotation has it.
        page: page of the source.
        column: column of the page.
        line: line of the page.
        item: item number.
        date: EDTF; if empty, the source's date counts.
        place: place of the quotation.
        kind: what kind of quotation it is.
        certainty: how certain the quotation is.
        note: a note.
        image_id: id of the picture.
        term_id: id of the name that it bears witness to; empty while the slip is unsorted.
        joined_to: id of the slip that the editor counts as the same witness.
        apart: whether the editor counts it as a separate witness.
        presence: the editor's statement that the name is in the quotation, although no form of it can be
            recognised there.
        version: counts the writes.
    """

    id: Annotated[str, Id(bookkeeping=True)]
    source_id: Annotated[str, Reference("source", to="source", column="source", back="stays")]
    text: Annotated[str, _QUOTATION]
    _: KW_ONLY
    name: Annotated[str, _NAME_IN_QUOTATION] = ""
    page: Annotated[str, Line(back="stays")] = ""
    column: Annotated[str, Line(heading="column of the page", back="stays")] = ""
    line: Annotated[str, Line(heading="line of the page", back="stays")] = ""
    item: Annotated[str, Line(heading="item number", back="stays")] = ""
    date: Annotated[str, Date(back="stays")] = ""
    place: Annotated[str, Line(heading="place of the quotation", back="stays")] = ""
    kind: Annotated[SlipKind, Member(column="slip_kind", heading="kind of quotation", back="stays")] = (
        SlipKind.USE
    )
    certainty: Annotated[Certainty, Member(heading="certainty of the quotation", back="stays")] = (
        Certainty.SECURE
    )
    note: Annotated[str, _NOTE_ON_SLIP] = ""
    image_id: Annotated[str, Reference("picture", to="image", bookkeeping=True, back="stays")] = ""
    term_id: Annotated[str, Reference("bears witness to", to="term", back="stays")] = ""
    joined_to: Annotated[str, Reference("joined to", to="slip", back="stays")] = ""
    apart: Annotated[bool, Flag("a witness of its own", heading="a witness of its own", back="stays")] = False
    presence: Annotated[
        Presence, Member("the name is there", heading="how the name is there", back="stays")
    ] = Presence.FORM
    version: Annotated[int, VERSION] = 0


def locator(slip: Slip) -> str:
    """Return where in the source the quotation is: `p. 12, col. 3, l. 40`; empty if not known."""
    return joined(
        (
            slip.page and message("p. %(number)s", number=slip.page),
            slip.column and message("col. %(number)s", number=slip.column),
            slip.line and message("l. %(number)s", number=slip.line),
            slip.item and message("no. %(number)s", number=slip.item),
        ),
        ", ",
    )
