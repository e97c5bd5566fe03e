"""Fills a folder only with a complete site, and never over somebody else's files."""

import json
import shutil
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path, PurePosixPath

from termbase.errors import BadInput
from termbase.messages import message

__all__ = ["MARKER", "ForeignFiles", "entries_published", "replaced_folder"]

MARKER = "wordhold-site.json"
"""The file that identifies a folder as one of ours; it lists what was written."""
_SHOWN = 5


class ForeignFiles(BadInput):
    """The folder contains files that this program did not write; nothing was changed."""


@contextmanager
def replaced_folder(folder: Path) -> Iterator[Path]:
    """Yield a new folder beside `folder` to fill; it replaces `folder` at the end, or is deleted if anything
    fails.

    Raises:
        ForeignFiles: `folder` is a file, or holds what was not written here.
        OSError: it cannot be written there.
    """
    folder = folder.resolve()
    _check(folder)
    folder.parent.mkdir(parents=True, exist_ok=True)
    made = folder.parent / f".{folder.name}.{uuid.uuid4().hex}"
    made.mkdir()
    try:
        yield made
        written = sorted(p.relative_to(made).as_posix() for p in made.rglob("*") if p.is_file())
        (made / MARKER).write_text(
            json.dumps({"files": written}, ensure_ascii=False, indent=0) + "\n", "utf-8"
        )
        _check(folder)
        _put(made, folder)
    finally:
        shutil.rmtree(made, ignore_errors=True)


def entries_published(folder: Path) -> tuple[str, ...]:
    """Return the ids of the entries with a page in a site folder; empty if there is no site of ours."""
    paths = (PurePosixPath(path) for path in sorted(_known(folder)))
    return tuple(p.stem for p in paths if p.parent == PurePosixPath("entries") and p.suffix == ".html")


def _check(folder: Path) -> None:
    if not folder.exists():
        return
    if not folder.is_dir():
        raise ForeignFiles(
            message("This is a file, not a folder."), where=str(folder), fix=message("Give a new folder.")
        )
    known = _known(folder)
    foreign = [p for p in _files(folder) if p not in known]
    if foreign:
        shown = [*foreign[:_SHOWN], *(["…"] if len(foreign) > _SHOWN else [])]
        raise ForeignFiles(
            message(
                "The folder contains files that do not belong to a published site: %(files)s.",
                files=", ".join(shown),
            ),
            where=str(folder),
            fix=message("Give a new folder, or move these files away first."),
        )


def _known(folder: Path) -> frozenset[str]:
    try:
        listed = json.loads((folder / MARKER).read_text("utf-8"))["files"]
        return frozenset({MARKER, *map(str, listed)})
    except (OSError, ValueError, KeyError, TypeError):
        return frozenset()


def _files(folder: Path) -> list[str]:
    return sorted(
        p.relative_to(folder).as_posix() for p in folder.rglob("*") if not p.is_dir() or p.is_symlink()
    )


def _put(made: Path, folder: Path) -> None:
    if not folder.exists():
        made.rename(folder)
        return
    old = folder.parent / f".{folder.name}.{uuid.uuid4().hex}"
    folder.rename(old)
    try:
        made.rename(folder)
    except OSError:
        old.rename(folder)
        raise
    shutil.rmtree(old, ignore_errors=True)
