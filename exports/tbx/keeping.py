"""Keeps what an imported file contains and the record has no field for, in its place.

Nothing meaningful is dropped: quotations become slips, and everything else becomes a counted note that names
the file and the data category. Nothing is guessed either: only our own exports say how a quotation uses a
name and how certain it is.

Our own TBX-Basic exports hold fields without a data category in notes, after a label (`Certainty: probable`,
see `exports.tbx.tags.FIELDS`). These notes are read back as fields if the header has our mark; in any other
file such a note is just a note.
"""

import re
import unicodedata
from collections.abc import Iterator, Mapping
from typing import Final

import msgspec

from exports.tbx.backmatter import Background
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
from exports.tbx.notes import category_of
from exports.tbx.parts import date_problem, value_of
from exports.tbx.reports import Unread
from exports.tbx.tags import FIELDS, NOTE_LABELS, OPEN, noted_fields
from exports.tbx.xmltext import NameSet, xml_id
from termbase.fields.declarations import DeclaredField, Reference, fields_of
from termbase.languages import tags
from termbase.messages import message
from termbase.record.entries import InflectedForm, Term
from termbase.record.foreign_notes import PLAIN, ForeignNote
from termbase.record.sources import Certainty, Slip, SlipKind, locator

__all__ = [
    "NOT_STATED",
    "KeepingReader",
    "is_computed",
    "is_said_in_full",
    "read_slip_notes",
    "read_term_note",
    "read_whereabouts",
    "says_nothing",
]

NOT_STATED: Final[Values] = {"kind": SlipKind.NOT_STATED, "certainty": Certainty.NOT_STATED}
_PLAIN_LABEL: Final = f"{PLAIN}: "
_COMPUTED: Final = frozenset({"projectSubset", "xGraphic"})
"""Data categories in our exports that are not fields of the record: verdicts, addresses of pictures."""
_PARTLY_LISTED: Final = tuple(
    field
    for field in fields_of(Term)
    if field.members and OTHER in (FIELDS[f"term.{field.name}"].values or {}).values()
)
"""Fields whose picklist lacks some values; a note gives the value."""
_BY_CATEGORY: Final = {FIELDS[f"term.{field.name}"].place: field for field in _PARTLY_LISTED}
_TERM: Final = {
    FIELDS[f"term.{field.name}"].label: field for field in (*noted_fields("term"), *_PARTLY_LISTED)
}
_SLIP: Final = {FIELDS[f"slip.{field.name}"].label: field for field in noted_fields("slip")}
_EVIDENCE: Final = f"{FIELDS['evidence.name'].label}: "
_OPEN: Final = tuple(
    f"{FIELDS[f'entry.{name}'].label}: {OPEN}" for name in ("language_reading", "practice_reading")
)
_TAGGED: Final = re.compile(r"(.+) \(([A-Za-z0-9-]+)\)", re.DOTALL)
_PARTS: Final = (("p. ", "page"), ("col. ", "column"), ("l. ", "line"), ("no. ", "item"))


def is_computed(note: Element) -> bool:
    """Return whether a note reports evidence computed from the slips; evidence is never imported."""
    return category(note) == "note" and whole_text(note).startswith(_EVIDENCE)


def is_said_in_full(element: Element) -> bool:
    """Return whether an element says `other` and a note beside it gives the value.

    Without that note, the element may be a note from another file, written in its own data category.
    """
    field = _BY_CATEGORY.get(category(element))
    around = element.getparent()
    if field is None or around is None:
        return False
    return any(_labelled(note, {FIELDS[f"term.{field.name}"].label: field})[0] for note in around)


def says_nothing(text: str) -> bool:
    """Return whether a note only says that nobody has signed yet; every export repeats that for an
    unsigned entry."""
    return text in _OPEN


def read_term_note(note: Element, values: dict[str, object], language: str) -> bool:
    """Add the field of a term that a note holds to `values`; return False if it holds none that can be read.

    Args:
        note: an element of a term section.
        values: fields of the term, which are updated.
        language: language of the term.
    """
    field, text = _labelled(note, _TERM)
    if field is None or not text:
        return False
    if field.name == "forms":
        label, colon, form = text.partition(": ")
        if not colon:
            return False
        earlier = values.get("forms")
        values["forms"] = (*(earlier if isinstance(earlier, tuple) else ()), InflectedForm(label, form))
    elif field.name == "printed":
        values |= _printed(text, language)
    else:
        if (value := value_of(field, text)) is None:
            return False
        values[field.name] = value
    return True


def read_slip_notes(holder: Element, ids: NameSet) -> tuple[dict[str, object], list[Element]]:
    """Return the fields of a slip held by notes in its group, and the notes that were read.

    Args:
        holder: the group of the quotation.
        ids: the ids in the file; a link to a slip that is not in the file is ignored.
    """
    values: dict[str, object] = {}
    read = []
    for note in holder:
        field, text = _labelled(note, _SLIP)
        if field is None or field.name in values:
            continue
        if isinstance(field.is_a, Reference) and field.is_a.to == "slip":
            if xml_id("slip", text) not in ids:
                continue
            text = xml_id("slip", text)
        if (value := value_of(field, text)) is None:
            continue
        values[field.name] = value
        read.append(note)
    return values, read


def read_whereabouts(text: str, issued: str) -> dict[str, str] | None:
    """Parse a place in a source with its date (`p. 3, col. 2, 1898-06-03`); None if it is anything else.

    Args:
        issued: date of the source, which the text repeats if the slip has no date of its own.
    """
    parts: dict[str, str] = {}
    rest = text.split(", ") if text else []
    for start, name in _PARTS:
        if rest and rest[0].startswith(start):
            parts[name] = rest.pop(0).removeprefix(start)
    if rest and (date := ", ".join(rest)) and not date_problem(date):
        rest = []
        if date != issued:
            parts["date"] = date
    slip = Slip("", "", "", **parts)  # type: ignore[arg-type]  # all values are text
    again = ", ".join(filter(None, (locator(slip), slip.date or (issued if text.endswith(issued) else ""))))
    return parts if not rest and again == text else None


def _labelled(note: Element, fields: Mapping[str, DeclaredField]) -> tuple[DeclaredField | None, str]:
    """Return the field whose label begins a note, and its value; None if no field does."""
    if category(note) != "note" or note.get("target"):
        return None, ""
    label, colon, text = whole_text(note).partition(": ")
    return (fields.get(label), text) if colon else (None, "")


def _printed(text: str, language: str) -> Iterator[tuple[str, str]]:
    """Yield the printed form and its language.

    The writer puts the tag after the form if it differs from the term's (`sgian (ga-Latg)`); other brackets
    belong to the form.
    """
    tagged = _TAGGED.fullmatch(text)
    if tagged and tags.is_well_formed(tagged[2]) and _primary(tagged[2]) == _primary(language):
        yield from (("printed", tagged[1]), ("printed_language", tagged[2]))
    else:
        yield "printed", text


def _primary(tag: str) -> str:
    return tag.partition("-")[0].casefold()


class KeepingReader(ConceptReader):
    """Reads one concept entry and keeps what the record has no field for.

    Args:
        file: data about the file. From our own exports, computed values and those given in words are dropped
            if the entry is in the termbase.
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
        """Keep the elements of a group other than its main one."""
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
        text_language = _other_language(element) or ("" if ours else self._around())
        # Our export puts a label before a note that begins like one of ours.
        self._add(element, name, about, text_language, _PLAIN_LABEL if ours and name == PLAIN else "")
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
        """Make a slip from a quotation.

        Its source is the one given beside it, otherwise the file itself. Notes in its group may hold fields.
        """
        source = source_beside(main)
        text = whole_text(main).strip() if self.file.ours else block_of(main)
        if quoted := unicodedata.normalize("NFC", text):
            self.slips.append(self._slip(child, quoted, source, whose or self.language))
            if source is not None:
                self.done.add(source)
        else:
            self.unread.dropped[message("quotation without text")] += 1
        self.keep_markup(main, "quotation")
        self.beside(child, main, "quotation")

    def place_in_words(self, whose: str = "") -> str:
        """Return in words where in the file something was."""
        place = f"Concept {self.id} of the file {self.file_name}"
        return f"{place}: {whose}." if whose else f"{place}."

    def _slip(self, holder: Element, quoted: str, source: Element | None, whose: str) -> Slip:
        file = self.file
        target, text = ("", "") if source is None else (target_of(source), line_text(source))
        source_id = file.source_id(target, text) or file.file_source_id()
        more = file.more(target, text)
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
            "" if self.term_id or file.ours else self.place_in_words(whose),
        )
        values["note"] = "\n".join(filter(None, map(str, notes)))
        return msgspec.convert(values, Slip)

    def _add(self, element: Element, name: str, about: str, text_language: str, label: str = "") -> None:
        note = self.unread.note(
            element, self.file_name, category=name, about=about, language=self._section_of_note(),
            text_language=text_language, label=label,
        )  # fmt: skip
        self._place(note)

    def _section_of_note(self) -> str:
        return "" if self.term_id else self.language

    def _around(self) -> str:
        """Return the language of the file if no section states one (the termbase may use a different one)."""
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
