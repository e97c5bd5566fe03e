"""The content of a cell: each kind of field as one text and back, lists, inflected forms, EDTF dates."""

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Final

from termbase.dates import edtf
from termbase.dates.wording import ENGLISH
from termbase.errors import BadInput
from termbase.fields.declarations import Count, Date, DeclaredField, Flag, Language, Lines, Member, Members
from termbase.languages import tags
from termbase.messages import message
from termbase.record.entries import InflectedForm

__all__ = [
    "Cell",
    "Place",
    "cell_of",
    "edtf_of",
    "forms_in",
    "forms_text",
    "from_cell",
    "has_commas",
    "language_in",
    "names_cell",
    "names_in_cell",
    "parts_of_cell",
    "to_cell",
]

Cell = str | int | None
Place = Callable[[str], str]
"""Returns where the cell of a column is, given the column's key."""
_YES, _NO = "yes", "no"
_MONTHS: Final = {name.lower(): n for n, name in enumerate(ENGLISH.months, 1)}
_DAY_MONTH_YEAR: Final = re.compile(r"(?:(\d{1,2})(?:st|nd|rd|th)?\s+)?([A-Za-z]+)\s+(\d{4})")
_FIGURES: Final = re.compile(r"(\d{1,2})[./](\d{1,2})[./](\d{4})")

BETWEEN_NAMES: Final = " | "
BETWEEN_FORMS: Final = "; "
_COMMAS: Final = re.compile(r"[,;](?![^(\[]*[)\]])")
_ESCAPED: Final = re.compile(r"\\(.)", re.DOTALL)


def names_cell(names: Iterable[str]) -> str:
    """Return names as one cell, separated by ` | `; a bar or backslash in a name is escaped with a
    backslash."""
    return BETWEEN_NAMES.join(_escape(name, "|") for name in names)


def names_in_cell(text: str) -> tuple[str, ...]:
    """Return the names in a cell."""
    return tuple(filter(None, (part.strip() for part in _cut(text, "|"))))


def has_commas(text: str) -> bool:
    """Return whether a cell has a comma or semicolon outside brackets, so that it may contain several
    names."""
    return len(parts_of_cell(text)) > 1


def parts_of_cell(text: str) -> tuple[str, ...]:
    """Return the names in a cell that separates them by commas or semicolons outside brackets."""
    return tuple(filter(None, (part.strip() for part in _COMMAS.split(text))))


def forms_text(forms: Iterable[InflectedForm]) -> str:
    """Return inflected forms as one cell: `plural: bachiadau; genitive: ...`."""
    return BETWEEN_FORMS.join(f"{_escape(form.label, ';:')}: {_escape(form.text, ';:')}" for form in forms)


def forms_in(text: str) -> tuple[InflectedForm, ...]:
    """Return the inflected forms in a cell.

    Raises:
        BadInput: one has no label.
    """
    return tuple(_form(part) for part in _cut_raw(text, ";") if part.strip())


def edtf_of(text: str) -> str:
    """Return a date as EDTF: unchanged if it is EDTF, else parsed from `12 May 1889` or `31.5.1889`.

    Empty if it cannot be parsed without guessing: `4/5/1889` may be April or May.
    """
    text = " ".join(text.split())
    try:
        edtf.parse(text)
    except BadInput:
        date = _from_words(text) or _from_digits(text)
        return date if date and _is_date(date) else ""
    return text


def to_cell(field: DeclaredField, value: object) -> Cell:
    """Return the value of a field as the content of one cell; it must be a field that `table_fields`
    returns."""
    if value is None:
        return None
    if isinstance(value, bool):
        return _YES if value else _NO
    if isinstance(value, tuple):
        forms = [each for each in value if isinstance(each, InflectedForm)]
        return forms_text(forms) if field.of is InflectedForm else names_cell(map(str, value))
    return value if isinstance(value, int) else str(value)


def cell_of(field: DeclaredField, values: Mapping[str, str], place: Place) -> object:
    """Return the value of a field's cell, in a row of cells by column; see `from_cell`.

    Raises:
        BadInput: the cell's text is not valid for the field; `where` is the place of the cell.
    """
    try:  # not `ReportedAt`, which would take as long as parsing a cell
        return from_cell(field, values[field.column])
    except BadInput as error:
        raise BadInput(error.what, where=place(field.column), fix=error.fix) from error


def from_cell(field: DeclaredField, text: str) -> object:
    """Return the value of a cell for a field; None if it is empty and the field is not a text or list.

    Texts are returned unchanged; the record cleans them (`termbase.record.validation`).

    Raises:
        BadInput: the cell's text is not valid for the field.
    """
    kind = field.is_a
    if field.of is InflectedForm:
        return forms_in(text)
    if isinstance(kind, Members):
        return tuple(_one_of(field.words, part) for part in names_in_cell(text))
    if isinstance(kind, Lines):
        return tuple(language_in(part) if kind.language else part for part in names_in_cell(text))
    if isinstance(kind, Member):
        return _one_of(field.words, text)
    if isinstance(kind, Flag):
        word = _one_of((_YES, _NO), text)
        return None if word is None else word == _YES
    if isinstance(kind, Count):
        return _count(text)
    if isinstance(kind, Language):
        return language_in(text)
    if isinstance(kind, Date):
        return _date(text)
    return text


def _one_of(words: tuple[str, ...], text: str) -> str | None:
    """Return a value of a closed list by its word; None if the cell is empty."""
    word = _plain(text)
    value = next((known for known in words if known.casefold() == word), None)
    if value is None and word:
        raise BadInput(
            message("%(text)r is not one of the values allowed here.", text=text),
            fix=message("Use one of: %(known)s.", known=", ".join(filter(None, words))),
        )
    return value


def _count(text: str) -> int | None:
    if not text.strip():
        return None
    try:
        return int(text)
    except ValueError as error:
        raise BadInput(
            message("%(text)r is not a whole number.", text=text),
            fix=message("Use digits only, for example 12."),
        ) from error


def _date(text: str) -> str:
    date = edtf_of(text)
    if text.strip() and not date:
        edtf.parse(text.strip())  # raises an error that says what is wrong
    return date


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def language_in(text: str) -> str:
    """Return a language tag in canonical case; empty for an empty cell.

    Raises:
        BadInput: it is not a BCP 47 tag.
    """
    return tags.canonical(text.strip()) if text.strip() else ""


def _from_words(text: str) -> str:
    match = _DAY_MONTH_YEAR.fullmatch(text)
    month = _MONTHS.get(match[2].lower(), 0) if match else 0
    if match is None or not month:
        return ""
    return f"{match[3]}-{month:02}" + (f"-{int(match[1]):02}" if match[1] else "")


def _from_digits(text: str) -> str:
    match = _FIGURES.fullmatch(text)
    if match is None:
        return ""
    day, month = int(match[1]), int(match[2])
    if month > 12:
        day, month = month, day
    elif day <= 12 and day != month:
        return ""
    return f"{match[3]}-{month:02}-{day:02}"


def _is_date(text: str) -> bool:
    try:
        edtf.parse(text)
    except BadInput:
        return False
    return True


def _form(part: str) -> InflectedForm:
    label, *rest = _cut(part, ":")
    if not rest or not label.strip() or not rest[0].strip():
        raise BadInput(
            message("The form %(form)r has no label.", form=part.strip()),
            fix=message("Write forms like this: plural: x; genitive: y"),
        )
    return InflectedForm(label.strip(), ":".join(rest).strip())


def _escape(text: str, signs: str) -> str:
    return re.sub(rf"[\\{re.escape(signs)}]", lambda match: f"\\{match[0]}", text)


def _cut(text: str, sign: str) -> list[str]:
    return [_ESCAPED.sub(r"\1", part) for part in _cut_raw(text, sign)]


def _cut_raw(text: str, sign: str) -> list[str]:
    parts, start = [], 0
    for match in re.finditer(rf"\\.|{re.escape(sign)}", text, re.DOTALL):
        if match[0] == sign:
            parts.append(text[start : match.start()])
            start = match.end()
    return [*parts, text[start:]]
