"""Rows that are not part of the record: long jobs, stored files, wrong access keys.

No history, backup or digest contains them. They are in the database so that every process that serves the
termbase knows them, even after a restart. Each is written in its own short transaction, or in the
transaction of an act: then the outcome of an import is stored if and only if the act is. Times are ISO texts
in UTC, all of the same length, so that they compare as texts.
"""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Final

from sqlalchemy import Connection, Engine, delete, func, insert, select, text, update

from termbase.errors import Unavailable
from termbase.store import tables
from termbase.store.databases import engine_at
from termbase.store.digest import WORKING_TABLES

__all__ = ["PATIENCE", "FileRow", "JobRow", "WorkRows", "put_file", "put_job", "stamp"]

Change = Callable[[Connection], None]

PATIENCE: Final = 600.0
"""Seconds for which background work keeps trying to write its outcome while others write."""
_PAUSE: Final = 0.5

_job, _file, _wrong = tables.job, tables.kept_file, tables.wrong_key
_MAY_WRITE: Final = text(
    "SELECT current_setting('transaction_read_only') = 'off'"
    " AND bool_and(has_table_privilege(name, 'INSERT'))"
    " FROM unnest(ARRAY['job', 'kept_file', 'wrong_key']) AS name"
)


@dataclass(frozen=True)
class JobRow:
    """A long job.

    Attributes:
        id: an id that cannot be guessed; anybody who knows it may see the job.
        title, result, error: JSON of `termbase.store.plaindata`; the last two may be empty.
        back: address of the page it was started from.
        by: name of the person who started it.
        language: BCP 47 tag of that person's interface language; files are written in it.
        state: `running`, or how it ended.
        started, ended, expires: times; the last two are empty while it runs.
    """

    id: str
    title: str
    back: str = "/"
    by: str = ""
    language: str = "en"
    state: str = "running"
    started: str = ""
    ended: str = ""
    expires: str = ""
    result: str = ""
    error: str = ""


@dataclass(frozen=True)
class FileRow:
    """A file that is stored for a while; its content is in the files folder under its id.

    Attributes:
        id: an id that cannot be guessed.
        kind: its purpose.
        name: its file name.
        size: size in bytes.
        sha256: SHA-256 of its content, hexadecimal.
        job_id: the job that created it; empty if there was none.
        about: further data about it, as JSON.
        by: name of the person who uploaded it or started its job.
        made, expires: times.
        removed: time when it was removed; empty while it exists.
    """

    id: str
    kind: str
    name: str
    size: int
    sha256: str
    job_id: str = ""
    about: str = ""
    by: str = ""
    made: str = ""
    expires: str = ""
    removed: str = ""


def stamp(when: datetime) -> str:
    """Return a time as these rows store it; `when` is in UTC."""
    return when.strftime("%Y-%m-%dT%H:%M:%S.%fZ")


class WorkRows:
    """The rows in one database."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine

    @classmethod
    def in_file(cls, path: str) -> "WorkRows":
        """Return rows in a separate SQLite file, created here: for a termbase that cannot be written to."""
        engine = engine_at(path)
        tables.metadata.create_all(engine, [tables.metadata.tables[name] for name in WORKING_TABLES])
        return cls(engine)

    def may_write(self) -> bool:
        """Return whether a server lets us write these rows; for a SQLite file, ask its `Database`."""
        if self.engine.dialect.name != "postgresql":
            return True
        with self.engine.connect() as connection:
            return bool(connection.scalar(_MAY_WRITE))

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Yield a connection in its own write transaction.

        Raises:
            Unavailable: another program is writing for longer than the database waits.
        """
        with self.engine.connect() as connection:
            writes = connection.execution_options(wordhold_writes=True)
            with writes.begin():
                yield writes

    def patiently(self, change: Change, *, patience: float = PATIENCE) -> None:
        """Make a change in the background, waiting while others write.

        Raises:
            Unavailable: others kept writing all that time.
        """
        end = time.monotonic() + patience
        while True:
            try:
                with self.writing() as connection:
                    change(connection)
                return
            except Unavailable:
                if time.monotonic() >= end:
                    raise
                time.sleep(_PAUSE)

    # Jobs

    def add_job(self, row: JobRow) -> None:
        """Add a job that is starting."""
        with self.writing() as connection:
            connection.execute(insert(_job).values(asdict(row)))

    def end_job(self, row: JobRow) -> None:
        """Write how a job ended if its own process cannot; do nothing if that process already has."""
        running = (_job.c.id == row.id) & (_job.c.state == "running")
        with self.writing() as connection:
            connection.execute(update(_job).where(running).values(asdict(row)))

    def job(self, job_id: str) -> JobRow | None:
        """Return the job with an id; None if there is none, or no longer."""
        with self.engine.connect() as connection, connection.begin():
            row = connection.execute(select(_job).where(_job.c.id == job_id)).mappings().one_or_none()
        return None if row is None else JobRow(**row)

    def jobs(self, *, state: str = "", back: str = "") -> tuple[JobRow, ...]:
        """Return the jobs, newest first; optionally only those in a state, or started from a page."""
        query = select(_job).order_by(_job.c.started.desc(), _job.c.id)
        if state:
            query = query.where(_job.c.state == state)
        if back:
            query = query.where(_job.c.back == back)
        with self.engine.connect() as connection, connection.begin():
            return tuple(JobRow(**row) for row in connection.execute(query).mappings())

    # Stored files

    def file(self, file_id: str) -> FileRow | None:
        """Return the file with an id, even if it was removed; None if there is none."""
        with self.engine.connect() as connection, connection.begin():
            row = connection.execute(select(_file).where(_file.c.id == file_id)).mappings().one_or_none()
        return None if row is None else FileRow(**row)

    def files(self, kind: str) -> tuple[FileRow, ...]:
        """Return the existing files of a kind, newest first."""
        query = select(_file).where(_file.c.kind == kind, _file.c.removed == "")
        with self.engine.connect() as connection, connection.begin():
            rows = connection.execute(query.order_by(_file.c.made.desc(), _file.c.id)).mappings()
            return tuple(FileRow(**row) for row in rows)

    # What has expired

    def over(self, now: str) -> tuple[tuple[JobRow, ...], tuple[FileRow, ...]]:
        """Return jobs and files that have expired and still exist."""
        jobs = select(_job).where(_job.c.expires != "", _job.c.expires <= now, _job.c.state != "gone")
        files = select(_file).where(_file.c.expires <= now, _file.c.removed == "")
        with self.engine.connect() as connection, connection.begin():
            return (
                tuple(JobRow(**row) for row in connection.execute(jobs).mappings()),
                tuple(FileRow(**row) for row in connection.execute(files).mappings()),
            )

    def forget(self, before: str) -> None:
        """Delete the rows of jobs and files that were removed before a time."""
        gone = (_job.c.state == "gone") & (_job.c.expires < before)
        removed = (_file.c.removed != "") & (_file.c.removed < before)
        with self.engine.connect() as connection, connection.begin():
            known = select(_job.c.id).where(gone).union_all(select(_file.c.id).where(removed))
            if connection.execute(known.limit(1)).first() is None:
                return
        with self.writing() as connection:
            connection.execute(delete(_job).where(gone))
            connection.execute(delete(_file).where(removed))

    # Wrong access keys

    def wrong_keys(self, address: str, since: str, most: int) -> tuple[str, ...]:
        """Return the times of the newest wrong keys from a network address since a time, newest first."""
        query = select(_wrong.c.at).where(_wrong.c.address == address, _wrong.c.at > since)
        with self.engine.connect() as connection, connection.begin():
            return tuple(connection.scalars(query.order_by(_wrong.c.at.desc()).limit(most)))

    def add_wrong_key(self, address: str, at: str, before: str, most: int) -> None:
        """Record a wrong key, and delete those from before a time; at most `most` are kept."""
        with self.writing() as connection:
            connection.execute(delete(_wrong).where(_wrong.c.at < before))
            connection.execute(insert(_wrong).values(address=address, at=at))
            newest = connection.scalar(select(func.max(_wrong.c.id))) or 0
            connection.execute(delete(_wrong).where(_wrong.c.id <= newest - most))


def put_job(connection: Connection, row: JobRow) -> None:
    """Write a job in its current state."""
    connection.execute(update(_job).where(_job.c.id == row.id).values(asdict(row)))


def put_file(connection: Connection, row: FileRow) -> None:
    """Write a file in its current state, replacing what was stored."""
    connection.execute(delete(_file).where(_file.c.id == row.id))
    connection.execute(insert(_file).values(asdict(row)))
