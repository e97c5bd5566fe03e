"""Opening zip files that others made: nothing is unpacked to disk, and nothing inflates without end.

A zip is refused before anything of it is read when a name in it climbs out of its folder or comes twice, when
a member is locked, or when what it says it holds is out of all proportion to the file: repeated bytes shrink
a thousandfold, records and tables ten- to fortyfold.
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
"""How many times larger than packed a file in it, and all together, may be."""
ALWAYS_ALLOWED = 16 * 1024 * 1024
"""Bytes that may come out of any file, however small."""
MOST_MEMBERS = 1_000_000
_PIECE = 1 << 20
_DRIVE = re.compile(r"[A-Za-z]:")


@contextmanager
def opened_zip(path: Path, what: str, name: str = "") -> Iterator[zipfile.ZipFile]:
    """The zip at a path, once it is known to be harmless; `what` says what it should be ("a backup").

    Raises:
        BadInput: it is no zip, is damaged, or is one that nobody should unpack.
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
            mend=message("Download or copy the file again."),
        ) from error


def read_pieces(archive: zipfile.ZipFile, name: str, most: int) -> Iterator[bytes]:
    """The bytes of a member in pieces, `most` at most in all.

    Raises:
        BadInput: there are more, whatever the archive says of itself.
        zipfile.BadZipFile: the member is damaged; `opened_zip` tells it.
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
                        mend=_AGAIN,
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
            mend=_AGAIN,
        )
    seen: set[str] = set()
    for member in members:
        _check_name(member.filename, name)
        if member.filename in seen:
            raise BadInput(
                message("Two files in it have the same name."),
                where=joined((name, member.filename), ", "),
                mend=_AGAIN,
            )
        seen.add(member.filename)
        if member.flag_bits & 0x1:
            raise BadInput(
                message("A file in it is protected by a password."),
                where=joined((name, member.filename), ", "),
                mend=message("Save it without a password."),
            )
        _check_size(member.file_size, member.compress_size, joined((name, member.filename), ", "))
    # Members may overlap, so that each is small and together they are not.
    _check_size(sum(member.file_size for member in members), path.stat().st_size, name)


def _check_size(inflated: int, packed: int, where: str) -> None:
    if inflated > max(ALWAYS_ALLOWED, MOST_INFLATED * packed):
        what = message(
            "Its %(packed)s bytes would unpack to %(inflated)s bytes, as no genuine file would.",
            packed=f"{packed:,}",
            inflated=f"{inflated:,}",
        )
        raise BadInput(what, where=where, mend=_AGAIN)


def _check_name(name: str, where: str) -> None:
    parts = name.replace("\\", "/").split("/")
    if name.startswith(("/", "\\")) or ".." in parts or "\0" in name or _DRIVE.match(name):
        raise BadInput(
            message("A file in it would be unpacked outside its folder: %(name)r.", name=name),
            where=where,
            mend=_AGAIN,
        )
