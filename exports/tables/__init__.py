"""Tables for spreadsheets, as CSV and XLSX: lists as shown on screen, and the entries, exported and imported.

Both ways: `fields` (which fields have a column), `cells` (a field as one text and back). Export: `columns`
(what a table can contain), `writing`. Import: `sheets` (rows of a file), `mapping` (which column is which
field), `planning` (what is new, the same or changed; then all or nothing).
"""
