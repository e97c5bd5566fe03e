"""Importing files: upload a file, see what it would change, choose, and import it in one act.

A file is checked first; uploads are kept for some days (module `shelf`); nothing from a file is in the record
before it is imported. `bringing` receives the file and determines its type from its name; `tbx`, `tables` and
`works` (sources from reference managers) continue from there.
"""

from app.web.importing import citations, start, tables, tbx
from app.web.importing.choosing import blueprint

__all__ = ["blueprint", "citations", "start", "tables", "tbx"]
