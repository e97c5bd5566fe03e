"""What a row of a table says of a source: the slips that it makes, and what of it can only be noted.

A row with a source and a quotation, or with a source and a date, makes a slip for each name it bears witness
to. What a quotation does with a name, and how sure it is, stay *not stated* unless the table says them.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, TypeVar

from exports.tables.cells import one_of
from termbase import dates
from termbase.datewords import ENGLISH
from termbase.errors import BadInput
from termbase.intake import take_slip, take_source
from termbase.sources import Certainty, Slip, SlipKind, Source, SourceKind

__all__ = ["Name", "PlannedSlip", "edtf_of", "made_source", "notes_of", "slips_of", "witnessed_in"]

Closed = TypeVar("Closed", SlipKind, Certainty)
T = TypeVar("T")
Name = tuple[str, str]
"""A name of the row: its text and language."""

Place = Callable[[str], str]
_MONTHS: Final = {name.lower(): n for n, name in enumerate(ENGLISH.months, 1)}
_DAY_MONTH_YEAR: Final = re.compile(r"(?:(\d{1,2})(?:st|nd|rd|th)?\s+)?([A-Za-z]+)\s+(\d{4})")
_FIGURES: Final = re.compile(r"(\d{1,2})[./](\d{1,2})[./](\d{4})")


@dataclass(frozen=True)
class PlannedSlip:
    """A slip that a row would make.

    Attributes:
        source: label of its source.
        name: the name it bears witness to, as text and language; None where it waits unsorted.
        slip: the slip, without ids of itself, its source and its term.
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
    """The slips that a row makes.

    Args:
        values: the texts of the row by field.
        names: its names, in the order of its columns.
        asked: for which names a source stands that no quotation of its holds: *all*, *none* or the key of a
            column.
        by_column: the names of each column by its key.
        row: its number; `table`: the name of the file.
        place: says where the cell of a field is.

    Raises:
        BadInput: a cell cannot be taken.
    """
    label, quotation, date = (values.get(key, "").strip() for key in ("source", "quotation", "date"))
    if not label or not (quotation or date):
        return ()
    edtf = edtf_of(date)
    note = f"Row {row} of {table}."
    note += "" if quotation else " It gives no quotation."
    note += f" Date as given: {date}." if date and date != edtf else ""
    told = {
        "date": edtf,
        "page": values.get("page", "").strip(),
        "kind": _read(SlipKind, values, "slip_kind", place) or SlipKind.NOT_STATED,
        "certainty": _read(Certainty, values, "certainty", place) or Certainty.NOT_STATED,
        "note": note,
    }
    _checked(take_source, made_source(label, table), place("source"))
    made = []
    for name in witnessed_in(quotation, names, asked, by_column):
        text = quotation or (name[0] if name else "; ".join(text for text, _ in names))
        printed = _printed(name[0], text) if name else ""
        slip = Slip("", "", text, name=printed, **told)  # type: ignore[arg-type]
        taken = _checked(take_slip, slip, place("quotation" if quotation else "date"))
        made.append(PlannedSlip(" ".join(label.split()), name, taken, row))
    return tuple(made)


def witnessed_in(
    quotation: str, names: Sequence[Name], asked: str, by_column: Mapping[str, Sequence[Name]]
) -> tuple[Name | None, ...]:
    """The names that a source bears witness to.

    They are those that its quotation holds, else the only name of the row, else those asked for. None alone
    stands for a slip that waits unsorted. Nothing at all where nobody said which names are meant.
    """
    held = tuple(name for name in names if quotation and _printed(name[0], quotation))
    if held:
        return held
    if asked == "none" or not names:
        return (None,)
    if asked == "all" or len(names) == 1:
        return tuple(names)
    return tuple(by_column.get(asked, ())) or ((None,) if asked else ())


def notes_of(values: Mapping[str, str], row: int, table: str) -> str:
    """What a row says of a source that makes no slip, for the editor's note; empty where it makes one."""
    label, quotation, date = (values.get(key, "").strip() for key in ("source", "quotation", "date"))
    if label and (quotation or date):
        return ""
    told = (
        ("Source", label),
        ("Quotation", quotation),
        ("Date", date),
        ("Page", values.get("page", "").strip()),
    )
    said = "; ".join(f"{what}: {text}" for what, text in told if text)
    return f"{said} (row {row} of {table})" if said else ""


def made_source(label: str, table: str) -> Source:
    """The source that a label makes where there is none of it: nothing more is known of it."""
    label = " ".join(label.split())
    return Source("", label, SourceKind.OTHER, label, note=f"Named in {table}; nothing more is known of it.")


def edtf_of(text: str) -> str:
    """A date as EDTF: as it stands where it is that, else read from `12 May 1889` or `31.5.1889`.

    Empty where it cannot be read without a guess: `4/5/1889` may be April or May.
    """
    text = " ".join(text.split())
    try:
        dates.parse(text)
    except BadInput:
        found = _spelt(text) or _in_figures(text)
        return found if found and _is_date(found) else ""
    return text


def _spelt(text: str) -> str:
    found = _DAY_MONTH_YEAR.fullmatch(text)
    month = _MONTHS.get(found[2].lower(), 0) if found else 0
    if found is None or not month:
        return ""
    return f"{found[3]}-{month:02}" + (f"-{int(found[1]):02}" if found[1] else "")


def _in_figures(text: str) -> str:
    found = _FIGURES.fullmatch(text)
    if found is None:
        return ""
    day, month = int(found[1]), int(found[2])
    if month > 12:
        day, month = month, day
    elif day <= 12 and day != month:
        return ""
    return f"{found[3]}-{month:02}-{day:02}"


def _is_date(text: str) -> bool:
    try:
        dates.parse(text)
    except BadInput:
        return False
    return True


def _printed(name: str, quotation: str) -> str:
    """How a quotation prints a name, whatever its capitals and spaces; empty where it does not hold it."""
    words = r"\s+".join(re.escape(word) for word in name.split())
    found = re.search(rf"(?<!\w){words}(?!\w)", quotation, re.IGNORECASE) if words else None
    return " ".join(found[0].split()) if found else ""


def _read(kind: type[Closed], values: Mapping[str, str], key: str, place: Place) -> Closed | None:
    try:
        return one_of(kind, values.get(key, ""))
    except BadInput as error:
        raise BadInput(error.what, where=place(key), mend=error.mend) from error


def _checked(take: Callable[[T], T], record: T, where: str) -> T:
    try:
        return take(record)
    except BadInput as error:
        raise BadInput(error.what, where=where, mend=error.mend) from error
