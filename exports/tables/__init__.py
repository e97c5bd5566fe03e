"""Tables for spreadsheets, as CSV and XLSX: lists as shown on screen, and the entries, exported and imported.

Shared: `fields` (which fields have a column), `cells` (a field as one text and back). Export: `columns` (what
a table can contain), `writing`. Import: `detecting` and `reading` (the rows of a file), `mapping` (the field
of each column), `asking` (what a person must decide), `rows` and `quoting` (what a row changes), `importing`.
"""
