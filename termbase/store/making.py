"""Creating a database: after a failure, an interruption or a power cut, either all of it exists or nothing.

SQLite: a temporary file is renamed only when it is complete. PostgreSQL: tables and rows are created in one
transaction.
"""

import os
import re
import sqlite3
import uuid
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, func, inspect, select
from sqlalchemy.exc import DatabaseError

from termbase.errors import BadInput
from termbase.messages import message
from termbase.store.databases import ACT_LOCK, check_keys, engine_at, file_of, unusable

__all__ = ["building", "new_file"]

_SUFFIXES: Final = ("", "-journal", "-wal", "-shm")
_MOST_NAMED: Final = 8  # tables named in a message
_TABLES_OF_SQLITE: Final = (
    "SELECT name FROM sqlite_master WHERE type IN ('table', 'view') AND name NOT LIKE 'sqlite~_%' ESCAPE '~'"
)


@contextmanager
def building(place: str) -> Iterator[Connection]:
    """Yield an empty database to write to; it becomes the one at `place` if the block ends without an error.

    Args:
        place: path or URL. A database that already has tables, of any program, is rejected and not changed.

    Raises:
        BadInput: the place is taken or cannot be used; or the written data is inconsistent.
    """
    path = file_of(place)
    if path is None:
        with _in_one_transaction(place) as connection:
            yield connection
        return
    with new_file(path, place) as unfinished:
        with _in_one_transaction(str(unfinished), place) as connection:
            yield connection
        _close_journal(unfinished)


@contextmanager
def new_file(path: Path, place: str) -> Iterator[Path]:
    """Yield a temporary path beside `path` to write a SQLite file to; renamed at the end, or removed on an
    error.

    Args:
        path: final path of the file.
        place: the path as the user gave it, for messages.

    Raises:
        BadInput: something is already there.
    """
    path = path.resolve()
    _reject_taken(path, place)
    path.parent.mkdir(parents=True, exist_ok=True)
    _clear_leftovers(path)
    unfinished = path.with_name(f".{path.name}.{uuid.uuid4().hex}.unfinished")
    try:
        yield unfinished
        _put_in_place(unfinished, path, place)
    finally:
        _remove(unfinished)


@contextmanager
def _in_one_transaction(place: str, shown_as: str = "") -> Iterator[Connection]:
    engine = engine_at(place, foreign_keys=False, shown_as=shown_as)
    try:
        with engine.connect() as connection:
            writing = connection.execution_options(wordhold_writes=True)
            with writing.begin():
                _reject_tables(writing, shown_as or place)
                yield writing
                check_keys(writing)
    except DatabaseError as error:
        raise unusable(shown_as or place) from error
    finally:
        engine.dispose()


def _reject_tables(connection: Connection, place: str) -> None:
    if connection.dialect.name == "postgresql":  # one at a time: the second sees what the first created
        connection.execute(select(func.pg_advisory_xact_lock(ACT_LOCK)))
    inspector = inspect(connection)
    _reject([*inspector.get_table_names(), *inspector.get_view_names()], place)


def _reject(tables: list[str], place: str) -> None:
    if {"termbase", "alembic_version"} <= set(tables):
        raise BadInput(
            message("This database already contains a termbase."),
            where=place,
            fix=message("Open it instead."),
        )
    if tables:
        named = sorted(tables)[:_MOST_NAMED] + (["…"] if len(tables) > _MOST_NAMED else [])
        raise BadInput(
            message("This database already contains tables: %(tables)s.", tables=", ".join(named)),
            where=place,
            fix=message("Nothing has been changed. Choose a database without tables."),
        )


def _reject_taken(path: Path, place: str) -> None:
    """Raise an error if the file exists, or if SQLite would replay a leftover log into a new one."""
    if not path.exists() or (path.is_file() and not path.stat().st_size):
        for journal in (Path(f"{path}-wal"), Path(f"{path}-journal")):
            if journal.exists() and journal.stat().st_size:
                raise BadInput(
                    message("It is left over from a database that was deleted or moved."),
                    where=str(journal),
                    fix=message("Move it to where the database is, or delete it, and try again."),
                )
        return
    _reject(_tables_of(path), place)
    raise BadInput(
        message("This file already exists."), where=place, fix=message("Choose another name, or open it.")
    )


def _tables_of(path: Path) -> list[str]:
    """Return the names of the tables and views of a SQLite file; empty if it is not one."""
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as connection:
            return [row[0] for row in connection.execute(_TABLES_OF_SQLITE)]
    except sqlite3.Error:
        return []


def _close_journal(path: Path) -> None:
    """Let others read the finished file during writes; SQLite stores this setting in the file."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA journal_mode=WAL")


def _put_in_place(unfinished: Path, path: Path, place: str) -> None:
    """Give the finished file its name. A file that somebody else put there in the meantime is not
    overwritten."""
    try:
        os.link(unfinished, path)  # unlike a rename, fails if something is there
    except OSError:  # it is taken, or this file system has no links
        _reject_taken(path, place)
        unfinished.replace(path)
    _sync(path.parent)


def _sync(folder: Path) -> None:
    """Make the names in a folder survive a power cut, if the system supports that."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _remove(unfinished: Path) -> None:
    for suffix in _SUFFIXES:
        Path(f"{unfinished}{suffix}").unlink(missing_ok=True)


def _clear_leftovers(path: Path) -> None:
    """Remove what an earlier run for the same place left behind when it was killed."""
    pattern = re.compile(re.escape(f".{path.name}.") + r"[0-9a-f]{32}\.unfinished")
    with suppress(PermissionError):  # a folder that cannot be listed can still be written to
        for leftover in list(path.parent.iterdir()):
            if pattern.fullmatch(leftover.name) and not _in_work(leftover):
                _remove(leftover)


def _in_work(unfinished: Path) -> bool:
    """Return whether another run is writing it now; a run holds the lock from start to end."""
    if unfinished.stat().st_nlink > 1:  # it already has its final name
        return False
    try:
        with closing(sqlite3.connect(unfinished, timeout=0, isolation_level=None)) as connection:
            connection.execute("BEGIN IMMEDIATE")
            connection.execute("ROLLBACK")
    except sqlite3.OperationalError:
        return True
    except sqlite3.Error:
        return False
    return False
