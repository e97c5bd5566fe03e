"""Opening zip files from elsewhere: nothing is unpacked to disk, and unpacked data is limited in size.

A zip is rejected before anything in it is read if a member's name leads out of its folder or occurs twice, if
a member is encrypted, or if the declared size is out of all proportion to the file: repeated bytes compress a
thousandfold, records and tables ten- to fortyfold.
"""

import re
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from termbase.errors import BadInput
from termbase.messages import joined, message

__all__ = ["MOST_INFLATED", "opened_zip", "read_pieces"]

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


_AGAIN = message("Get the file again from where it was made. Nothing was read from it.")


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
    # Members may overlap: each may be small but the total large.
    _check_size(sum(member.file_size for member in members), path.stat().st_size, name)


def _check_size(inflated: int, packed: int, where: str) -> None:
    if inflated > max(ALWAYS_ALLOWED, MOST_INFLATED * packed):
        what = message(
            "Its %(packed)s bytes would unpack to %(inflated)s bytes, as no genuine file would.",
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
