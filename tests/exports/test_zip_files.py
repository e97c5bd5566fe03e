"""Zip files from elsewhere."""

import zipfile
from pathlib import Path

import pytest

from exports.files import opened_zip, read_pieces
from termbase.errors import BadInput


def test_a_member_larger_than_declared_is_rejected(tmp_path: Path) -> None:
    path = tmp_path / "a.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("a.txt", b"0" * 5_000_000)
    with opened_zip(path, "a table") as archive, pytest.raises(BadInput, match="larger than"):
        list(read_pieces(archive, "a.txt", 1_000_000))


def test_a_zip_of_many_small_files_that_inflate_is_rejected(tmp_path: Path) -> None:
    path = tmp_path / "a.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for number in range(20):
            archive.writestr(f"{number}.txt", b"0" * 1_500_000)
    with pytest.raises(BadInput, match="unpack"), opened_zip(path, "a table"):
        pass


def test_two_files_with_the_same_name_are_rejected(tmp_path: Path) -> None:
    path = tmp_path / "a.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("a.txt", b"1")
        with pytest.warns(UserWarning, match="Duplicate"):
            archive.writestr("a.txt", b"2")
    with pytest.raises(BadInput, match="the same name"), opened_zip(path, "a table"):
        pass
