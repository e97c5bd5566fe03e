"""Taking in what was made elsewhere: bring a file, see what it would change, choose, take it in as one act.

A file is looked through first; what was brought is kept for some days (`shelf`); nothing of it is in the
record before it is taken. `bringing` takes the file and tells what it
is by its name; `tbx`, `tables` and `works` (sources from programs that keep references) go on from there.
"""

from app.web.exchange import bringing, tables, tbx, works
from app.web.exchange.section import blueprint

__all__ = ["blueprint", "bringing", "tables", "tbx", "works"]
