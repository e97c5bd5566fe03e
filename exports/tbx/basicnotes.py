"""Reads back the notes of our own TBX-Basic exports that hold a field of the record: `Certainty: probable`.

TBX-Basic has no data category for these fields, so the writer puts each in a note after its label
(`exports.tbx.tags.FIELDS`). They are read back only if the header has our mark; in any other file such a note
is just a note.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Final

from exports.tbx.categories import OTHER
from exports.tbx.elements import Element, category, whole_text
from exports.tbx.nameset import NameSet
from exports.tbx.parts import date_problem, value_of
from exports.tbx.tags import FIELDS, OPEN, noted_fields
from exports.tbx.xmltext import xml_id
from termbase.fields.declarations import DeclaredField, Reference, fields_of
from termbase.languages import tags
from termbase.record.entries import InflectedForm, Term
from termbase.record.sources import Slip, locator

__all__ = [
    "is_computed", "is_said_in_full", "read_slip_notes", "read_term_note", "read_whereabouts", "says_nothing",
]  # fmt: skip

_OTHERWISE: Final = tuple(
    field
    for field in fields_of(Term)
    if field.members and OTHER in (FIELDS[f"term.{field.name}"].values or {}).values()
)
"""Fields whose picklist lacks some values; a note gives the value."""
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
    """Return whether a note reports evidence computed from the slips; evidence is never imported."""
    return category(note) == "note" and whole_text(note).startswith(_EVIDENCE)


def is_said_in_full(element: Element) -> bool:
    """Return whether an element says `other` and a note beside it gives the value. Without that note, the
    element may be a note from elsewhere, written in its own data category."""
    field = _FULLY.get(category(element))
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
        ids: the ids in the file; a slip that is not in it cannot count as one witness with this one.
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
    """Parse the place in the source and the date after its label (`p. 3, col. 2, 1898-06-03`); None if it is
    anything else.

    Args:
        issued: date of the source, which the text repeats if the slip has no date of its own.
    """
    found: dict[str, str] = {}
    rest = text.split(", ") if text else []
    for start, name in _PARTS:
        if rest and rest[0].startswith(start):
            found[name] = rest.pop(0).removeprefix(start)
    if rest and (date := ", ".join(rest)) and not date_problem(date):
        rest = []
        if date != issued:
            found["date"] = date
    slip = Slip("", "", "", **found)  # type: ignore[arg-type]  # all of them are text
    again = ", ".join(filter(None, (locator(slip), slip.date or (issued if text.endswith(issued) else ""))))
    return found if not rest and again == text else None


def _labelled(note: Element, fields: Mapping[str, DeclaredField]) -> tuple[DeclaredField | None, str]:
    """Return the field that a note names and its value; None if it names none of these."""
    if category(note) != "note" or note.get("target"):
        return None, ""
    label, colon, text = whole_text(note).partition(": ")
    return (fields.get(label), text) if colon else (None, "")


def _printed(text: str, language: str) -> Iterator[tuple[str, str]]:
    """Return the printed form and its language. The writer puts the tag after the form if it differs from
    the term's (`sgian (ga-Latg)`); brackets in the form itself are not such a tag."""
    tagged = _TAGGED.fullmatch(text)
    if tagged and tags.is_well_formed(tagged[2]) and _primary(tagged[2]) == _primary(language):
        yield from (("printed", tagged[1]), ("printed_language", tagged[2]))
    else:
        yield "printed", text


def _primary(tag: str) -> str:
    return tag.partition("-")[0].casefold()
