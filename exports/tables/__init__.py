"""Tables for spreadsheets, as CSV and XLSX: lists as shown on screen, and the entries, exported and imported.

Both ways: `fields` (which fields have a column), `cells` (a field as one text and back). Export: `columns`
(what a table can contain), `writing`. Import: `sheets` (rows of a file), `mapping` (which column is which
field), `planning` (what is new, the same or changed; then all or nothing).
"""

from exports.tables.columns import Column, columns_of, columns_of_entries, columns_of_names, columns_of_slips
from exports.tables.fields import FIELDS
from exports.tables.mapping import Mapping, guess, mapped, remapped
from exports.tables.planning import PlannedEntry, TablePlan, plan_table, take_in_table
from exports.tables.sheets import Sheet, read_csv, read_xlsx, sheet_titles
from exports.tables.writing import write_table

__all__ = [
    "FIELDS",
    "Column",
    "Mapping",
    "PlannedEntry",
    "Sheet",
    "TablePlan",
    "columns_of",
    "columns_of_entries",
    "columns_of_names",
    "columns_of_slips",
    "guess",
    "mapped",
    "plan_table",
    "read_csv",
    "read_xlsx",
    "remapped",
    "sheet_titles",
    "take_in_table",
    "write_table",
]
