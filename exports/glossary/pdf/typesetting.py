"""Runs the typesetter in a separate process.

The typesetter caches its layout in memory for the next run, gigabytes for a large book; a process that ends
releases all of it, so a server that prints stays small. Run as a program, this module takes the folder with
template and book, the time in seconds since 1970, and the font folders.
"""

import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Final

import typst

from termbase.errors import WordholdError
from termbase.messages import message

__all__ = ["STANDARDS", "TEMPLATE", "TypesettingFailed", "breakable", "typeset"]


TEMPLATE = Path(__file__).with_name("glossary.typ")
STANDARDS: Final = ("a-2a", "ua-1")
"""PDF/A-2a (ISO 19005-2) and PDF/UA-1 (ISO 14289-1) in one file; PDF/A-4 and PDF/UA-1 exclude each other."""
BOOK, RESULT, TYPESET = "book.json", "book.pdf", "book.typ"
_LONG: Final = re.compile(r"(?<!\w)\w{41,}")
"""Longer than any word of the languages printed; a column of the small book holds about forty letters."""
_PIECE: Final = 20
_BREAK: Final = "\u200b"
"""ZERO WIDTH SPACE (Unicode 16, 23.2): where a line may end without a hyphen."""


class TypesettingFailed(WordholdError, RuntimeError):
    """The typesetter failed; nothing was printed. `where` holds its own message."""


def typeset(
    data: bytes,
    *,
    timestamp: int,
    folders: Sequence[Path],
    template: Path = TEMPLATE,
    pictures: Iterable[tuple[str, bytes]] = (),
) -> bytes:
    """Return the PDF of a book.

    Args:
        data: the book as JSON, which the template reads as `book.json`.
        timestamp: the file's date, in seconds since 1970.
        folders: the font folders; no other fonts are used.
        template: the template file.
        pictures: files that the book refers to, one after another: name and bytes.

    Raises:
        TypesettingFailed: the book cannot be typeset, or there is not enough memory.
    """
    with tempfile.TemporaryDirectory(prefix="wordhold-print-") as folder:
        (Path(folder) / BOOK).write_bytes(data)
        (Path(folder) / TYPESET).write_bytes(template.read_bytes())
        for name, picture in pictures:
            (Path(folder) / name).write_bytes(picture)
        command = [sys.executable, "-m", __spec__.name, folder, str(timestamp), *map(str, folders)]
        paths = os.pathsep.join(filter(None, sys.path))
        done = subprocess.run(
            command,
            env={**os.environ, "PYTHONPATH": paths, "PYTHONUTF8": "1"},
            capture_output=True,
            encoding="utf-8",
            errors="replace",
        )
        if done.returncode:
            reason = (done.stderr.strip().splitlines() or [f"it ended with {done.returncode}"])[-1]
            raise TypesettingFailed(
                message("The book could not be typeset."),
                where=reason,
                fix=message("Print part of it, or leave out the quotations."),
            )
        return (Path(folder) / RESULT).read_bytes()


def _compile(folder: Path, timestamp: int, folders: Sequence[str]) -> None:
    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=list(folders))
    compiler = typst.Compiler(
        input=str(folder / TYPESET), root=str(folder), font_paths=fonts, ignore_system_fonts=True
    )
    compiler.compile(
        output=str(folder / RESULT), format="pdf", pdf_standards=[*STANDARDS], timestamp=timestamp
    )


def breakable(data: bytes) -> bytes:
    """Return JSON in which words longer than forty letters have break points; nothing else changes.

    Otherwise the typesetter lets words that are too long for a column run off the page.

    An escape (`\\u0001`) stays whole, since it ends before the first break point.
    """
    text = data.decode()
    return _LONG.sub(_parted, text).encode() if _LONG.search(text) else data


def _parted(match: re.Match[str]) -> str:
    word = match[0]
    return _BREAK.join(word[at : at + _PIECE] for at in range(0, len(word), _PIECE))


if __name__ == "__main__":
    _compile(Path(sys.argv[1]), int(sys.argv[2]), sys.argv[3:])
