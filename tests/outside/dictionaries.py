"""Published dictionaries, fetched once into the user's cache; the repository has none."""

import gzip
import os
import shutil
import subprocess
import tempfile
from pathlib import Path

import pytest
from platformdirs import user_cache_path

__all__ = ["freedict_text"]


def _fetch(name: str, folder: Path) -> None:
    """Fetch the Debian package of a FreeDict dictionary and unpack its text and index into a folder."""
    missing = [tool for tool in ("apt-get", "dpkg-deb") if not shutil.which(tool)]
    if missing:
        pytest.skip(f"FreeDict {name}: this machine has no {' and no '.join(missing)}")
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=folder) as scratch:
        got = subprocess.run(
            ["apt-get", "download", f"dict-freedict-{name}"],
            cwd=scratch,
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
        packages = list(Path(scratch).glob("*.deb"))
        if got.returncode or not packages:
            reason = (got.stderr.strip().splitlines() or ["no reason given"])[-1]
            pytest.skip(f"FreeDict {name}: the Debian package cannot be fetched ({reason})")
        subprocess.run(["dpkg-deb", "-x", packages[0].name, "x"], cwd=scratch, check=True, timeout=60)
        source = Path(scratch) / "x/usr/share/dictd"
        for kind, content in (
            ("index", (source / f"freedict-{name}.index").read_bytes()),
            ("dict.dz", (source / f"freedict-{name}.dict.dz").read_bytes()),
            ("txt", gzip.decompress((source / f"freedict-{name}.dict.dz").read_bytes())),
        ):
            made = Path(scratch) / f"made.{kind}"
            made.write_bytes(content)
            os.replace(made, folder / f"freedict-{name}.{kind}")


def freedict_text(name: str) -> Path:
    """The plain text of a FreeDict dictionary, by its language pair (`eng-cym`, `eng-gle`, `bre-fra`).

    Beside the text stand the compressed file (`.dict.dz`) and the index (`.index`) it came with. The
    data are FreeDict's (GPL), from Debian's package dict-freedict-…; a test that asks for them is
    skipped where they are neither in the cache nor to be had.
    """
    folder = user_cache_path("wordhold-tests")
    text = folder / f"freedict-{name}.txt"
    if not text.exists():
        _fetch(name, folder)
    return text
