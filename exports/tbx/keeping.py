"""Keeps what a file of another system contains and the record has no field for, at its place.

Nothing meaningful is dropped: quotations become slips, and everything else becomes a counted note that names
the file and the data category. Nothing is guessed either: only our own exports say how a quotation uses a
name and how certain it is.
"""

import unicodedata
from typing import Final

import msgspec

from exports.tbx.background import Background
from exports.tbx.basicnotes import is_said_in_full, read_slip_notes, read_whereabouts, says_nothing
from exports.tbx.binding import Bindings
from exports.tbx.categories import OTHER, Level
from exports.tbx.concepts import ConceptReader, Values
from exports.tbx.elements import (
    GROUPS,
    LANG,
    Element,
    block_of,
    category,
    holds_blocks,
    language_around,
    line_text,
    local_name,
    main_of,
    own_text,
    source_beside,
    target_of,
    whole_text,
)
from exports.tbx.faults import entity_error
from exports.tbx.foreignnotes import category_of
from exports.tbx.reports import Unread
from exports.tbx.tags import NOTE_LABELS
from termbase.messages import message
from termbase.record.foreign_notes import PLAIN, ForeignNote
from termbase.record.sources import Certainty, Slip, SlipKind

__all__ = ["NOT_STATED", "KeepingReader"]

NOT_STATED: Final[Values] = {"kind": SlipKind.NOT_STATED, "certainty": Certainty.NOT_STATED}
_PLAIN_LABEL: Final = f"{PLAIN}: "
_COMPUTED: Final = frozenset({"projectSubset", "xGraphic"})
"""What our exports contain that is not a field of the record: verdicts, addresses of pictures."""


class KeepingReader(ConceptReader):
    """Reads one concept entry and keeps what has no row.

    Args:
        file: what has to be known about the file. From our own exports, computed values and those given in
            words are dropped if the entry is in the termbase.
    """

    def __init__(
        self, file: Background, bindings: Bindings, unread: Unread, element: Element, concept_id: str
    ) -> None:
        super().__init__(bindings, file.head.name, unread, element, concept_id)
        self.file = file
        self.done: set[Element] = set()
        """Elements that have been used already."""

    def keep(self, child: Element, whose: str = "") -> None:
        """Keep an element with everything in it; in a group, `whose` says what it describes."""
        if not isinstance(child.tag, str):
            raise entity_error(self.element)
        if child in self.done:
            return
        name, main = main_of(child)
        if name == "context":
            self.quotation(child, main, whose)
        elif local_name(child) in GROUPS:
            for part in child:
                self.keep(part, whose)
        elif holds_blocks(child):
            inner = ", ".join(filter(None, (whose, name)))
            if text := own_text(child):
                self.keep_text(name, text, whose)
            for part in child:
                self.keep(part, inner)
        else:
            self.keep_element(child, whose)

    def beside(self, child: Element, main: Element, whose: str = "") -> None:
        """Keep the other elements of a group besides the one that heads it."""
        if child is not main:
            for part in child:
                if part is not main:
                    self.keep(part, whose)

    def keep_element(self, element: Element, about: str) -> None:
        """Keep an element as one note, with the markup in it."""
        name, text, ours = category(element), line_text(element), self.file.ours
        if ours and (text.startswith(NOTE_LABELS) or name in _COMPUTED) and self.file.known(self.id):
            return
        if ours and (says_nothing(text) or (text == OTHER and is_said_in_full(element))):
            return
        if not (text or element.get("target")):
            return
        tongue = _other_language(element) or ("" if ours else self._around())
        # Our export puts a label before a note that begins like one of ours.
        self._add(element, name, about, tongue, _PLAIN_LABEL if ours and name == PLAIN else "")
        self.keep_markup(element, about)

    def keep_text(self, name: str, text: str, about: str = "") -> None:
        """Keep a text as a note of a category."""
        self.unread.kept[name] += 1
        note = ForeignNote(
            category=name, text=text, file=self.file_name, about=about, language=self._section_of_note(),
            text_language=self._around(),
        )  # fmt: skip
        self._place(note)

    def keep_markup(self, element: Element, whose: str = "") -> None:
        """Count the inline markup of a text; its targets and languages are kept."""
        for inner in element.iterdescendants():
            if not isinstance(inner.tag, str):
                raise entity_error(element)
            language, name = _other_language(inner), local_name(inner)
            if inner.get("target") or language:
                self._add(inner, name, whose, language or self._around())
            else:
                self.unread.dropped[message("markup %(name)s (its text was kept)", name=name)] += 1

    def quotation(self, child: Element, main: Element, whose: str) -> None:
        """Make a slip with the given source, or else the file itself; in a group, with the notes there
        that hold its fields."""
        found = source_beside(main)
        text = whole_text(main).strip() if self.file.ours else block_of(main)
        if quoted := unicodedata.normalize("NFC", text):
            self.slips.append(self._slip(child, quoted, found, whose or self.language))
            if found is not None:
                self.done.add(found)
        else:
            self.unread.dropped[message("quotation without text")] += 1
        self.keep_markup(main, "quotation")
        self.beside(child, main, "quotation")

    def stands(self, whose: str = "") -> str:
        """Return the place in the file of something that has no name here."""
        place = f"Concept {self.id} of the file {self.file_name}"
        return f"{place}: {whose}." if whose else f"{place}."

    def _slip(self, holder: Element, quoted: str, source: Element | None, whose: str) -> Slip:
        file = self.file
        target, said = ("", "") if source is None else (target_of(source), line_text(source))
        source_id = file.source_id(target, said) or file.file_source_id()
        more = file.more(target, said)
        where = read_whereabouts(more, file.issued(source_id)) if file.ours else None
        values: Values = {
            "id": holder.get("id") or f"{self.id} slip {len(self.slips) + 1}", "source_id": source_id,
            "text": quoted, "term_id": self.term_id, **NOT_STATED, **(where or {}),
        }  # fmt: skip
        if file.ours:
            fields, read = read_slip_notes(holder, file.ids)
            values |= fields
            self.done.update(read)
        notes = (
            values.get("note", ""),
            f"Source: {more}" if more and where is None else "",
            "" if self.term_id or file.ours else self.stands(whose),
        )
        values["note"] = "\n".join(filter(None, map(str, notes)))
        return msgspec.convert(values, Slip)

    def _add(self, element: Element, name: str, about: str, tongue: str, label: str = "") -> None:
        note = self.unread.note(
            element, self.file_name, category=name, about=about, language=self._section_of_note(),
            text_language=tongue, label=label,
        )  # fmt: skip
        self._place(note)

    def _section_of_note(self) -> str:
        return "" if self.term_id else self.language

    def _around(self) -> str:
        """Return the language of the file, if no section gives another (the termbase may use a different
        one)."""
        return "" if self.language else self.file.head.language

    def _place(self, note: ForeignNote) -> None:
        level = Level.TERM if self.term_id else Level.LANGUAGE if self.language else Level.CONCEPT
        self.unread.placed[level.value] += 1
        if note.category != PLAIN and category_of(note, level) is None:
            self.unread.in_words[note.category] += 1
        self.add("foreign_notes", note)


def _other_language(element: Element) -> str:
    """Return the language that an element states, if it differs from the language around it."""
    language = str(element.get(LANG) or "")
    return "" if language == language_around(element) else language
