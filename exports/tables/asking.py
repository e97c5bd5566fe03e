"""Questions that a person must answer before a table is imported.

Is a cell with commas one name or several, and which names of a row is its source a witness to?
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from exports.tables.cells import Place, has_commas, names_in_cell
from exports.tables.mapping import WITNESSED, Mapping
from exports.tables.quoting import Name, PlannedSlip, slips_of, witnessed_in
from exports.tables.reading import Row, Sheet
from exports.tables.rows import texts_in_cell
from termbase.errors import BadInput
from termbase.messages import message

__all__ = ["Question", "comma_columns", "open_questions", "row_slips", "several_of"]


@dataclass(frozen=True)
class Question:
    """A question that only a person can answer.

    Attributes:
        about: *split*: whether the cells of a column contain one name or several; *witnessed*: which names of
            a row its source is a witness to.
        column: the column's index.
        row: number of the first row that raises the question.
        example: the cell in that row.
    """

    about: Literal["split", "witnessed"]
    column: int
    row: int
    example: str

    def error(self, sheet: Sheet) -> BadInput:
        """Return the question as an error, for the command line."""
        where = sheet.place(self.row, self.column)
        title = sheet.head[self.column] or str(self.column + 1)
        if self.about == "split":
            return BadInput(
                message("“%(cell)s” could be one name or several.", cell=self.example),
                where=where,
                fix=message(
                    "Choose for the column: --one “%(title)s” or --several “%(title)s”.", title=title
                ),
            )
        return BadInput(
            message("The row has several names, and no quotation shows which of them the source uses."),
            where=where,
            fix=message(
                "Choose which names a source is a witness to: --default witnessed=all, =none, "
                "or the key of a column such as =names:cy."
            ),
        )


def comma_columns(sheet: Sheet, mapping: Mapping) -> dict[int, tuple[int, str]]:
    """Return the first row number and cell with commas or semicolons, by index of the name column.

    A table that we wrote has none: there only bars separate names.
    """
    if mapping.is_ours:
        return {}
    cells_by_column: dict[int, tuple[int, str]] = {}
    for n, key in enumerate(mapping.columns):
        if key != "name" and not key.startswith("names:"):
            continue
        cells = ((row.number, _cell(row, n)) for row in sheet.rows)
        first = next(((at, c) for at, c in cells if has_commas(c) and len(names_in_cell(c)) == 1), None)
        if first is not None:
            cells_by_column[n] = first
    return cells_by_column


def open_questions(sheet: Sheet, mapping: Mapping) -> Iterator[Question]:
    """Return the questions that nobody has answered yet, in the order of the columns."""
    unanswered = False
    for column, (number, cell) in comma_columns(sheet, mapping).items():
        if not mapping.split_of(column):
            unanswered = True
            yield Question("split", column, number, cell)
    if unanswered or not mapping.with_slips or dict(mapping.defaults).get(WITNESSED):
        return
    for row in sheet.rows:
        values = {key: _cell(row, n) for n, key in enumerate(mapping.columns) if key}
        for key, value in mapping.defaults:
            values[key] = values.get(key, "").strip() or value
        label, quotation = values.get("source", "").strip(), values.get("quotation", "").strip()
        if not label or not (quotation or values.get("date", "").strip()):
            continue
        names = [name for texts in _names_by_column(values, mapping).values() for name in texts]
        if len(names) > 1 and not witnessed_in(quotation, names, "", {}):
            column = mapping.columns.index("source") if "source" in mapping.columns else 0
            yield Question("witnessed", column, row.number, label)
            return


def row_slips(
    values: dict[str, str], mapping: Mapping, row: int, table: str, place: Place
) -> tuple[PlannedSlip, ...]:
    """Return the slips that a row creates; see `slips_of`.

    Raises:
        BadInput: a cell is not valid.
    """
    by_column = _names_by_column(values, mapping)
    names = list(dict.fromkeys(name for texts in by_column.values() for name in texts))
    asked = dict(mapping.defaults).get(WITNESSED, "")
    return slips_of(values, names, asked, by_column, row, table, place)


def several_of(mapping: Mapping) -> frozenset[str]:
    """Return the keys of the columns whose cells contain several names."""
    return frozenset(key for n, key in enumerate(mapping.columns) if mapping.split_of(n) == "several")


def _names_by_column(values: dict[str, str], mapping: Mapping) -> dict[str, list[Name]]:
    several = several_of(mapping)
    by_column: dict[str, list[Name]] = {}
    for key, cell in values.items():
        kind, _, tag = key.partition(":")
        if kind == "names":
            by_column[key] = [(text, tag) for text in texts_in_cell(cell, key in several)]
        elif key == "name" and cell.strip():
            language = values.get("language", "").strip()
            texts = texts_in_cell(cell, several=True) if key in several else (" ".join(cell.split()),)
            by_column[key] = [(text, language) for text in texts]
    return by_column


def _cell(row: Row, column: int) -> str:
    cell = row.cells[column] if column < len(row.cells) else ""
    return cell if isinstance(cell, str) else ""
