"""Applying one row of a table to its entry."""

from collections.abc import Container
from dataclasses import replace
from typing import Final

from exports.tables.cells import Place, cell_of, names_in_cell, parts_of_cell
from exports.tables.fields import table_fields, unstated
from termbase.errors import BadInput
from termbase.fields.declarations import changed_by, field_of
from termbase.messages import message
from termbase.record.entries import Definition, Entry, Origin, Status, Term

__all__ = ["apply_row", "texts_in_cell"]

Values = dict[str, str]

_ID, _TEXT = field_of(Term, "id").column, field_of(Term, "text").column
_LANGUAGE, _ORIGIN = field_of(Term, "language").column, field_of(Term, "origin").column
_ENTRY, _VERSION = field_of(Entry, "id").column, field_of(Entry, "version").column
_OF_ANY_NAME: Final = frozenset((_TEXT, _LANGUAGE, _ORIGIN))
"""Name columns that also apply to rows with several names."""


def texts_in_cell(cell: str, several: bool) -> tuple[str, ...]:
    """Return the names in a cell: separated by bars, and by commas if it contains several."""
    parts = names_in_cell(cell)
    if several and len(parts) == 1:
        parts = parts_of_cell(cell)
    return tuple(" ".join(part.split()) for part in parts)


def apply_row(entry: Entry, values: Values, place: Place, several: Container[str] = ()) -> Entry:
    """Return an entry with a row applied to it.

    Args:
        entry: the entry, with earlier rows applied.
        values: the texts of the row by field.
        place: returns where the cell of a field is.
        several: keys of the columns whose cells contain several names separated by commas or semicolons.

    Raises:
        BadInput: a cell is not valid.
    """
    known = bool(entry.id)
    _check_version(entry, values, place)
    entry = changed_by(entry, _given(Entry, values, place))
    for key in values:
        kind, _, tag = key.partition(":")
        if kind == "definition":
            entry = _defined(entry, tag, values[key])
        elif kind == "names":
            entry = _named(entry, tag, values, key, place, texts_in_cell(values[key], key in several))
    if _TEXT in values and _TEXT in several and not values.get(_ID, "").strip():
        for text in texts_in_cell(values[_TEXT], several=True) or ("",):
            entry = _with_name(entry, {**values, _TEXT: text}, place)
    elif _TEXT in values or _ID in values:
        entry = _with_name(entry, values, place)
    else:
        entry = _with_only_name(entry, values, place, several)
    if not known and not entry.terms:
        raise BadInput(
            message("The row has no name."),
            where=place(_TEXT),
            fix=message("Add one, or delete the row."),
        )
    return entry


def _given(record: type, values: Values, place: Place, without: Container[str] = ()) -> dict[str, object]:
    """Return the values that the cells of a row give for a record, by field.

    A closed list that must not be empty keeps its value if its cell is empty.

    Raises:
        BadInput: a cell's text is not valid for its field.
    """
    given: dict[str, object] = {}
    for field in table_fields(record):
        if field.column in values and field.column not in without:
            value = cell_of(field, values, place)
            if value is not None or field.optional:
                given[field.name] = value
    return given


def _language(values: Values, place: Place) -> str:
    """Return the language of a row's name; empty if the row gives none."""
    return str(cell_of(field_of(Term, "language"), values, place)) if _LANGUAGE in values else ""


def _check_version(entry: Entry, values: Values, place: Place) -> None:
    given = values.get(_VERSION, "").strip()
    if given and not entry.id and values.get(_ENTRY, "").strip():
        raise BadInput(
            message(
                "There is no entry %(id)s: it has been removed since this table was exported.",
                id=values[_ENTRY].strip(),
            ),
            where=place(_ENTRY),
            fix=message("To create it again, empty the entry, version and name id cells; or delete the row."),
        )
    if given and entry.id and given != str(entry.version):
        raise BadInput(
            message(
                "%(id)s has been changed since this table was exported (version %(given)s, now %(version)s).",
                id=entry.id,
                given=given,
                version=entry.version,
            ),
            where=place(_VERSION),
            fix=message("Export the table again and make your changes in the new one."),
        )


def _defined(entry: Entry, tag: str, text: str) -> Entry:
    """Set the first definition in a language; remove it if the text is empty."""
    place = next((n for n, each in enumerate(entry.definitions) if each.language == tag), None)
    definitions = list(entry.definitions)
    if place is None:
        definitions += [Definition(tag, text)] if text.strip() else []
    elif text.strip():
        definitions[place] = replace(definitions[place], text=text)
    else:
        del definitions[place]
    return replace(entry, definitions=tuple(definitions))


def _named(entry: Entry, tag: str, values: Values, key: str, place: Place, texts: tuple[str, ...]) -> Entry:
    """Add the names of a cell that the entry does not have; the first in a language is preferred."""
    here = {term.text for term in entry.terms if term.language == tag}
    origin = cell_of(field_of(Term, "origin"), values, place) if _ORIGIN in values else None
    given = {} if origin is None else {"origin": origin}
    added = []
    for cleaned in texts:
        if cleaned in here:
            continue
        status = None if here else Status.PREFERRED
        here.add(cleaned)
        added.append(changed_by(_new_name(cleaned, tag), given, status=status))
    return replace(entry, terms=(*entry.terms, *added))


def _with_only_name(entry: Entry, values: Values, place: Place, several: Container[str]) -> Entry:
    """Apply what a row says about its name, if that name is in a column for names in a language.

    Raises:
        BadInput: there are several, so it is not clear which one is meant.
    """
    of_name = [f.column for f in table_fields(Term) if f.column in values and f.column not in _OF_ANY_NAME]
    if not of_name:
        return entry
    names = [
        (text, key.partition(":")[2])
        for key in values
        if key.startswith("names:")
        for text in texts_in_cell(values[key], key in several)
    ]
    if len(names) == 1:
        text, tag = names[0]
        changed = _given(Term, values, place, _OF_ANY_NAME)
        terms = (changed_by(t, changed) if (t.text, t.language) == (text, tag) else t for t in entry.terms)
        return replace(entry, terms=tuple(terms))
    if filled := next((key for key in of_name if values[key].strip()), ""):
        raise BadInput(
            message("The row has several names, or none, but this value belongs to a single name."),
            where=place(filled),
            fix=message("Give each name its own row, or ignore this column."),
        )
    return entry


def _new_name(text: str, language: str) -> Term:
    """Return a new name about which nothing is known: its closed lists are *not stated*."""
    return changed_by(Term("", text, language, Origin.NOT_STATED), unstated(Term))


def _with_name(entry: Entry, values: Values, place: Place) -> Entry:
    known = _known_name(entry, values, place)
    text = " ".join(values.get(_TEXT, known.text if known else "").split())
    if not text:
        of_name = (field.column for field in table_fields(Term) if field.column not in _OF_ANY_NAME)
        others = [key for key in of_name if values.get(key, "").strip()]
        if known is None and not others and entry.id:
            return entry
        raise BadInput(
            message("The name is empty."), where=place(_TEXT), fix=message("Type a name, or delete the row.")
        )
    language = _language(values, place) or (known.language if known else "")
    if not language:
        raise BadInput(
            message("“%(text)s” has no language.", text=text),
            where=place(_LANGUAGE),
            fix=message(
                "Add its tag (cy, ga-Latg), or set one for all rows (on the command line: "
                "--default language=cy)."
            ),
        )
    given = _given(Term, values, place, without=(_TEXT, _LANGUAGE))
    if known is None:
        return replace(entry, terms=(*entry.terms, changed_by(_new_name(text, language), given)))
    changed = changed_by(known, given, text=text, language=language)
    return replace(entry, terms=tuple(changed if term is known else term for term in entry.terms))


def _known_name(entry: Entry, values: Values, place: Place) -> Term | None:
    """Return the name of the entry that a row describes: matched by its id, or else by text and language."""
    if name_id := values.get(_ID, "").strip():
        by_id = next((term for term in entry.terms if term.id == name_id), None)
        if by_id is None:
            what = message(
                "%(entry)s has no name %(name_id)s.", entry=entry.id or message("The entry"), name_id=name_id
            )
            raise BadInput(
                what, where=place(_ID), fix=message("Empty that cell to add the name as a new one.")
            )
        return by_id
    text = " ".join(values.get(_TEXT, "").split())
    language = _language(values, place)
    return next((t for t in entry.terms if t.text == text and language in ("", t.language)), None)
