"""Taking a table in: what of it would be new, the same, changed; then all of it or nothing, in one act.

Rows that give the id of an entry here change that entry. Rows that give any other text in that column, the
same for several rows, make one new entry, under an id of its own: ids are never taken from a table. A row
without one is an entry by itself. Of a known entry only what the table has columns for changes, an empty cell
empties its field, and a name that the table does not mention stays.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Final

from exports.tables.applying import apply_row
from exports.tables.mapping import Mapping
from exports.tables.sheets import Row, Sheet
from termbase.acts import entries
from termbase.differences import Difference, differences
from termbase.entries import Entry
from termbase.errors import BadInput
from termbase.incoming import State
from termbase.intake import take_entry
from termbase.messages import joined, message
from termbase.rulefiles import BadRows
from termbase.store import Act, Reader
from termbase.store.reading import as_json

__all__ = ["PlannedEntry", "TablePlan", "plan_table", "take_in_table"]


@dataclass(frozen=True)
class PlannedEntry:
    """What would become of the rows of one entry.

    Attributes:
        state: new, same or changed.
        entry: as it would be stored (a new one has no id yet).
        rows: numbers of its rows.
        differences: what would change.
    """

    state: State
    entry: Entry
    rows: tuple[int, ...]
    differences: tuple[Difference, ...] = ()

    @property
    def name(self) -> str:
        """Its first name."""
        return self.entry.terms[0].text


@dataclass(frozen=True)
class TablePlan:
    """What taking a table in would do: the columns as they are understood, and the entries in its order."""

    columns: tuple[tuple[str, str], ...]
    entries: tuple[PlannedEntry, ...]

    def count(self, state: State) -> int:
        """How many entries are in a state."""
        return sum(1 for one in self.entries if one.state is state)


@dataclass
class _Group:
    """The rows of one entry."""

    rows: list[Row] = field(default_factory=list)
    before: Entry | None = None


Values = dict[str, str]
_OF_ENTRY: Final = ("topic", "usage_note", "editor_note")
_NEEDED: Final = message(
    "Map a column to `name` (one row for each name) or to `names:TAG` (one row for each concept)."
)


def plan_table(reader: Reader, sheet: Sheet, mapping: Mapping) -> TablePlan:
    """What taking a table in would do; nothing is written.

    Raises:
        BadInput: no column is a name.
        BadRows: rows that cannot be taken; every one is named with its line and column.
    """
    keys = mapping.columns
    if not any(key in ("name", "name_id", "entry") or key.startswith("names:") for key in keys):
        raise BadInput(message("No column of it is a name."), where=sheet.name, mend=_NEEDED)
    bad: list[BadInput] = []
    planned: list[PlannedEntry] = []
    for group in _groups(reader, sheet, mapping):
        try:
            planned.append(_planned(_applied(group, sheet, mapping), group, sheet, keys))
        except _BadCells as cells:
            bad.extend(cells.errors)
    if bad:
        raise BadRows(bad, where=sheet.name)
    return TablePlan(mapping.shown(sheet.head), tuple(planned))


def take_in_table(act: Act, plan: TablePlan) -> tuple[Entry, ...]:
    """Write what is new and what is changed; returns those as stored.

    Raises:
        Conflict: an entry was changed since it was looked at; nothing is written then.
    """
    return tuple(entries.save(act, one.entry) for one in plan.entries if one.state is not State.SAME)


class _BadCells(Exception):
    """Cells that cannot be taken."""

    def __init__(self, errors: list[BadInput]) -> None:
        super().__init__(errors)
        self.errors = errors


class _Place:
    """Says where the cell of a field is."""

    def __init__(self, sheet: Sheet, keys: tuple[str, ...], row: Row) -> None:
        self._sheet, self._keys, self._row = sheet, keys, row

    def __call__(self, key: str) -> str:
        index = self._keys.index(key) if key in self._keys else 0
        return self._sheet.place(self._row.number, index)


def _applied(group: _Group, sheet: Sheet, mapping: Mapping) -> Entry:
    """The entry as all its rows have it."""
    bad: list[BadInput] = []
    read: list[tuple[Row, Values]] = []
    for row in group.rows:
        try:
            read.append((row, _values(row, mapping, sheet)))
        except _BadCells as cells:
            bad.extend(cells.errors)
    bad.extend(_agreed(read, sheet, mapping.columns))
    entry = group.before or Entry(id="")
    for row, values in read:
        try:
            entry = apply_row(entry, values, _Place(sheet, mapping.columns, row))
        except BadInput as error:
            bad.append(error)
    if bad:
        raise _BadCells(bad)
    return entry


def _agreed(read: list[tuple[Row, Values]], sheet: Sheet, keys: tuple[str, ...]) -> Iterator[BadInput]:
    """What several rows say of their entry as a whole must be one thing; it may stand in one of them only."""
    for key in keys:
        if not (key in _OF_ENTRY or key.startswith("definition:")):
            continue
        said = [(row, values[key]) for row, values in read if values.get(key, "").strip()]
        for _, values in read:
            values[key] = said[0][1] if said else ""
        for row, text in said[1:]:
            if text != said[0][1]:
                first = sheet.place(said[0][0].number, keys.index(key))
                yield BadInput(
                    message(
                        "It is %(text)r here and %(other)r in %(first)s.",
                        text=text,
                        other=said[0][1],
                        first=first,
                    ),
                    where=sheet.place(row.number, keys.index(key)),
                    mend=message("One entry has one: write it alike in all its rows, or in the first only."),
                )


def _values(row: Row, mapping: Mapping, sheet: Sheet) -> Values:
    """The texts of a row by field: its cells, and the defaults where they are empty."""
    bad: list[BadInput] = []
    values: Values = {key: "" for key in mapping.columns if key}
    for index, cell in enumerate(row.cells):
        key = mapping.columns[index] if index < len(mapping.columns) else None
        if key is None and (isinstance(cell, BadInput) or cell.strip()):
            what = BadInput(
                message("The row has more cells than the heading."),
                mend=message("See its quotes and commas."),
            )
        elif key and isinstance(cell, BadInput):
            what = cell
        else:
            if key and isinstance(cell, str):
                values[key] = cell
            continue
        bad.append(BadInput(what.what, where=sheet.place(row.number, index), mend=what.mend))
    if bad:
        raise _BadCells(bad)
    for name, value in mapping.defaults:
        if not values.get(name, "").strip():
            values[name] = value
    return values


def _groups(reader: Reader, sheet: Sheet, mapping: Mapping) -> Iterable[_Group]:
    """The rows by entry, in the order in which each entry first comes."""
    column = mapping.columns.index("entry") if "entry" in mapping.columns else None
    groups: dict[tuple[str, int], _Group] = {}
    for row in sheet.rows:
        cell = row.cells[column] if column is not None and column < len(row.cells) else ""
        name = cell.strip() if isinstance(cell, str) else ""
        groups.setdefault((name, 0 if name else row.number), _Group()).rows.append(row)
    known = reader.many(Entry, (name for name, _ in groups if name))
    for (name, _), group in groups.items():
        group.before = known.get(name)
    return groups.values()


def _planned(entry: Entry, group: _Group, sheet: Sheet, keys: tuple[str, ...]) -> PlannedEntry:
    rows = tuple(row.number for row in group.rows)
    try:
        taken = take_entry(entry)
    except BadInput as error:
        place = joined((_Place(sheet, keys, group.rows[0])("name"), error.where), ", ")
        raise _BadCells([BadInput(error.what, where=place, mend=error.mend)]) from error
    if group.before is None:
        return PlannedEntry(State.NEW, taken, rows)
    if taken == take_entry(group.before):
        return PlannedEntry(State.SAME, group.before, rows)
    return PlannedEntry(State.CHANGED, taken, rows, differences(as_json(group.before), as_json(taken)))
