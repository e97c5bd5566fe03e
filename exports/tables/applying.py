"""What one row of a table says of its entry."""

from collections.abc import Callable, Container
from dataclasses import replace
from typing import Final, TypeVar

from exports.tables.cells import forms_in, language_in, names_in_cell, one_of, parts_of_cell
from termbase.entries import (
    Definition,
    Entry,
    Gender,
    Number,
    Origin,
    PartOfSpeech,
    Register,
    Status,
    Term,
    TermType,
    Topic,
)
from termbase.errors import BadInput
from termbase.messages import message

__all__ = ["apply_row", "texts_in_cell"]

T = TypeVar("T")
Values = dict[str, str]
Place = Callable[[str], str]

_OF_NAME: Final[dict[str, tuple[str, Callable[[str], object]]]] = {
    "status": ("status", lambda text: one_of(Status, text)),
    "type": ("type", lambda text: one_of(TermType, text)),
    "part_of_speech": ("part_of_speech", lambda text: one_of(PartOfSpeech, text)),
    "gender": ("gender", lambda text: one_of(Gender, text)),
    "number": ("number", lambda text: one_of(Number, text)),
    "register": ("register", lambda text: one_of(Register, text)),
    "forms": ("forms", forms_in),
    "pronunciation": ("pronunciation", str),
    "region": ("region", str),
    "name_note": ("usage_note", str),
    "printed": ("printed", str),
    "printed_language": ("printed_language", language_in),
    "sort_form": ("sort_text", str),
}
"""Columns of a name, with the field of `Term` and how a cell is read."""


def texts_in_cell(cell: str, several: bool) -> tuple[str, ...]:
    """The names in a cell: those between bars, and those between commas where it holds several."""
    parts = names_in_cell(cell)
    if several and len(parts) == 1:
        parts = parts_of_cell(cell)
    return tuple(" ".join(part.split()) for part in parts)


def apply_row(entry: Entry, values: Values, place: Place, several: Container[str] = ()) -> Entry:
    """An entry as a row has it.

    Args:
        entry: as it is, rows before this one included.
        values: the texts of the row by field.
        place: says where the cell of a field is.
        several: keys of the columns whose cells hold several names between commas or semicolons.

    Raises:
        BadInput: a cell cannot be taken.
    """
    known = bool(entry.id)
    _check_version(entry, values, place)
    if "topic" in values:
        entry = replace(entry, topic=_read("topic", values, lambda text: one_of(Topic, text), place))
    entry = replace(
        entry,
        usage_note=values.get("usage_note", entry.usage_note),
        editor_note=values.get("editor_note", entry.editor_note),
    )
    for key in values:
        kind, _, tag = key.partition(":")
        if kind == "definition":
            entry = _defined(entry, tag, values[key])
        elif kind == "names":
            entry = _named(entry, tag, values, key, place, texts_in_cell(values[key], key in several))
    if "name" in values and "name" in several and not values.get("name_id", "").strip():
        for text in texts_in_cell(values["name"], several=True) or ("",):
            entry = _with_name(entry, {**values, "name": text}, place)
    elif "name" in values or "name_id" in values:
        entry = _with_name(entry, values, place)
    if not known and not entry.terms:
        raise BadInput(
            message("The row has no name."),
            where=place("name"),
            mend=message("Give it one, or take the row away."),
        )
    return entry


def _read(key: str, values: Values, read: Callable[[str], T], place: Place) -> T:
    try:
        return read(values[key])
    except BadInput as error:
        raise BadInput(error.what, where=place(key), mend=error.mend) from error


def _check_version(entry: Entry, values: Values, place: Place) -> None:
    given, gone = values.get("version", "").strip(), not entry.id
    if given and gone and values.get("entry", "").strip():
        raise BadInput(
            message(
                "There is no entry %(id)s: it was removed since this table was written.",
                id=values["entry"].strip(),
            ),
            where=place("entry"),
            mend=message(
                "Empty the cells of entry, version and name id to make it anew, or take the row away."
            ),
        )
    if given and entry.id and given != str(entry.version):
        raise BadInput(
            message(
                "%(id)s was changed since this table was written (version %(given)s, now %(version)s).",
                id=entry.id,
                given=given,
                version=entry.version,
            ),
            where=place("version"),
            mend=message("Write the table again and put your changes into that one."),
        )


def _defined(entry: Entry, tag: str, text: str) -> Entry:
    """The first definition in a language becomes this; an empty one is taken away."""
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
    """The names of a cell that the entry does not have are added; the first of a language is preferred."""
    here = {term.text for term in entry.terms if term.language == tag}
    added = []
    for cleaned in texts:
        if cleaned in here:
            continue
        status = None if here else Status.PREFERRED
        here.add(cleaned)
        added.append(Term("", cleaned, tag, _origin(None, values, place), status=status))
    return replace(entry, terms=(*entry.terms, *added))


def _with_name(entry: Entry, values: Values, place: Place) -> Entry:
    found = _found(entry, values, place)
    text = " ".join(values.get("name", found.text if found else "").split())
    if not text:
        others = [key for key in _OF_NAME if values.get(key, "").strip()]
        if found is None and not others and entry.id:
            return entry
        raise BadInput(
            message("The name is empty."), where=place("name"), mend=message("Type it, or take the row away.")
        )
    language = _read("language", values, language_in, place) if "language" in values else ""
    language = language or (found.language if found else "")
    if not language:
        raise BadInput(
            message("“%(text)s” has no language.", text=text),
            where=place("language"),
            mend=message(
                "Give its tag (cy, ga-Latg), or one for all rows (as a command: --default language=cy)."
            ),
        )
    read = {
        name: _read(key, values, reading, place) for key, (name, reading) in _OF_NAME.items() if key in values
    }
    origin = _origin(found, values, place)
    if found is None:
        made = replace(Term("", text, language, origin), **read)  # type: ignore[arg-type] # read by their fields
        return replace(entry, terms=(*entry.terms, made))
    changed = replace(found, text=text, language=language, origin=origin, **read)  # type: ignore[arg-type]
    return replace(entry, terms=tuple(changed if term is found else term for term in entry.terms))


def _found(entry: Entry, values: Values, place: Place) -> Term | None:
    """The name of the entry that a row means: by its id, else by the same text and language."""
    if name_id := values.get("name_id", "").strip():
        by_id = next((term for term in entry.terms if term.id == name_id), None)
        if by_id is None:
            what = message(
                "%(entry)s has no name %(name_id)s.", entry=entry.id or message("The entry"), name_id=name_id
            )
            raise BadInput(
                what, where=place("name_id"), mend=message("Empty that cell to add the name anew.")
            )
        return by_id
    text = " ".join(values.get("name", "").split())
    language = _read("language", values, language_in, place) if "language" in values else ""
    return next((t for t in entry.terms if t.text == text and language in ("", t.language)), None)


def _origin(found: Term | None, values: Values, place: Place) -> Origin:
    """What the table says of it; *not stated* where it says nothing of a new name."""
    origin = _read("origin", values, lambda text: one_of(Origin, text), place) if "origin" in values else None
    if origin is None and found is not None:
        return found.origin
    return Origin.NOT_STATED if origin is None else origin
