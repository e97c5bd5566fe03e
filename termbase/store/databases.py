"""Databases by path or URL: the file of a SQLite database, and engines configured for a termbase."""

import sqlite3
from pathlib import Path

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError

from termbase.errors import BadInput
from termbase.messages import message
from termbase.store.faults import explain

__all__ = ["ACT_LOCK", "check_keys", "engine_at", "file_of", "prepare_sqlite", "shown", "unusable"]

ACT_LOCK = 0x776F7264
"""Key of the advisory lock that an act holds on PostgreSQL until it ends."""


def file_of(place: str) -> Path | None:
    """Return the file of a SQLite database, given as a path or as `sqlite:///PATH`; None for anything else.

    Raises:
        BadInput: the URL cannot be read.
    """
    if "://" not in place:
        return Path(place).expanduser()
    url = _url(place)
    name = url.database or ""
    plain = not url.query and not name.startswith("file:")
    if url.get_backend_name() == "sqlite" and plain and name not in ("", ":memory:"):
        return Path(name)
    return None


def shown(place: str) -> str:
    """Return a place in a form that is safe to show: a URL without its password."""
    return place if "://" not in place else make_url(place).render_as_string()


def engine_at(
    place: str, *, foreign_keys: bool = True, file_url: URL | None = None, shown_as: str = ""
) -> Engine:
    """Return an engine for the database at a path or URL; nothing is opened yet. Its errors are explained.

    Args:
        place: a path, or a database URL.
        shown_as: the name for the place in messages, if different.
        file_url: how SQLite should open the file; without it, SQLite creates a missing file.
        foreign_keys: on SQLite, whether each statement is checked against the foreign keys. While tables are
            created or changed, the check is off and done at the end: SQLite deletes the rows of a table
            before it drops it, and with them the rows that depend on them (SQLite, ALTER TABLE, section 7).

    Raises:
        BadInput: the URL cannot be read, or there is no driver for it.
    """
    try:
        if file_url is not None:
            url = file_url
        elif "://" not in place:
            url = make_url(f"sqlite:///{Path(place).expanduser().resolve()}")
        else:
            url = _url(place)
        engine = create_engine(url)
    except (ArgumentError, NoSuchModuleError, ModuleNotFoundError) as error:
        raise _not_understood(place, error) from error
    path = file_of(place)
    event.listen(engine, "handle_error", lambda problem: explain(problem, shown(shown_as or place), path))
    if file_url is None and engine.dialect.name == "sqlite":
        prepare_sqlite(engine, foreign_keys=foreign_keys)
    return engine


def unusable(place: str) -> BadInput:
    """Return the error for a database that cannot be used at all."""
    return BadInput(
        message("The database cannot be used."),
        where=shown(place),
        fix=message("Check the path or the database URL."),
    )


def check_keys(connection: Connection) -> None:
    """Check that all foreign keys have a target, on SQLite, where this was not checked row by row.

    Raises:
        BadInput: a key has none.
    """
    if connection.dialect.name == "sqlite":
        broken = connection.execute(text("PRAGMA foreign_key_check")).first()
        if broken is not None:
            raise BadInput(
                message("It is inconsistent: something in it refers to a record that does not exist."),
                where=str(broken[0]),
                fix=message("Nothing has been changed. Use another copy."),
            )


def _url(place: str) -> URL:
    try:
        url = make_url(place)
    except ArgumentError as error:
        raise _not_understood(place, error) from error
    if url.drivername in ("postgresql", "postgres"):
        url = url.set(drivername="postgresql+psycopg")
    return url


def _not_understood(place: str, error: Exception) -> BadInput:
    return BadInput(
        message("The database URL is not valid: %(error)s.", error=str(error)),
        where=place,
        fix=message("Use a file path, or postgresql://user@host/name (and install the postgres extra)."),
    )


def prepare_sqlite(engine: Engine, *, foreign_keys: bool) -> None:
    """Set up each connection; an act takes its lock when it starts."""
    keys = "ON" if foreign_keys else "OFF"

    @event.listens_for(engine, "connect")
    def on_connect(raw: sqlite3.Connection, _: object) -> None:
        # FULL: in WAL mode NORMAL can lose the last acts in a power cut (SQLite, PRAGMA synchronous)
        raw.isolation_level = None  # transactions are started below, not by the driver
        for pragma in (f"foreign_keys={keys}", "busy_timeout=10000", "synchronous=FULL"):
            raw.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def on_begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("wordhold_writes")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
