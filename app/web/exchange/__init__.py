"""Taking in what was made elsewhere: bring a file, see what it would change, choose, take it in as one act.

A file is looked through first; what was brought is kept beside the program for as long as it runs, the
newest few; nothing of it is in the termbase before it is taken. `bringing` takes the file and tells what it
is by its name; `tbx`, `tables` and `works` (sources from programs that keep references) go on from there.
"""

from flask import Flask

from app.web.exchange import bringing, tables, tbx, works
from app.web.exchange.section import blueprint
from app.web.exchange.shelf import Shelf

__all__ = ["blueprint", "bringing", "init_app", "tables", "tbx", "works"]


def init_app(app: Flask) -> None:
    """Give the app its shelf."""
    app.extensions["wordhold_brought"] = Shelf()
    app.register_blueprint(blueprint)
