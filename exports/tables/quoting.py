"""The slips that the rows of a table create, and what a row says about a source that can only be noted.

A row with a source and a quotation, or with a source and a date, creates a slip for each name it bears
witness to. Its source is matched by label or created. What a quotation does with a name, and how certain it
is, stay *not stated* unless the table states them.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TypeVar

from sqlalchemy import select

from exports.tables.cells import Place, cell_of, edtf_of
from exports.tables.fields import table_fields, unstated
from termbase.acts.sources import save_slip, save_source
from termbase.errors import ReportedAt
from termbase.fields.declarations import Text, changed_by, field_of
from termbase.languages import tags
from termbase.record.entries import Entry, Term
from termbase.record.sources import Slip, Source, SourceKind
from termbase.record.validation import clean_slip, clean_source
from termbase.store import tables
from termbase.store.reading import Reader
from termbase.store.writing import Act

__all__ = [
    "Name",
    "PlannedSlip",
    "add_slip",
    "known_sources",
    "made_source",
    "new_slips",
    "notes_of",
    "slips_of",
    "witnessed_in",
]


T = TypeVar("T")
Name = tuple[str, str]
"""A name in the row: its text and language."""

_SOURCE, _TEXT = field_of(Slip, "source_id"), field_of(Slip, "text")
_DATE, _NOTE = field_of(Slip, "date"), field_of(Slip, "note")
_NAME, _NAME_ID = field_of(Slip, "name"), field_of(Term, "id")


@dataclass(frozen=True)
class PlannedSlip:
    """A slip that a row would create.

    Attributes:
        source: label of its source.
        name: the name it bears witness to, as text and language; None if it stays unsorted.
        slip: the slip, without its own id and those of its source and term.
        row: number of the row.
    """

    source: str
    name: Name | None
    slip: Slip
    row: int


def slips_of(
    values: Mapping[str, str], names: Sequence[Name], asked: str, by_column: Mapping[str, Sequence[Name]],
    row: int, table: str, place: Place,
) -> tuple[PlannedSlip, ...]:  # fmt: skip
    """Return the slips that a row creates.

    Args:
        values: the texts of the row by field.
        names: its names, in the order of its columns.
        asked: the names that a source is a witness to if its quotation contains none of them: *all*, *none*
            or the key of a column.
        by_column: the names of each column by its key.
        row: its number; `table`: the name of the file.
        place: returns where the cell of a field is.

    Raises:
        BadInput: a cell is not valid.
    """
    quotation = values.get(_TEXT.column, "")
    label, date = values.get(_SOURCE.column, "").strip(), values.get(_DATE.column, "").strip()
    if not label or not (quotation.strip() or date):
        return ()
    base = changed_by(Slip("", "", ""), {**unstated(Slip), **_given(values, place)}, date=edtf_of(date))
    base = replace(base, note="\n".join(filter(None, (base.note, _noted(values, row, table)))))
    ours = _is_ours(values)
    _checked(clean_source, made_source(label, table), place(_SOURCE.column))
    planned = []
    for name in witnessed_in(quotation, names, asked, by_column):
        text = quotation.strip() and quotation
        text = text or (name[0] if name else "; ".join(text for text, _ in names))
        printed = base.name if ours else base.name or (_printed(name[0], text) if name else "")
        slip = replace(base, text=text, name=printed)
        at = place(_TEXT.column if quotation.strip() else _DATE.column)
        cleaned = _checked(
            clean_slip, slip, at, {f.name: place(f.column) for f in table_fields(Slip) if f.column in values}
        )
        planned.append(PlannedSlip(" ".join(label.split()), name, cleaned, row))
    return tuple(planned)


def _given(values: Mapping[str, str], place: Place) -> dict[str, object]:
    """Return the values that the cells give for a slip, by field."""
    given: dict[str, object] = {}
    for field in table_fields(Slip):
        if field.column not in values or field in (_TEXT, _DATE):
            continue
        value = cell_of(field, values, place)
        if value is not None:
            given[field.name] = value
    return given


def _noted(values: Mapping[str, str], row: int, table: str) -> str:
    """Return the note for a slip: its row, unless the table is ours; a date that is not EDTF."""
    date = values.get(_DATE.column, "").strip()
    sentences = [] if _is_ours(values) else [f"Row {row} of {table}."]
    if not values.get(_TEXT.column, "").strip():
        sentences.append("It gives no quotation.")
    if date != edtf_of(date):
        sentences.append(f"Date as given: {date}.")
    return " ".join(sentences)


def _is_ours(values: Mapping[str, str]) -> bool:
    """Return whether a row is from a table of slips that we wrote, which states everything about them
    itself."""
    return all(field.column in values for field in (_NAME_ID, _NAME, _NOTE))


def witnessed_in(
    quotation: str, names: Sequence[Name], asked: str, by_column: Mapping[str, Sequence[Name]]
) -> tuple[Name | None, ...]:
    """Return the names that a source bears witness to.

    These are the names in its quotation, or else the only name of the row, or else those asked for. A single
    None means a slip that stays unsorted. The result is empty if nobody has chosen the names.
    """
    quoted = tuple(name for name in names if quotation and _printed(name[0], quotation))
    if quoted:
        return quoted
    if asked == "none" or not names:
        return (None,)
    if asked == "all" or len(names) == 1:
        return tuple(names)
    return tuple(by_column.get(asked, ())) or ((None,) if asked else ())


def notes_of(values: Mapping[str, str], row: int, table: str) -> str:
    """Return what a row says about a source if it does not create a slip, for the editor's note; otherwise
    empty."""
    cells = {field: values.get(field.column, "").strip() for field in (_SOURCE, *table_fields(Slip))}
    if cells[_SOURCE] and (cells[_TEXT] or cells[_DATE]):
        return ""
    if not any(text for field, text in cells.items() if isinstance(field.is_a, Text)):
        return ""
    details = "; ".join(f"{_capital(field.heading)}: {text}" for field, text in cells.items() if text)
    return f"{details} (row {row} of {table})"


def made_source(label: str, table: str) -> Source:
    """Return a new source for an unknown label: nothing else is known about it."""
    label = " ".join(label.split())
    return Source("", label, SourceKind.OTHER, label, note=f"Named in {table}; nothing more is known of it.")


def _printed(name: str, quotation: str) -> str:
    """Return the name as a quotation prints it, ignoring case and spaces; empty if it does not contain it."""
    words = r"\s+".join(re.escape(word) for word in name.split())
    match = re.search(rf"(?<!\w){words}(?!\w)", quotation, re.IGNORECASE) if words else None
    return " ".join(match[0].split()) if match else ""


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _checked(
    take: Callable[[T], T], record: T, where: str, places: Mapping[str, str] = MappingProxyType({})
) -> T:
    """Return the record cleaned for storage; `places` says where the cell of each field is, otherwise it is
    `where`."""
    with ReportedAt(lambda error: places.get(str(error.path[0]) if error.path else "", where)):
        return take(record)


def known_sources(reader: Reader) -> dict[str, str]:
    """Return the ids of all sources by label, in lower case."""
    columns = tables.source.c
    rows = reader.connection.execute(select(columns.label, columns.id).order_by(columns.id.desc()))
    return {" ".join(label.split()).casefold(): source_id for label, source_id in rows}


def new_slips(
    reader: Reader, entry: Entry, slips: Iterable[PlannedSlip], sources: dict[str, str]
) -> tuple[PlannedSlip, ...]:
    """Return the slips that an entry does not have yet: none with that source and text exists for that
    name."""
    here = {
        (slip.source_id, slip.text.strip(), term_id)
        for term_id, stored in reader.slips_of((entry,)).items()
        for slip in stored
    }
    return tuple(
        planned
        for planned in slips
        if (sources.get(planned.source.casefold(), ""), planned.slip.text.strip(), _term_id(entry, planned))
        not in here
    )


def add_slip(act: Act, entry: Entry, planned: PlannedSlip, sources: dict[str, str], table: str) -> None:
    """Write a slip for a stored entry; its source is created if none has its label.

    Args:
        sources: ids of sources by label; a created one is added.
        table: the name of the file.
    """
    key = planned.source.casefold()
    if key not in sources:
        sources[key] = save_source(act, made_source(planned.source, table)).id
    save_slip(act, replace(planned.slip, source_id=sources[key], term_id=_term_id(entry, planned)))


def _term_id(entry: Entry, planned: PlannedSlip) -> str:
    """Return the name that a slip bears witness to; empty if it is unsorted."""
    if planned.name is None:
        return ""
    text, language = planned.name
    matching = [term for term in entry.terms if term.text == text and _is_in(term, language)]
    return matching[0].id if matching else ""


def _is_in(term: Term, language: str) -> bool:
    return not language or term.language == tags.canonical(language)
