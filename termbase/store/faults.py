"""Explains database failures: a driver's error becomes one of `termbase.errors`.

SQLite's result codes are from https://www.sqlite.org/rescode.html, PostgreSQL's from appendix A of its manual
("PostgreSQL Error Codes").
"""

import re
import shutil
import sqlite3
from pathlib import Path
from typing import Final

from sqlalchemy.engine import ExceptionContext

from termbase.errors import BadInput, Damaged, ReadOnly, StorageFull, Unavailable, WordholdError
from termbase.messages import message

__all__ = ["damaged", "explain", "in_use", "missing_row", "missing_table", "storage_full", "unreadable_part"]

ROOM_NEEDED: Final = 1024 * 1024
"""Free bytes below which a failed write is reported as a full disk."""

_NO_TABLE = re.compile(r"no such table: (?:\w+\.)?(\w+)|relation \"(\w+)\" does not exist")
_LOST = ("08", "57P", "53")
"""Classes of PostgreSQL errors: connection lost, server stopping, too few resources."""


def explain(problem: ExceptionContext, name: str, path: Path | None) -> WordholdError | None:
    """Return our error for a driver's error; None if it does not concern the database.

    Args:
        problem: as SQLAlchemy passes it (event `handle_error`).
        name: name of the database for messages.
        path: its file; None for a server.
    """
    error = problem.original_exception
    if isinstance(error, sqlite3.Error):
        return _of_sqlite(error, name, path)
    if "NUL (0x00)" in str(error):  # PostgreSQL's driver rejects NUL, even in a search
        return BadInput(
            message("The text contains invalid characters (NUL or half a character)."),
            fix=message("Paste it again from the original, or save the file as UTF-8."),
        )
    state = getattr(error, "sqlstate", None)
    if state == "53100":
        return storage_full(name)
    if state in ("25006", "42501"):
        return ReadOnly(
            message("The database server does not let this user write."),
            where=name,
            fix=message("Use a database user with write permission, or ask the server administrator."),
        )
    if state in ("42P01", "42703", "XX001", "XX002"):
        return _of_text(str(error), name)
    if problem.is_disconnect or (state or "").startswith(_LOST) or _is_connecting(problem):
        return Unavailable(
            message("The database cannot be reached: %(error)s.", error=_first_line(error)),
            where=name,
            fix=message("Check the database URL, and that the server is running. Nothing was saved."),
        )
    return None


def damaged(what: str, name: str) -> Damaged:
    """Return the error for a database in which something is broken or missing."""
    return Damaged(
        what,
        where=name,
        fix=message(
            "Keep a copy of it as it is. Then run: wordhold repair. If that does not help, restore the newest"
            " backup: wordhold restore BACKUP.zip --db NEW"
        ),
    )


def in_use(name: str) -> Unavailable:
    """Return the error for a database that another program has locked."""
    return Unavailable(
        message("Another program is writing to the database and has not finished."),
        where=name,
        fix=message("Wait a moment and try again. Nothing was saved."),
    )


def missing_table(table: str, name: str) -> Damaged:
    """Return the error for a database without one of our tables."""
    return damaged(message("The database is damaged: the table “%(table)s” is missing.", table=table), name)


def unreadable_part(name: str) -> Damaged:
    """Return the error for a SQLite file of which a part cannot be read."""
    return damaged(message("The database file is damaged: SQLite cannot read a part of it."), name)


def missing_row(table: str, record_id: str) -> Damaged:
    """Return the error for a missing row that others refer to."""
    return damaged(
        message(
            "The database is damaged: row %(id)s of the table “%(table)s” is missing.",
            id=record_id,
            table=table,
        ),
        record_id,
    )


def storage_full(name: str) -> StorageFull:
    """Return the error for a full disk."""
    return StorageFull(
        message("The disk is full."),
        where=name,
        fix=message("Free some disk space and save again. Nothing was changed."),
    )


def _of_sqlite(error: sqlite3.Error, name: str, path: Path | None) -> WordholdError | None:
    code = getattr(error, "sqlite_errorcode", 0)
    match code & 0xFF:
        case sqlite3.SQLITE_FULL:
            return storage_full(name)
        case sqlite3.SQLITE_CORRUPT:
            return unreadable_part(name)
        case sqlite3.SQLITE_NOTADB:
            return damaged(
                message("The file is not a database, or the beginning of the file is damaged."), name
            )
        case sqlite3.SQLITE_READONLY:
            return ReadOnly(
                message("The termbase is read-only: its file or folder is write-protected."),
                where=name,
                fix=message("Copy the file to a folder where you can write, and open the copy."),
            )
        case sqlite3.SQLITE_BUSY | sqlite3.SQLITE_LOCKED:
            return in_use(name)
        case sqlite3.SQLITE_IOERR | sqlite3.SQLITE_CANTOPEN:
            return _unreadable(error, name, path)
        case sqlite3.SQLITE_ERROR | 0:  # 0: an error of the driver, not of SQLite
            return _of_text(str(error), name)
    return None


def _unreadable(error: sqlite3.Error, name: str, path: Path | None) -> WordholdError:
    try:
        if path is not None and shutil.disk_usage(path.parent).free < ROOM_NEEDED:
            return storage_full(name)
    except OSError:
        pass  # the folder is gone; the message below gives SQLite's error
    return Unavailable(
        message("The database file cannot be used: %(error)s.", error=_first_line(error)),
        where=name,
        fix=message("Check the path, the permissions and the disk. Nothing was saved."),
    )


def _of_text(text: str, name: str) -> Damaged | None:
    match = _NO_TABLE.search(text)
    if match:
        return missing_table(match[1] or match[2], name)
    if "Could not decode to UTF-8" in text:
        return unreadable_part(name)
    if "no such column" in text or "does not exist" in text or "invalid page" in text:
        return damaged(message("The database is damaged: %(error)s.", error=text.splitlines()[0]), name)
    return None


def _is_connecting(problem: ExceptionContext) -> bool:
    return problem.connection is None and type(problem.original_exception).__name__ == "OperationalError"


def _first_line(error: BaseException) -> str:
    return (str(error).splitlines() or [type(error).__name__])[0].rstrip(".")
