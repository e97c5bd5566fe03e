"""Where this web face keeps what is no part of the record: rows of long work and the files that go with them.

Every process that serves the termbase works in the same place: the rows are in its database, the files in one
folder (`termbase.store.workfiles`). A termbase that can only be read has a place of its own in each process,
which goes when the process ends. Everything has an end: it is removed when its time is over, or when many
newer ones are there; whoever asks for it later is told until when it was kept.
"""

from contextlib import suppress
from dataclasses import dataclass, replace
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

from app.web.settings import Settings
from termbase import dates
from termbase.errors import NotFound, WordholdError
from termbase.messages import message
from termbase.store import Store
from termbase.store.workfiles import WorkFiles, folder_for
from termbase.store.workrows import FileRow, JobRow, WorkRows, put_file, put_job, stamp

__all__ = ["JOBS_KEPT", "KINDS", "Kind", "Workspace", "init_app", "until", "workspace"]


@dataclass(frozen=True)
class Kind:
    """A kind of file: how long one is kept, how many at most, and what to do when it is gone."""

    life: timedelta
    most: int
    mend: str


KINDS: Final = {
    "made": Kind(timedelta(days=7), 200, message("Create it again.")),
    "upload": Kind(timedelta(days=1), 500, message("Choose it again.")),
    "brought": Kind(timedelta(days=7), 60, message("Upload it again.")),
    "preview": Kind(timedelta(days=7), 60, message("Upload the file again.")),
    "findings": Kind(timedelta(days=30), 1, message("Run Proof again.")),
    "accepted": Kind(timedelta(days=7), 60, message("The remaining lines are on the desk.")),
    "text": Kind(timedelta(days=30), 200, message("Paste it again; the slips taken from it are kept.")),
}
"""What files are kept for."""
JOB_LIFE: Final = timedelta(days=7)
JOBS_KEPT: Final = 60
"""Jobs that have ended and are still shown; older ones are removed with what they made."""
REMEMBERED: Final = timedelta(days=60)
"""How long it is known that something was removed."""
SWEPT: Final = timedelta(hours=1)
"""Between two looks for what is over."""
EXTENSION: Final = "wordhold_workspace"


def now() -> datetime:
    """The time by which things are kept."""
    return datetime.now(UTC)


def until(expires: str) -> str:
    """The day until which something is kept, in words; of a time as rows have it."""
    return dates.said(dates.parse(expires[:10]))


class Workspace:
    """The rows and the files of work, for one web face.

    Attributes:
        rows: the rows.
        lasting: they stay when the process ends, and other processes see them.
    """

    def __init__(self, rows: WorkRows, files: WorkFiles | None, store: Store, said: str) -> None:
        self.rows = rows
        self.lasting = files is None
        self._files = files
        self._store = store
        self._said = said
        self._swept: datetime | None = None

    @classmethod
    def of(cls, store: Store, said: str) -> "Workspace":
        """The place beside a termbase; `said`: what the environment says of the folder."""
        rows = WorkRows(store.engine)
        if not store.database.read_only and rows.may_write():
            return cls(rows, None, store, said)
        folder = Path(mkdtemp(prefix="wordhold-"))
        rows = WorkRows.in_file(str(folder / "work.sqlite"))
        made = cls(rows, WorkFiles(folder / "files"), store, said)
        finalize(made, _gone, rows, folder)
        return made

    @property
    def files(self) -> WorkFiles:
        """The files.

        Raises:
            BadInput: nobody has said where they are kept, and the database is no file.
        """
        if self._files is None:
            self._files = WorkFiles(folder_for(self._store.database, self._said))
        return self._files

    def check(self) -> None:
        """Make sure that there is a place for files, before anybody needs it.

        Raises:
            BadInput: nobody has said where they are kept, and the database is no file.
            Unavailable: the folder that was named cannot be used.
        """
        if self._said or self.files.folder.exists():
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
        """Keep a file; it is on the disk, and its row written, when this returns.

        Args:
            kind: one of `KINDS`.
            name: what a person calls it.
            content: its bytes.
            about: what else is to be known of it, as JSON.
            by: who brought it.
            file_id: its id, where it is kept in place of an older one; else a new one that cannot be guessed.
            connection: of an act, so that it is there if and only if the act is done.
            patience: seconds to wait while others write, beyond what the database waits itself.

        Raises:
            BadInput, Unavailable, StorageFull: there is no place for it.
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
        """Put a content into the folder; gives its row, which the caller writes. See `keep`."""
        stream = BytesIO(content) if isinstance(content, bytes) else content
        own_id = file_id or token_urlsafe(18)
        size, digest = self.files.keep(own_id, stream)
        made = now()
        expires = made + KINDS[kind].life
        return FileRow(own_id, kind, name, size, digest, job_id, about, by, stamp(made), stamp(expires))

    def find(self, file_id: str, kind: str) -> FileRow:
        """The row of a kept file.

        Raises:
            NotFound: there is none, or its time is over; what to do is said.
        """
        row = self.rows.file(file_id)
        if row is None or row.kind != kind:
            raise NotFound(message("This file is no longer available."), where=file_id, mend=KINDS[kind].mend)
        if row.removed or row.expires <= stamp(now()):
            raise NotFound(
                message(
                    "“%(name)s” was kept until %(date)s and then removed.",
                    name=row.name,
                    date=until(row.removed or row.expires),
                ),
                where=row.name,
                mend=KINDS[kind].mend,
            )
        return row

    def content(self, row: FileRow) -> Path:
        """Where the content of a kept file lies, whole as it was kept.

        Raises:
            NotFound: it is missing or damaged.
        """
        if not self.files.is_whole(row.id, row.size, row.sha256):
            raise NotFound(
                message("The file “%(name)s” is missing from the files folder, or damaged.", name=row.name),
                where=str(self.files.folder),
                mend=KINDS[row.kind].mend,
            )
        return self.files.path(row.id)

    def put(self, row: FileRow, connection: Connection | None = None, *, patience: float = 0.0) -> None:
        """Write what is known of a file anew.

        Args:
            row: as it is now.
            connection: of an act, so that it is known if and only if the act is done.
            patience: seconds to wait while others write, beyond what the database waits itself.
        """
        if connection is not None:
            put_file(connection, row)
        else:
            self.rows.patiently(lambda own: put_file(own, row), patience=patience)

    def renew(self, row: FileRow) -> None:
        """Keep a file that is in use for its whole life from now on; once a day is often enough."""
        expires = now() + KINDS[row.kind].life
        if stamp(expires - timedelta(days=1)) > row.expires:
            with suppress(WordholdError, OSError):
                utime(self.files.path(row.id))
                self.put(replace(row, expires=stamp(expires)))

    def drop(self, row: FileRow) -> None:
        """Remove a file that nobody needs any more."""
        with suppress(WordholdError):
            self.files.remove(row.id)
            self.put(replace(row, removed=stamp(now())))

    def sweep_if_due(self) -> None:
        """Remove what is over, now and then; nobody waits for it, so nobody is told where it fails."""
        if self._swept is None or now() - self._swept >= SWEPT:
            self._swept = now()
            with suppress(WordholdError):
                self.sweep()

    def sweep(self) -> None:
        """Remove what is over: jobs and files whose time is past, and those beyond the newest ones."""
        at = now()
        jobs, files = self.rows.over(stamp(at))
        ended = [job for job in self.rows.jobs() if job.state not in ("running", "gone")]
        gone = {job.id: job for job in (*jobs, *ended[JOBS_KEPT:])}
        removed = {file.id: file for file in files}
        for kind, known in KINDS.items():
            there = self.rows.files(kind)
            removed |= {file.id: file for file in there[known.most :]}
            removed |= {file.id: file for file in there if file.job_id in gone and kind == "made"}
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


class _Lazily:
    """Makes the workspace when it is first needed: the database may not answer before."""

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
    """Give the app its workspace."""
    app.extensions[EXTENSION] = _Lazily(settings)


def workspace() -> Workspace:
    """The workspace of this web face."""
    found: _Lazily = current_app.extensions[EXTENSION]
    return found.get()
