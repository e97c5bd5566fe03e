"""Files: atomic writing, the format for a file extension, and safe reading of zip files."""

import errno
import os
import re
import uuid
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Final, TypeVar

from termbase.errors import BadInput
from termbase.messages import joined, message

__all__ = [
    "MOST_INFLATED",
    "atomic_write",
    "check_writable",
    "format_by_extension",
    "opened_zip",
    "read_pieces",
]


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
        message("The file extension does not show the format."),
        where=file_name,
        fix=message("Choose the format: %(known)s.", known=known),
    )


# Zip files: nothing is unpacked to disk, and the size of unpacked data is limited. A zip is rejected before
# anything in it is read if a member's name leads out of its folder or occurs twice, if a member is encrypted,
# or if the declared size is out of all proportion to the file: repeated bytes compress a thousandfold,
# records and tables ten- to fortyfold.

MOST_INFLATED = 200
"""Maximum ratio of unpacked to packed size, for each member and for all together."""
ALWAYS_ALLOWED = 16 * 1024 * 1024
"""Bytes that any file may unpack to, however small it is."""
MOST_MEMBERS = 1_000_000
_PIECE = 1 << 20
_DRIVE = re.compile(r"[A-Za-z]:")


@contextmanager
def opened_zip(path: Path, what: str, name: str = "") -> Iterator[zipfile.ZipFile]:
    """Yield the zip at a path after checking it; `what` names the expected content ("a backup").

    Raises:
        BadInput: it is not a zip, is damaged, or is not safe to unpack.
        OSError: it cannot be read.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            _check(archive, path, name or path.name)
            yield archive
    except (
        zipfile.BadZipFile,
        zipfile.LargeZipFile,
        NotImplementedError,
        EOFError,
        UnicodeDecodeError,  # a name in it that claims to be UTF-8
    ) as error:
        raise BadInput(
            message(
                "This is not %(what)s, or it is damaged: %(error)s.",
                what=what,
                error=str(error) or message("the file is incomplete"),
            ),
            where=name or path.name,
            fix=message("Download or copy the file again."),
        ) from error


def read_pieces(archive: zipfile.ZipFile, name: str, most: int) -> Iterator[bytes]:
    """Yield the bytes of a member in pieces, `most` bytes at most in total.

    Raises:
        BadInput: there are more, whatever size the archive declares.
        zipfile.BadZipFile: the member is damaged; `opened_zip` reports it.
    """
    left = most
    try:
        with archive.open(name) as member:
            while piece := member.read(_PIECE):
                left -= len(piece)
                if left < 0:
                    raise BadInput(
                        message("It is larger than the %(most)s bytes expected.", most=f"{most:,}"),
                        where=name,
                        fix=_AGAIN,
                    )
                yield piece
    except zipfile.zlib.error as error:  # type: ignore[attr-defined] # the module's own name for zlib
        raise zipfile.BadZipFile(f"{name} cannot be unpacked") from error


_AGAIN = message("Get a new copy of the file. Nothing was read from it.")


def _check(archive: zipfile.ZipFile, path: Path, name: str) -> None:
    members = archive.infolist()
    if len(members) > MOST_MEMBERS:
        raise BadInput(
            message("It contains %(number)s files, which is too many.", number=f"{len(members):,}"),
            where=name,
            fix=_AGAIN,
        )
    seen: set[str] = set()
    for member in members:
        _check_name(member.filename, name)
        if member.filename in seen:
            raise BadInput(
                message("Two files in it have the same name."),
                where=joined((name, member.filename), ", "),
                fix=_AGAIN,
            )
        seen.add(member.filename)
        if member.flag_bits & 0x1:
            raise BadInput(
                message("A file in it is protected by a password."),
                where=joined((name, member.filename), ", "),
                fix=message("Save it without a password."),
            )
        _check_size(member.file_size, member.compress_size, joined((name, member.filename), ", "))
    # Members may overlap, so the total may be large although each is small.
    _check_size(sum(member.file_size for member in members), path.stat().st_size, name)


def _check_size(inflated: int, packed: int, where: str) -> None:
    if inflated > max(ALWAYS_ALLOWED, MOST_INFLATED * packed):
        what = message(
            "Its %(packed)s bytes would unpack to %(inflated)s bytes, which no genuine file would do.",
            packed=f"{packed:,}",
            inflated=f"{inflated:,}",
        )
        raise BadInput(what, where=where, fix=_AGAIN)


def _check_name(name: str, where: str) -> None:
    parts = name.replace("\\", "/").split("/")
    if name.startswith(("/", "\\")) or ".." in parts or "\0" in name or _DRIVE.match(name):
        raise BadInput(
            message("A file in it would be unpacked outside its folder: %(name)r.", name=name),
            where=where,
            fix=_AGAIN,
        )
