"""Notes of an export of ours (TBX-Basic) that hold a field of the record: `Certainty: probable`.

TBX-Basic has no data category for these fields, so the writer puts each in a note behind its label
(`exports.tbx.tags.FIELDS`). They are read back only where the header bears our mark: in any other file
such a note is a note.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Final

from exports.tbx.categories import OTHER
from exports.tbx.elements import Element, category, whole_text
from exports.tbx.nameset import NameSet
from exports.tbx.parts import fault_of_date, value_of
from exports.tbx.tags import FIELDS, OPEN, noted_fields
from exports.tbx.xmltext import xml_id
from termbase import tags
from termbase.entries import Form, Term
from termbase.fields import Declared, Reference, fields_of
from termbase.sources import Slip, locator

__all__ = [
    "is_computed", "is_said_in_full", "read_slip_notes", "read_term_note", "read_whereabouts", "says_nothing",
]  # fmt: skip

_OTHERWISE: Final = tuple(
    field
    for field in fields_of(Term)
    if field.members and OTHER in (FIELDS[f"term.{field.name}"].values or {}).values()
)
"""Fields whose picklist has no word for some values; the note says which."""
_FULLY: Final = {FIELDS[f"term.{field.name}"].place: field for field in _OTHERWISE}
_TERM: Final = {FIELDS[f"term.{field.name}"].label: field for field in (*noted_fields("term"), *_OTHERWISE)}
_SLIP: Final = {FIELDS[f"slip.{field.name}"].label: field for field in noted_fields("slip")}
_EVIDENCE: Final = f"{FIELDS['evidence.name'].label}: "
_OPEN: Final = tuple(
    f"{FIELDS[f'entry.{name}'].label}: {OPEN}" for name in ("language_reading", "practice_reading")
)
_TAGGED: Final = re.compile(r"(.+) \(([A-Za-z0-9-]+)\)", re.DOTALL)
_PARTS: Final = (("p. ", "page"), ("col. ", "column"), ("l. ", "line"), ("no. ", "item"))


def is_computed(note: Element) -> bool:
    """Whether a note tells what is computed from the slips: evidence is never taken from a file."""
    return category(note) == "note" and whole_text(note).startswith(_EVIDENCE)


def is_said_in_full(element: Element) -> bool:
    """Whether a note beside an element that says `other` says in full what that is. Without one it may be a
    note from elsewhere, which is written in its own data category."""
    field = _FULLY.get(category(element))
    around = element.getparent()
    if field is None or around is None:
        return False
    return any(_labelled(note, {FIELDS[f"term.{field.name}"].label: field})[0] for note in around)


def says_nothing(text: str) -> bool:
    """Whether a note says only that nobody has signed yet: each export says so again of an unsigned entry."""
    return text in _OPEN


def read_term_note(note: Element, values: dict[str, object], language: str) -> bool:
    """Put the field of a term that a note holds into `values`; False where it holds none that can be read.

    Args:
        note: an element of a term section.
        values: fields of the term, to which it is added.
        language: of the term.
    """
    field, text = _labelled(note, _TERM)
    if field is None or not text:
        return False
    if field.name == "forms":
        label, colon, form = text.partition(": ")
        if not colon:
            return False
        earlier = values.get("forms")
        values["forms"] = (*(earlier if isinstance(earlier, tuple) else ()), Form(label, form))
    elif field.name == "printed":
        values |= _printed(text, language)
    else:
        if (value := value_of(field, text)) is None:
            return False
        values[field.name] = value
    return True


def read_slip_notes(holder: Element, ids: NameSet) -> tuple[dict[str, object], list[Element]]:
    """The fields of a slip that notes in its group hold, and the notes that were read.

    Args:
        holder: the group of the quotation.
        ids: the ids of the file; a slip that is not in it cannot be one witness with this one.
    """
    found: dict[str, object] = {}
    read = []
    for note in holder:
        field, text = _labelled(note, _SLIP)
        if field is None or field.name in found:
            continue
        if isinstance(field.is_a, Reference) and field.is_a.to == "slip":
            if xml_id("slip", text) not in ids:
                continue
            text = xml_id("slip", text)
        if (value := value_of(field, text)) is None:
            continue
        found[field.name] = value
        read.append(note)
    return found, read


def read_whereabouts(text: str, issued: str) -> dict[str, str] | None:
    """Place in the source and date from the words behind its label (`p. 3, col. 2, 1898-06-03`); None where
    they are anything else.

    Args:
        issued: date of the source, which the words repeat where the slip has none of its own.
    """
    found: dict[str, str] = {}
    rest = text.split(", ") if text else []
    for start, name in _PARTS:
        if rest and rest[0].startswith(start):
            found[name] = rest.pop(0).removeprefix(start)
    if rest and (date := ", ".join(rest)) and not fault_of_date(date):
        rest = []
        if date != issued:
            found["date"] = date
    slip = Slip("", "", "", **found)  # type: ignore[arg-type]  # all of them are text
    again = ", ".join(filter(None, (locator(slip), slip.date or (issued if text.endswith(issued) else ""))))
    return found if not rest and again == text else None


def _labelled(note: Element, fields: Mapping[str, Declared]) -> tuple[Declared | None, str]:
    """The field that a note names, and what it says of it; None where it names none of these."""
    if category(note) != "note" or note.get("target"):
        return None, ""
    label, colon, text = whole_text(note).partition(": ")
    return (fields.get(label), text) if colon else (None, "")


def _printed(text: str, language: str) -> Iterator[tuple[str, str]]:
    """Printed form and its language: the writer puts the tag behind the form where it is another than the
    term's (`sgian (ga-Latg)`); a bracket of the form itself is no tag of a script of that language."""
    tagged = _TAGGED.fullmatch(text)
    if tagged and tags.is_well_formed(tagged[2]) and _primary(tagged[2]) == _primary(language):
        yield from (("printed", tagged[1]), ("printed_language", tagged[2]))
    else:
        yield "printed", text


def _primary(tag: str) -> str:
    return tag.partition("-")[0].casefold()
