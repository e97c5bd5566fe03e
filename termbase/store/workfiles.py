"""The folder of files beside the record: what was brought, what jobs made, how far running jobs are.

A kept file lies there as `ID.kept`. A running job has a folder `ID.job`: `alive`, which its process holds
locked until it ends, however it ends; `progress`, how far it is; `stop`, which any process makes to stop it;
`work`, what it makes. How far a job is and whether it shall stop are files and not columns of its row: on
SQLite an act that takes in thousands of entries keeps every other writer waiting until it is done.
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

__all__ = ["Alive", "Told", "WorkFiles", "folder_for"]

SETTING: Final = "WORDHOLD_FILES"
"""The environment variable that says where the folder is."""
_FULL: Final = frozenset({errno.ENOSPC, errno.EDQUOT})
_PIECE: Final = 1024 * 1024
_OURS: Final = re.compile(r"[\w-]{8,32}\.(kept|unfinished|job)", re.ASCII)


@dataclass(frozen=True)
class Told:
    """How far a running job is; `total` 0 when nobody can say. `words`: JSON of a message, or empty."""

    done: int = 0
    total: int = 0
    words: str = ""


@dataclass
class Alive:
    """What a process holds while it works at a job: let go when it ends."""

    handle: IO[bytes]

    def let_go(self) -> None:
        """The work has ended."""
        self.handle.close()


def folder_for(database: Database, said: str) -> Path:
    """The folder for files of a termbase.

    Args:
        database: of the termbase.
        said: what the environment variable says; empty: beside the file of a SQLite database.

    Raises:
        BadInput: nothing is said, and the database is no file.
    """
    if said:
        return Path(said).expanduser().resolve()
    if database.path is None:
        raise BadInput(
            message("No folder has been set for uploads and generated files."),
            where=SETTING,
            mend=message(
                "With PostgreSQL, set the environment variable WORDHOLD_FILES to a folder and "
                "restart. All processes that serve this termbase must use the same folder."
            ),
        )
    return database.path.with_name(f"{database.path.name}.files")


def _for_owner(path: str, flags: int) -> int:
    """Open a new file that only its owner may read: it may be a backup, or a picture with its metadata."""
    return os.open(path, flags, 0o600)


class WorkFiles:
    """The files in one folder, which is made when it is first needed.

    Every method raises `Unavailable` where the folder cannot be used, `StorageFull` where the disk is full.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path(self, file_id: str) -> Path:
        """Where the content of a kept file lies."""
        return self.folder / f"{file_id}.kept"

    def keep(self, file_id: str, content: IO[bytes]) -> tuple[int, str]:
        """Keep a content under an id; returns its size and SHA-256. It is on the disk when this returns."""
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
        """Whether a kept file is there as it was kept."""
        try:
            with self.path(file_id).open("rb") as content:
                if os.fstat(content.fileno()).st_size != size:
                    return False
                found = sha256()
                while piece := content.read(_PIECE):
                    found.update(piece)
        except FileNotFoundError:
            return False
        except OSError as error:
            raise self._unusable(error) from error
        return found.hexdigest() == digest

    def remove(self, file_id: str) -> None:
        """Remove a kept file, if it is there."""
        with self._explained():
            self.path(file_id).unlink(missing_ok=True)

    def begin(self, job_id: str) -> Alive:
        """Make the folder of a job, and show that this process works at it until it lets go or ends."""
        with self._explained():
            self.make()
            self.work(job_id).mkdir(mode=0o700, parents=True)
            handle = (self._job(job_id) / "alive").open("wb")
            fcntl.flock(handle, fcntl.LOCK_EX)
        return Alive(handle)

    def work(self, job_id: str) -> Path:
        """The folder for what a job makes."""
        return self._job(job_id) / "work"

    def is_alive(self, job_id: str) -> bool:
        """Whether a process works at a job: it holds the lock, which the system lets go when it ends."""
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

    def tell(self, job_id: str, told: Told) -> None:
        """Say how far a job is. Work goes on where that cannot be said."""
        path = self._job(job_id) / "progress"
        with suppress(OSError):
            unfinished = path.with_suffix(".new")
            unfinished.write_bytes(msgspec.json.encode(told))
            unfinished.replace(path)

    def told(self, job_id: str) -> Told:
        """How far a job is, as it said last."""
        try:
            return msgspec.json.decode((self._job(job_id) / "progress").read_bytes(), type=Told)
        except (OSError, msgspec.DecodeError):
            return Told()

    def ask_to_stop(self, job_id: str) -> None:
        """Ask a running job to stop, whichever process works at it; nothing where it has ended."""
        with self._explained(), suppress(FileNotFoundError):
            (self._job(job_id) / "stop").touch()

    def is_asked_to_stop(self, job_id: str) -> bool:
        """Whether somebody asked a job to stop."""
        return (self._job(job_id) / "stop").exists()

    def end(self, job_id: str) -> None:
        """Remove the folder of a job that has ended."""
        rmtree(self._job(job_id), ignore_errors=True)

    def remove_older(self, seconds: float) -> None:
        """Remove what has lain here unchanged for so long that no row can speak of it any more.

        It is left over where a process was killed between the file and its row.
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
        """Make the folder, for its owner only, and see that it can be written."""
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
                mend=message("Free some disk space and save again. Nothing was changed."),
            )
        return Unavailable(
            message("The folder for files cannot be used: %(error)s.", error=error.strerror or str(error)),
            where=str(self.folder),
            mend=message(
                "Make sure it is a folder the program can write to, or set WORDHOLD_FILES to another folder."
            ),
        )
