"""A file gets its name only when it is whole: written beside its place, then moved there."""

import os
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["placed"]


@contextmanager
def placed(path: Path) -> Iterator[Path]:
    """A path beside `path` to write to; moved there at the end, or removed when anything fails.

    Whatever stood at `path` before is untouched until then.

    Raises:
        OSError: it cannot be written there.
    """
    unfinished = path.with_name(f".{path.name}.{uuid.uuid4().hex}")
    try:
        yield unfinished
        with unfinished.open("rb+") as file:
            os.fsync(file.fileno())
        unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)
