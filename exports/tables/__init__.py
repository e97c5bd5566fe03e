"""Tables for spreadsheets, as CSV and XLSX: lists as they stand on a screen, and the entries, out and in.

Out: `columns` (what a table can hold), `writing`. In: `sheets` (rows of a file), `mapping` (which column is
which field), `cells` (what a cell says), `planning` (what is new, the same, changed; then all or nothing).
"""

from exports.tables.columns import Column, columns_of_entries, columns_of_names
from exports.tables.mapping import FIELDS, Mapping, guess, mapped, remapped
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
    "columns_of_entries",
    "columns_of_names",
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
