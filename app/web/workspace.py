"""The settings of a web interface, and storage for its long jobs and files, which are not part of the record.

All processes that serve the termbase share it: the rows are in its database, the files in one
folder (`termbase.store.workfiles`). For a read-only termbase each process has its own temporary storage,
removed when the process ends. Everything expires: it is removed after its lifetime, or when many
newer ones exist; anybody who asks for it later sees how long it was kept.
"""

import os
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from io import BytesIO
from os import utime
from pathlib import Path
from secrets import token_urlsafe
from shutil import rmtree
from tempfile import mkdtemp
from threading import Lock
from typing import IO, Final
from weakref import finalize

from flask import Flask, current_app
from sqlalchemy import Connection

from termbase.dates import edtf
from termbase.errors import NotFound, WordholdError
from termbase.messages import message
from termbase.store.engine import Store
from termbase.store.workfiles import WorkFiles, folder_for
from termbase.store.workrows import FileRow, JobRow, WorkRows, put_file, put_job, stamp

__all__ = [
    "JOBS_KEPT",
    "KINDS",
    "LOCAL_HOSTS",
    "Kind",
    "Settings",
    "Workspace",
    "init_app",
    "until",
    "workspace",
]


LOCAL_HOSTS = ("localhost", "127.0.0.1", "[::1]")
"""The names a browser on the same machine may use."""

MEGABYTE = 1024 * 1024


@dataclass(frozen=True)
class Settings:
    """Settings of one web interface for one termbase.

    Attributes:
        store: the termbase.
        hosts: host names (without port) that it accepts; any other is rejected, so that
            a foreign web page cannot reach it by pointing its own name here (DNS rebinding).
        max_upload: largest request in bytes.
        max_text: largest sum of typed text in one form, in bytes.
        default_person: the current person if nobody was chosen and the termbase has no people.
        key: the access key that each browser is asked for once; empty for none.
        interface_language: BCP 47 tag of the default interface language.
        files: folder for uploads and files from long jobs; if empty, beside the SQLite database file.
            Defaults to the environment variable WORDHOLD_FILES.
        debug: reload templates when they change.
    """

    store: Store
    hosts: tuple[str, ...] = LOCAL_HOSTS
    max_upload: int = 64 * MEGABYTE
    max_text: int = 16 * MEGABYTE
    default_person: str = "researcher"
    key: str = field(default="", repr=False)
    interface_language: str = "en"
    files: str = field(default_factory=lambda: os.environ.get("WORDHOLD_FILES", ""))
    debug: bool = False


@dataclass(frozen=True)
class Kind:
    """A kind of file: how long it is kept, how many at most, and what to do when it is gone."""

    life: timedelta
    most: int
    fix: str


KINDS: Final = {
    "made": Kind(timedelta(days=7), 200, message("Create it again.")),
    "upload": Kind(timedelta(days=1), 500, message("Choose it again.")),
    "brought": Kind(timedelta(days=7), 60, message("Upload it again.")),
    "preview": Kind(timedelta(days=7), 60, message("Upload the file again.")),
    "findings": Kind(timedelta(days=30), 1, message("Run Proof again.")),
    "accepted": Kind(timedelta(days=7), 60, message("The remaining lines are on the desk.")),
    "text": Kind(timedelta(days=30), 200, message("Paste it again; the slips taken from it are kept.")),
}
"""The kinds of stored files."""
JOB_LIFE: Final = timedelta(days=7)
JOBS_KEPT: Final = 60
"""How many ended jobs are still shown; older ones are removed with their files."""
REMEMBERED: Final = timedelta(days=60)
"""How long a removal is remembered."""
SWEPT: Final = timedelta(hours=1)
"""Time between two cleanups."""
EXTENSION: Final = "wordhold_workspace"


def now() -> datetime:
    """Return the current time, from which lifetimes are counted."""
    return datetime.now(UTC)


def until(expires: str) -> str:
    """Return the day until which something is kept, in words; `expires` is a time as stored in rows."""
    return edtf.said(edtf.parse(expires[:10]))


class Workspace:
    """The rows and files of jobs, for one web interface.

    Attributes:
        rows: the rows.
        lasting: whether they outlive the process and are visible to others.
    """

    def __init__(self, rows: WorkRows, files: WorkFiles | None, store: Store, files_folder: str) -> None:
        self.rows = rows
        self.lasting = files is None
        self._files = files
        self._store = store
        self._files_folder = files_folder
        self._swept: datetime | None = None

    @classmethod
    def of(cls, store: Store, files_folder: str) -> "Workspace":
        """Return the workspace beside a termbase; `files_folder` is the one from the settings."""
        rows = WorkRows(store.engine)
        if not store.database.read_only and rows.may_write():
            return cls(rows, None, store, files_folder)
        folder = Path(mkdtemp(prefix="wordhold-"))
        rows = WorkRows.in_file(str(folder / "work.sqlite"))
        made = cls(rows, WorkFiles(folder / "files"), store, files_folder)
        finalize(made, _gone, rows, folder)
        return made

    @property
    def files(self) -> WorkFiles:
        """The stored files.

        Raises:
            BadInput: no folder is set, and the database is not a file.
        """
        if self._files is None:
            self._files = WorkFiles(folder_for(self._store.database, self._files_folder))
        return self._files

    def check(self) -> None:
        """Check that files can be stored, before anybody needs to.

        Raises:
            BadInput: no folder is set, and the database is not a file.
            Unavailable: the configured folder cannot be used.
        """
        if self._files_folder or self.files.folder.exists():
            self.files.make()

    def keep(
        self,
        kind: str,
        name: str,
        content: IO[bytes] | bytes,
        *,
        about: str = "",
        by: str = "",
        file_id: str = "",
        connection: Connection | None = None,
        patience: float = 0.0,
    ) -> FileRow:
        """Store a file; on return it is on the disk and its row is written.

        Args:
            kind: one of `KINDS`.
            name: the name that people see.
            content: its bytes.
            about: further data about it, as JSON.
            by: the person who uploaded it.
            file_id: its id if it replaces an older file; by default a new one that cannot be guessed.
            connection: of an act, so that it is stored if and only if the act is.
            patience: seconds to wait while others write, in addition to the database's own timeout.

        Raises:
            BadInput, Unavailable, StorageFull: it cannot be stored.
        """
        row = self.store_file(kind, name, content, about=about, by=by, file_id=file_id)
        try:
            self.put(row, connection, patience=patience)
        except BaseException:
            self.files.remove(row.id)
            raise
        return row

    def store_file(
        self,
        kind: str,
        name: str,
        content: IO[bytes] | bytes,
        *,
        about: str = "",
        by: str = "",
        job_id: str = "",
        file_id: str = "",
    ) -> FileRow:
        """Write a file into the folder and return its row, which the caller must save. See `keep`."""
        stream = BytesIO(content) if isinstance(content, bytes) else content
        own_id = file_id or token_urlsafe(18)
        size, digest = self.files.keep(own_id, stream)
        made = now()
        expires = made + KINDS[kind].life
        return FileRow(own_id, kind, name, size, digest, job_id, about, by, stamp(made), stamp(expires))

    def find(self, file_id: str, kind: str) -> FileRow:
        """Return the row of a stored file.

        Raises:
            NotFound: there is none, or it has expired.
        """
        row = self.rows.file(file_id)
        if row is None or row.kind != kind:
            raise NotFound(message("This file is no longer available."), where=file_id, fix=KINDS[kind].fix)
        if row.removed or row.expires <= stamp(now()):
            raise NotFound(
                message(
                    "“%(name)s” was kept until %(date)s and then removed.",
                    name=row.name,
                    date=until(row.removed or row.expires),
                ),
                where=row.name,
                fix=KINDS[kind].fix,
            )
        return row

    def content(self, row: FileRow) -> Path:
        """Return the path of a stored file whose content is intact.

        Raises:
            NotFound: it is missing or damaged.
        """
        if not self.files.is_whole(row.id, row.size, row.sha256):
            raise NotFound(
                message("The file “%(name)s” is missing from the files folder, or damaged.", name=row.name),
                where=str(self.files.folder),
                fix=KINDS[row.kind].fix,
            )
        return self.files.path(row.id)

    def put(self, row: FileRow, connection: Connection | None = None, *, patience: float = 0.0) -> None:
        """Update the row of a file.

        Args:
            row: the new row.
            connection: of an act, so that it is updated if and only if the act is done.
            patience: seconds to wait while others write, in addition to the database's own timeout.
        """
        if connection is not None:
            put_file(connection, row)
        else:
            self.rows.patiently(lambda own: put_file(own, row), patience=patience)

    def renew(self, row: FileRow) -> None:
        """Restart the lifetime of a file that is in use; once a day is enough."""
        expires = now() + KINDS[row.kind].life
        if stamp(expires - timedelta(days=1)) > row.expires:
            with suppress(WordholdError, OSError):
                utime(self.files.path(row.id))
                self.put(replace(row, expires=stamp(expires)))

    def drop(self, row: FileRow) -> None:
        """Remove a file that is no longer needed."""
        with suppress(WordholdError):
            self.files.remove(row.id)
            self.put(replace(row, removed=stamp(now())))

    def sweep_if_due(self) -> None:
        """Remove expired jobs and files if it is time to; failures are not reported, since nobody waits."""
        if self._swept is None or now() - self._swept >= SWEPT:
            self._swept = now()
            with suppress(WordholdError):
                self.sweep()

    def sweep(self) -> None:
        """Remove expired jobs and files, and those beyond the newest ones."""
        at = now()
        jobs, files = self.rows.over(stamp(at))
        ended = [job for job in self.rows.jobs() if job.state not in ("running", "gone")]
        gone = {job.id: job for job in (*jobs, *ended[JOBS_KEPT:])}
        removed = {file.id: file for file in files}
        for kind, known in KINDS.items():
            stored = self.rows.files(kind)
            removed |= {file.id: file for file in stored[known.most :]}
            removed |= {file.id: file for file in stored if file.job_id in gone and kind == "made"}
        for file in removed.values():
            self.files.remove(file.id)
        if gone or removed:
            with self.rows.writing() as connection:
                for job in gone.values():
                    put_job(connection, _over(job, at))
                for file in removed.values():
                    put_file(connection, replace(file, removed=stamp(at)))
        self.rows.forget(stamp(at - REMEMBERED))
        if removed or (self.lasting and self.files.folder.is_dir()):
            self.files.remove_older((max(k.life for k in KINDS.values()) + REMEMBERED).total_seconds())


def _over(job: JobRow, at: datetime) -> JobRow:
    return replace(job, state="gone", expires=min(job.expires, stamp(at)), result="", error="")


def _gone(rows: WorkRows, folder: Path) -> None:
    rows.engine.dispose()
    rmtree(folder, ignore_errors=True)


class _LazyWorkspace:
    """Creates the workspace on first use, since the database may not be available before."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._lock = Lock()
        self._made: Workspace | None = None

    def get(self) -> Workspace:
        with self._lock:
            if self._made is None:
                self._made = Workspace.of(self._settings.store, self._settings.files)
            return self._made


def init_app(app: Flask, settings: Settings) -> None:
    """Attach a workspace to the app."""
    app.extensions[EXTENSION] = _LazyWorkspace(settings)


def workspace() -> Workspace:
    """Return the workspace of this web interface."""
    lazy: _LazyWorkspace = current_app.extensions[EXTENSION]
    return lazy.get()
