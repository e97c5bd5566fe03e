"""Imported notes: content of a file from another system that has no field of its own in the record."""

from dataclasses import dataclass, replace
from typing import Annotated, Final

from termbase.fields.declarations import Block, Date, Line
from termbase.messages import joined, message

__all__ = ["PLAIN", "ForeignNote", "heading", "only_accepted", "united"]


PLAIN: Final = "note"
"""The default category of a note."""


@dataclass(frozen=True, kw_only=True)
class ForeignNote:
    """One imported note, kept where it was: with its name, or with the entry.

    It is exported to TBX again, but printed only after someone has accepted it.

    Attributes:
        category: its data category, as the file names it (`note`, `subjectField`, `xGraphic`).
        text: what it says.
        file: name of the file or system that it came from.
        language: language of the section that it was in; empty if it belonged to the concept or a name.
        about: what part of the entry or name it is about, if it was in a group: `definition (en)`.
        text_language: language of its text, if the file gives one different from its surroundings.
        target: what it refers to: an address, or an id in its file.
        accepted_by, accepted_on: who accepted it for printing, and when; empty until then.
    """

    category: Annotated[str, Line()]
    text: Annotated[str, Block(title=True)] = ""
    file: Annotated[str, Line()] = ""
    language: Annotated[str, Line()] = ""
    about: Annotated[str, Line()] = ""
    text_language: Annotated[str, Line("language of the text")] = ""
    target: Annotated[str, Line()] = ""
    accepted_by: Annotated[str, Line()] = ""
    accepted_on: Annotated[str, Date()] = ""

    @property
    def accepted(self) -> bool:
        """Whether it can be printed."""
        return bool(self.accepted_by)

    def words(self) -> str:
        """Its content as one text: `subjectField: harbour sports`; a plain note is only its text."""
        label = "" if self.category == PLAIN else self.category
        label = f"{label} ({self.about})" if label and self.about else label or self.about
        content = f"{self.text} <{self.target}>".strip() if self.target else self.text
        return ": ".join(filter(None, (label, content)))

    def says(self) -> tuple[str, str]:
        """What identifies the note, regardless of its file and acceptance."""
        return self.language, self.words()


def heading(note: ForeignNote) -> str:
    """Return its heading for readers: `subjectField, from words.tbx`."""
    what = joined(filter(None, (note.category, note.about)), ", ")
    return message("%(what)s, from %(file)s", what=what, file=note.file) if note.file else what


def only_accepted(notes: tuple[ForeignNote, ...]) -> tuple[ForeignNote, ...]:
    """Return the notes that can be printed."""
    return tuple(note for note in notes if note.accepted)


def united(first: tuple[ForeignNote, ...], second: tuple[ForeignNote, ...]) -> tuple[ForeignNote, ...]:
    """Return the notes of both, each once; a note accepted in either is accepted."""
    result = {note.says(): note for note in first}
    for note in second:
        known = result.get(note.says())
        if known is None:
            result[note.says()] = note
        elif note.accepted and not known.accepted:
            result[note.says()] = replace(known, accepted_by=note.accepted_by, accepted_on=note.accepted_on)
    return tuple(result.values())
