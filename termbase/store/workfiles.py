"""The folder of files that are not part of the record: uploads, files from jobs, progress of running jobs.

A stored file is `ID.kept`. A running job has a folder `ID.job` with `alive`, which its process keeps locked
until it ends for any reason; `progress`; `stop`, which any process creates to stop the job; and `work`, the
files that it creates. Progress and the request to stop are files rather than columns: on SQLite, an act that
imports thousands of entries makes every other writer wait until it is done.
"""

import errno
import fcntl
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from shutil import rmtree
from time import time
from typing import IO, Final

import msgspec

from termbase.errors import BadInput, StorageFull, Unavailable
from termbase.messages import message
from termbase.store.watching import Database

__all__ = ["Alive", "JobProgress", "WorkFiles", "folder_for"]

SETTING: Final = "WORDHOLD_FILES"
"""The environment variable that names the folder."""
_FULL: Final = frozenset({errno.ENOSPC, errno.EDQUOT})
_PIECE: Final = 1024 * 1024
_OURS: Final = re.compile(r"[\w-]{8,32}\.(kept|unfinished|job)", re.ASCII)


@dataclass(frozen=True)
class JobProgress:
    """The progress of a running job; `total` is 0 if unknown. `words`: JSON of a message, or empty."""

    done: int = 0
    total: int = 0
    words: str = ""


@dataclass
class Alive:
    """The lock that a process holds while it runs a job; released when it ends."""

    handle: IO[bytes]

    def release(self) -> None:
        """Release the lock when the work has ended."""
        self.handle.close()


def folder_for(database: Database, configured: str) -> Path:
    """Return the folder for the files of a termbase.

    Args:
        database: database of the termbase.
        configured: the folder from the settings; empty: beside the file of a SQLite database.

    Raises:
        BadInput: it is empty, and the database is not a file.
    """
    if configured:
        return Path(configured).expanduser().resolve()
    if database.path is None:
        raise BadInput(
            message("No folder has been set for uploads and generated files."),
            where=SETTING,
            fix=message(
                "With PostgreSQL, set the environment variable WORDHOLD_FILES to a folder and "
                "restart. All processes that serve this termbase must use the same folder."
            ),
        )
    return database.path.with_name(f"{database.path.name}.files")


def _for_owner(path: str, flags: int) -> int:
    """Open a new file that only its owner can read: it may be a backup, or a picture with its metadata."""
    return os.open(path, flags, 0o600)


class WorkFiles:
    """The files in one folder, which is created when it is first needed.

    Every method raises `Unavailable` if the folder cannot be used, `StorageFull` if the disk is full.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path(self, file_id: str) -> Path:
        """Return the path of a stored file's content."""
        return self.folder / f"{file_id}.kept"

    def keep(self, file_id: str, content: IO[bytes]) -> tuple[int, str]:
        """Store content under an id; return its size and SHA-256. It is on the disk when this returns."""
        with self._explained():
            self.make()
            unfinished = self.folder / f"{file_id}.unfinished"
            try:
                size, digest = 0, sha256()
                with open(unfinished, "xb", opener=_for_owner) as out:
                    while piece := content.read(_PIECE):
                        size += len(piece)
                        digest.update(piece)
                        out.write(piece)
                    out.flush()
                    os.fsync(out.fileno())
                unfinished.replace(self.path(file_id))
            finally:
                unfinished.unlink(missing_ok=True)
        return size, digest.hexdigest()

    def is_whole(self, file_id: str, size: int, digest: str) -> bool:
        """Return whether a stored file exists unchanged."""
        try:
            with self.path(file_id).open("rb") as content:
                if os.fstat(content.fileno()).st_size != size:
                    return False
                actual = sha256()
                while piece := content.read(_PIECE):
                    actual.update(piece)
        except FileNotFoundError:
            return False
        except OSError as error:
            raise self._unusable(error) from error
        return actual.hexdigest() == digest

    def remove(self, file_id: str) -> None:
        """Remove a stored file, if it exists."""
        with self._explained():
            self.path(file_id).unlink(missing_ok=True)

    def begin(self, job_id: str) -> Alive:
        """Create the folder of a job, and mark it as run by this process until the lock is released."""
        with self._explained():
            self.make()
            self.work(job_id).mkdir(mode=0o700, parents=True)
            handle = (self._job(job_id) / "alive").open("wb")
            fcntl.flock(handle, fcntl.LOCK_EX)
        return Alive(handle)

    def work(self, job_id: str) -> Path:
        """Return the folder for the files that a job creates."""
        return self._job(job_id) / "work"

    def is_alive(self, job_id: str) -> bool:
        """Return whether a process is running a job: it holds the lock, which the system releases when it
        ends."""
        try:
            with (self._job(job_id) / "alive").open("rb") as handle:
                fcntl.flock(handle, fcntl.LOCK_SH | fcntl.LOCK_NB)
        except FileNotFoundError:
            return False
        except BlockingIOError:
            return True
        except OSError as error:
            raise self._unusable(error) from error
        return False

    def write_progress(self, job_id: str, progress: JobProgress) -> None:
        """Write the progress of a job; if it cannot be written, the job continues."""
        path = self._job(job_id) / "progress"
        with suppress(OSError):
            unfinished = path.with_suffix(".new")
            unfinished.write_bytes(msgspec.json.encode(progress))
            unfinished.replace(path)

    def progress(self, job_id: str) -> JobProgress:
        """Return the progress that a job last wrote."""
        try:
            return msgspec.json.decode((self._job(job_id) / "progress").read_bytes(), type=JobProgress)
        except (OSError, msgspec.DecodeError):
            return JobProgress()

    def ask_to_stop(self, job_id: str) -> None:
        """Ask a running job to stop, whichever process runs it; do nothing if it has ended."""
        with self._explained(), suppress(FileNotFoundError):
            (self._job(job_id) / "stop").touch()

    def is_asked_to_stop(self, job_id: str) -> bool:
        """Return whether somebody asked a job to stop."""
        return (self._job(job_id) / "stop").exists()

    def end(self, job_id: str) -> None:
        """Remove the folder of a job that has ended."""
        rmtree(self._job(job_id), ignore_errors=True)

    def remove_older(self, seconds: float) -> None:
        """Remove files unchanged for so long that no row can refer to them any more.

        Such files remain if a process was killed between writing the file and its row.
        """
        oldest = time() - seconds
        with suppress(OSError):
            for path in list(self.folder.iterdir()):
                if not _OURS.fullmatch(path.name) or path.stat().st_mtime >= oldest:
                    continue
                if path.is_file():
                    path.unlink(missing_ok=True)
                elif not self.is_alive(path.stem):
                    rmtree(path, ignore_errors=True)

    def make(self) -> None:
        """Create the folder, for its owner only, and check that it can be written to."""
        with self._explained():
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            if not os.access(self.folder, os.W_OK | os.X_OK):
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    def _job(self, job_id: str) -> Path:
        return self.folder / f"{job_id}.job"

    @contextmanager
    def _explained(self) -> Iterator[None]:
        try:
            yield
        except OSError as error:
            raise self._unusable(error) from error

    def _unusable(self, error: OSError) -> Unavailable | StorageFull:
        if error.errno in _FULL:
            return StorageFull(
                message("The disk is full."),
                where=str(self.folder),
                fix=message("Free some disk space and save again. Nothing was changed."),
            )
        return Unavailable(
            message("The folder for files cannot be used: %(error)s.", error=error.strerror or str(error)),
            where=str(self.folder),
            fix=message(
                "Make sure it is a folder the program can write to, or set WORDHOLD_FILES to another folder."
            ),
        )
