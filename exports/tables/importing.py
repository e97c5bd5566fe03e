"""Importing a table: what would be new, the same or changed; then all of it or nothing, in one act.

Rows with the id of an existing entry change that entry. Rows with the same other text in that column create
one new entry under a new id: ids are never taken from a table. A row without such a text is a separate entry.
A row that names a source creates slips (`quoting`). In an existing entry only fields with a column change; an
empty cell empties its field, and names that the table does not mention are kept.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Final

from exports.tables.asking import open_questions, row_slips, several_of
from exports.tables.cells import from_cell
from exports.tables.fields import SAYS_WHICH, field_at, table_fields
from exports.tables.mapping import WITNESSED, Mapping
from exports.tables.quoting import PlannedSlip, add_slip, known_sources, new_slips, notes_of
from exports.tables.reading import Row, Sheet
from exports.tables.rows import apply_row
from termbase.acts import entries
from termbase.errors import BadInput, ReportedAt
from termbase.fields.declarations import field_of
from termbase.importing.records import State
from termbase.messages import joined, message
from termbase.record.differences import Difference, differences
from termbase.record.entries import Entry, Term
from termbase.record.validation import clean_entry
from termbase.rules.files import BadRows
from termbase.store.reading import Reader, as_json
from termbase.store.writing import Act

__all__ = ["PlannedEntry", "TablePlan", "import_table", "plan_table"]


@dataclass(frozen=True)
class PlannedEntry:
    """What would happen to the entry of some rows.

    Attributes:
        state: new, same or changed.
        entry: as it would be stored (a new one has no id yet).
        rows: numbers of its rows.
        differences: what would change.
        slips: the slips that its rows would create.
    """

    state: State
    entry: Entry
    rows: tuple[int, ...]
    differences: tuple[Difference, ...] = ()
    slips: tuple[PlannedSlip, ...] = ()

    @property
    def name(self) -> str:
        """Its first name."""
        return self.entry.terms[0].text


@dataclass(frozen=True)
class TablePlan:
    """What importing a table would do: the interpreted columns, and the entries in their order.

    `table` is the name of the file; `new_sources` are the labels of the sources that its slips would create.
    """

    columns: tuple[tuple[str, str], ...]
    entries: tuple[PlannedEntry, ...]
    table: str = ""
    new_sources: tuple[str, ...] = ()

    @property
    def slips(self) -> int:
        """How many slips it would create."""
        return sum(len(entry.slips) for entry in self.entries)

    def count(self, state: State) -> int:
        """Return how many entries are in a state."""
        return sum(1 for entry in self.entries if entry.state is state)


@dataclass
class _Group:
    """The rows of one entry."""

    rows: list[Row] = field(default_factory=list)
    before: Entry | None = None


Values = dict[str, str]
_OF_ENTRY: Final = frozenset(field.column for field in table_fields(Entry))
_NEEDED: Final = message("Map a column to `name` (one row per name) or to `names:TAG` (one row per concept).")


def plan_table(reader: Reader, sheet: Sheet, mapping: Mapping) -> TablePlan:
    """Return what importing a table would do; nothing is written.

    Raises:
        BadInput: no column contains names, or a question must be answered first (see `open_questions`).
        BadRows: some rows are not valid; each is listed with its line and column.
    """
    keys = mapping.columns
    if not any(key in ("name", "name_id", "entry") or key.startswith("names:") for key in keys):
        raise BadInput(message("No column contains names."), where=sheet.name, fix=_NEEDED)
    _check_defaults(mapping)
    for question in open_questions(sheet, mapping):
        raise question.error(sheet)
    bad: list[BadInput] = []
    planned: list[PlannedEntry] = []
    sources = known_sources(reader)
    for group in _groups(reader, sheet, mapping):
        try:
            entry, slips, rows = _applied(group, sheet, mapping)
            place = partial(_place_of, entry, group.rows[0], rows, sheet, keys)
            planned.append(_planned(reader, entry, slips, sources, group, place))
        except _BadCells as cells:
            bad.extend(cells.errors)
    if bad:
        raise BadRows(bad, where=sheet.name)
    labels = dict.fromkeys(slip.source for each in planned for slip in each.slips)
    new = tuple({label.casefold(): label for label in labels if label.casefold() not in sources}.values())
    return TablePlan(mapping.shown(sheet.head), tuple(planned), sheet.name, new)


def import_table(act: Act, plan: TablePlan) -> tuple[Entry, ...]:
    """Write the new and changed entries; return them as stored.

    Raises:
        Conflict: an entry was changed since the preview; nothing is written then.
    """
    sources = known_sources(act)
    stored: list[Entry] = []
    for planned in plan.entries:
        if planned.state is State.SAME:
            continue
        unchanged = bool(planned.entry.id) and not planned.differences
        entry = act.get(Entry, planned.entry.id) if unchanged else entries.save(act, planned.entry)
        for slip in planned.slips:
            add_slip(act, entry, slip, sources, plan.table)
        stored.append(entry)
    return tuple(stored)


def _check_defaults(mapping: Mapping) -> None:
    """Validate the defaults once, since no cell contains them.

    Raises:
        BadInput: one is not valid.
    """
    for key, value in mapping.defaults:
        if key == WITNESSED or key in SAYS_WHICH or ":" in key:
            continue
        with ReportedAt(joined((message("for all rows"), message(field_at(key).heading)), ", ")):
            from_cell(field_at(key), value)


class _BadCells(Exception):
    """Cells that are not valid."""

    def __init__(self, errors: list[BadInput]) -> None:
        super().__init__(errors)
        self.errors = errors


class _Place:
    """Returns where the cell of a field is."""

    def __init__(self, sheet: Sheet, keys: tuple[str, ...], row: Row) -> None:
        self._sheet, self._keys, self._row = sheet, keys, row

    def __call__(self, key: str) -> str:
        index = self._keys.index(key) if key in self._keys else 0
        return self._sheet.place(self._row.number, index)


def _applied(
    group: _Group, sheet: Sheet, mapping: Mapping
) -> tuple[Entry, list[PlannedSlip], dict[int, Row]]:
    """Return the entry with all its rows applied, the slips that they create, and the row of each of its
    names."""
    bad: list[BadInput] = []
    read: list[tuple[Row, Values]] = []
    for row in group.rows:
        try:
            read.append((row, _values(row, mapping, sheet)))
        except _BadCells as cells:
            bad.extend(cells.errors)
    bad.extend(_agreed(read, sheet, mapping.columns))
    entry = group.before or Entry(id="")
    slips: list[PlannedSlip] = []
    several = several_of(mapping)
    rows: dict[int, Row] = {}
    for row, values in read:
        place = _Place(sheet, mapping.columns, row)
        try:
            before, entry = entry, apply_row(entry, values, place, several)
            was = dict(enumerate(before.terms))
            rows |= {n: row for n, term in enumerate(entry.terms) if term is not was.get(n)}
            slips += row_slips(values, mapping, row.number, sheet.name, place)
        except BadInput as error:
            bad.append(error)
            continue
        note = notes_of(values, row.number, sheet.name)
        if note and note not in entry.editor_note:
            entry = replace(entry, editor_note="\n".join(filter(None, (entry.editor_note, note))))
    if bad:
        raise _BadCells(bad)
    return entry, slips, rows


def _place_of(
    entry: Entry, first: Row, rows: dict[int, Row], sheet: Sheet, keys: tuple[str, ...], error: BadInput
) -> str:
    """Return the cell that caused an error of an entry: the row of its name, the column of its field."""
    row, wanted = first, [field_of(Term, "text").column]
    match error.path:
        case ("terms", int(number), str(name)):
            row = rows.get(number, first)
            wanted = [field_of(Term, name).column]
            if number < len(entry.terms):
                wanted.append(f"names:{entry.terms[number].language}")
        case ("definitions", int(number), str()) if number < len(entry.definitions):
            wanted = [f"definition:{entry.definitions[number].language}"]
        case (str(name),):
            wanted = [field_of(Entry, name).column]
    key = next((key for key in wanted if key in keys), None)
    if key is not None and error.path:
        return sheet.place(row.number, keys.index(key))
    return joined((_Place(sheet, keys, row)(field_of(Term, "text").column), error.where), ", ")


def _agreed(read: list[tuple[Row, Values]], sheet: Sheet, keys: tuple[str, ...]) -> Iterator[BadInput]:
    """Check that rows of the same entry agree on values for the whole entry; a value may be given in
    only one of them."""
    for key in keys:
        if not (key in _OF_ENTRY or key.startswith("definition:")):
            continue
        given = [(row, values[key]) for row, values in read if values.get(key, "").strip()]
        for _, values in read:
            values[key] = given[0][1] if given else ""
        for row, text in given[1:]:
            if text != given[0][1]:
                first = sheet.place(given[0][0].number, keys.index(key))
                yield BadInput(
                    message(
                        "It is %(text)r here and %(other)r in %(first)s.",
                        text=text,
                        other=given[0][1],
                        first=first,
                    ),
                    where=sheet.place(row.number, keys.index(key)),
                    fix=message(
                        "An entry has only one value here: write the same in all its rows, or only "
                        "in the first."
                    ),
                )


def _values(row: Row, mapping: Mapping, sheet: Sheet) -> Values:
    """Return the texts of a row by field: its cells, or the defaults if they are empty."""
    bad: list[BadInput] = []
    values: Values = {key: "" for key in mapping.columns if key}
    for index, cell in enumerate(row.cells):
        key = mapping.columns[index] if index < len(mapping.columns) else None
        if key is None and (isinstance(cell, BadInput) or cell.strip()):
            what = BadInput(
                message("The row has more cells than the heading row."),
                fix=message("Check its quotation marks and commas."),
            )
        elif key and isinstance(cell, BadInput):
            what = cell
        else:
            if key and isinstance(cell, str):
                values[key] = cell
            continue
        bad.append(BadInput(what.what, where=sheet.place(row.number, index), fix=what.fix))
    if bad:
        raise _BadCells(bad)
    for name, value in mapping.defaults:
        if not values.get(name, "").strip():
            values[name] = value
    return values


def _groups(reader: Reader, sheet: Sheet, mapping: Mapping) -> Iterable[_Group]:
    """Return the rows by entry, in the order in which each entry first occurs."""
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


def _planned(
    reader: Reader,
    entry: Entry,
    slips: list[PlannedSlip],
    sources: dict[str, str],
    group: _Group,
    place: Callable[[BadInput], str],
) -> PlannedEntry:
    rows = tuple(row.number for row in group.rows)
    try:
        cleaned = clean_entry(entry)
    except BadInput as error:
        every = [BadInput(each.what, where=place(each), fix=each.fix) for each in error.every]
        raise _BadCells(every) from error
    if group.before is None:
        return PlannedEntry(State.NEW, cleaned, rows, slips=tuple(slips))
    new = new_slips(reader, group.before, slips, sources)
    if cleaned == clean_entry(group.before):
        state = State.CHANGED if new else State.SAME
        return PlannedEntry(state, group.before, rows, slips=new)
    changed = differences(as_json(group.before), as_json(cleaned), type(cleaned))
    return PlannedEntry(State.CHANGED, cleaned, rows, changed, new)
