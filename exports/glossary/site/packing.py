"""Packs a folder into one file that can be carried or uploaded."""

import zipfile
from pathlib import Path

__all__ = ["zip_folder"]

_WHEN = (1980, 1, 1, 0, 0, 0)


def zip_folder(folder: Path, path: Path) -> None:
    """Write a zip of a folder, with its name at the root; the same files give the same bytes.

    Raises:
        OSError: it cannot be written.
    """
    with zipfile.ZipFile(path, "w") as archive:
        for file in sorted(p for p in folder.rglob("*") if p.is_file()):
            entry = zipfile.ZipInfo(f"{folder.name}/{file.relative_to(folder).as_posix()}", _WHEN)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            entry.create_system = 3
            archive.writestr(entry, file.read_bytes())
