"""Atomic file writing: a file is written beside its target, then renamed. Also: the format by file
extension."""

import errno
import os
import uuid
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Final, TypeVar

from termbase.errors import BadInput
from termbase.messages import message

__all__ = ["atomic_write", "check_writable", "format_by_extension"]

Name = TypeVar("Name", bound=str)

_DATABASE: Final = b"SQLite format 3\0"
"""The first bytes of a database file (SQLite, Database File Format, 1.3)."""


@contextmanager
def atomic_write(path: Path) -> Iterator[Path]:
    """Yield a temporary path beside `path` to write to; renamed at the end, or removed on any error.

    Whatever was at `path` before is untouched until then. Missing folders are created.

    Raises:
        BadInput: there is a database at this path.
        OSError: it cannot be written there.
    """
    check_writable(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(f".{path.name}.{uuid.uuid4().hex}")
    try:
        yield unfinished
        with unfinished.open("rb+") as file:
            os.fsync(file.fileno())
        unfinished.replace(path)
    except OSError as error:
        if error.filename == str(unfinished):
            raise OSError(error.errno, error.strerror, str(path)) from error
        raise
    finally:
        unfinished.unlink(missing_ok=True)


def check_writable(path: Path) -> None:
    """Check that a file can be written there, before long work is done for it.

    Raises:
        BadInput: there is a database at this path, which may be somebody's whole record.
        OSError: it is a folder, or nothing can be written there.
    """
    if path.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    if path.is_file() and os.access(path, os.R_OK):
        with path.open("rb") as file:
            if file.read(len(_DATABASE)) == _DATABASE:
                raise BadInput(
                    message("There is a database with this name. It has not been overwritten."),
                    where=str(path),
                    fix=message("Choose another name for the file."),
                )
    folder = next(p for p in path.absolute().parents if p.exists())
    if not folder.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR), str(folder))
    if not os.access(folder, os.W_OK | os.X_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(folder))


def format_by_extension(file_name: str, extensions: Mapping[Name, tuple[str, ...]]) -> Name:
    """Return the format for the extension of a file name.

    Args:
        file_name: a name or path, in any case.
        extensions: the file extensions of each format, with their dots.

    Raises:
        BadInput: no format has this extension.
    """
    lowered = file_name.lower()
    for name, endings in extensions.items():
        if lowered.endswith(endings):
            return name
    known = ", ".join(f"{name} ({', '.join(endings)})" for name, endings in extensions.items())
    raise BadInput(
        message("The format cannot be told from the file extension."),
        where=file_name,
        fix=message("Choose the format: %(known)s.", known=known),
    )
