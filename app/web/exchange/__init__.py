"""Importing files: upload a file, see what it would change, choose, and import it in one act.

A file is checked first; uploads are kept for some days (module `shelf`); nothing from a file is in the record
before it is imported. `bringing` receives the file and determines its type from its name; `tbx`, `tables` and
`works` (sources from reference managers) continue from there.
"""

from app.web.exchange import bringing, tables, tbx, works
from app.web.exchange.section import blueprint

__all__ = ["blueprint", "bringing", "tables", "tbx", "works"]
