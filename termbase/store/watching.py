"""Watches the open database of a termbase: whether it still exists, is still the same, and is writable.

SQLite never creates the file: otherwise a file deleted while a server is running would come back empty.
"""

import os
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, Engine, event, text
from sqlalchemy.engine import URL

from termbase.errors import ReadOnly, Unavailable
from termbase.messages import message
from termbase.store.databases import engine_at, file_of, prepare_sqlite, shown

__all__ = ["Database"]

SIDE_FILES = ("-wal", "-journal")
"""Files that SQLite keeps beside a database while it is in use; left behind if a program was killed."""

_NEWEST_ACT = text('SELECT id, at, "by" FROM act WHERE id = :known OR id = (SELECT max(id) FROM act)')

ActMark = tuple[int, str, str]
"""Number, time and person of an act: shows whether a database is the same as before."""


@dataclass
class Database:
    """The database of one termbase, with its last known state.

    Attributes:
        place: path or URL, as given.
        path: the file of a SQLite database; None for a server.
        read_only: the file or its folder cannot be written to; acts are rejected.
    """

    place: str
    path: Path | None
    read_only: bool = False
    _file: tuple[int, ...] | None = None
    _act: ActMark | None = None

    @classmethod
    def at(cls, place: str) -> "Database":
        """Return the database at a path or URL; nothing is opened yet.

        Raises:
            BadInput: the URL is not valid.
        """
        path = file_of(place)
        return cls(place, None if path is None else path.resolve())

    @property
    def name(self) -> str:
        """The place in a form that is safe to show: a URL without its password."""
        return shown(self.place)

    @property
    def exists(self) -> bool:
        """Return whether the file exists; always true for a server, which must be connected to first."""
        return self.path is None or self.path.exists()

    @property
    def was_left_open(self) -> bool:
        """Return whether SQLite's side files exist: another program is running, or one was killed."""
        return self.path is not None and any(
            side.exists() and side.stat().st_size for side in (Path(f"{self.path}{s}") for s in SIDE_FILES)
        )

    def engine(self, *, foreign_keys: bool = True) -> Engine:
        """Return an engine for it; `foreign_keys` as for `termbase.store.databases.engine_at`.

        Raises:
            BadInput: there is no driver for it.
        """
        if self.path is None:
            return engine_at(self.place, foreign_keys=foreign_keys)
        engine = engine_at(self.place, file_url=self._file_url(self.path))
        self._watch(engine, self.path)
        prepare_sqlite(engine, foreign_keys=foreign_keys)
        return engine

    def check(self) -> None:
        """Check that the file still exists and is the same.

        Raises:
            Unavailable: it was deleted or replaced.
        """
        if self.path is None:
            return
        identity = self._identity(self.path)
        if identity is None:
            raise _gone(self.name)
        if self._file is not None and identity != self._file:
            raise _replaced(self.name)

    def check_acts(self, connection: Connection) -> None:
        """Check that a database still contains the acts that it contained before, and remember the newest.

        Acts are never removed: if one is missing, this is another database, or an older copy.

        Raises:
            Unavailable: it was replaced.
        """
        known = self._act
        marks: list[ActMark] = [
            (row.id, row.at, row.by)
            for row in connection.execute(_NEWEST_ACT, {"known": known[0] if known else 0})
        ]
        if known is not None and known not in marks:
            raise _replaced(self.name)
        self._act = max(marks, default=None)

    def _watch(self, engine: Engine, path: Path) -> None:
        @event.listens_for(engine, "do_connect")
        def do_connect(*_: object) -> None:
            self.check()

        @event.listens_for(engine, "connect")
        def on_connect(*_: object) -> None:
            self._file = self._identity(path)

        @event.listens_for(engine, "begin")
        def on_begin(connection: Connection) -> None:
            if self.read_only and connection.get_execution_options().get("wordhold_writes"):
                raise ReadOnly(
                    message("The termbase is read-only: its file or folder is write-protected."),
                    where=self.name,
                    fix=message("Copy the file to a folder where you can write, and open the copy."),
                )
            self.check()

        @event.listens_for(engine, "commit")
        def on_commit(_: Connection) -> None:
            self.check()

    def _file_url(self, path: Path) -> URL:
        """Return the URL with which SQLite opens the file, which must exist.

        In a read-only place SQLite cannot create its side files. With `immutable` it needs none; it is not
        used if another program left a log of changes there, which must be read as well.
        """
        self.read_only = path.exists() and not (os.access(path, os.W_OK) and os.access(path.parent, os.W_OK))
        query = {"uri": "true", "mode": "ro" if self.read_only else "rw"}
        if self.read_only and not self.was_left_open:
            query["immutable"] = "1"
        return URL.create("sqlite", database=path.as_uri(), query=query)

    def _identity(self, path: Path) -> tuple[int, ...] | None:
        """Return a value that identifies the file, and for a read-only file also its contents."""
        try:
            status = path.stat()
        except OSError:
            return None
        identity = (status.st_dev, status.st_ino)
        return (*identity, status.st_mtime_ns, status.st_size) if self.read_only else identity


def _gone(place: str) -> Unavailable:
    return Unavailable(
        message("The database file is gone: it was deleted or moved while the program was running."),
        where=place,
        fix=message("Put the file back and try again. Nothing was saved."),
    )


def _replaced(place: str) -> Unavailable:
    return Unavailable(
        message("The open database has been replaced by another database or an older copy."),
        where=place,
        fix=message(
            "Put the original back, or restart the program to work with this one. Nothing was saved."
        ),
    )
