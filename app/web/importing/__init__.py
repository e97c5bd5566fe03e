"""Importing files: upload a file, see what it would change, choose, and import it in one act.

A file is checked first, and nothing from it enters the record before it is imported. Uploads are kept for
some days (`uploads`). `start` receives the file and determines its type from its name; `tbx`, `tables` and
`citations` (sources from reference managers) continue from there.
"""

from app.web.importing import citations, start, tables, tbx
from app.web.importing.choosing import blueprint

__all__ = ["blueprint", "citations", "start", "tables", "tbx"]
