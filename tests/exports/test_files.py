"""A file gets its name only when it is complete, and never replaces a database."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from exports.backup.writing import write_backup
from exports.files import atomic_write
from exports.glossary.cards.publishing import publish_cards
from exports.glossary.epub.publishing import publish_epub
from exports.glossary.pdf.publishing import publish_pdf
from exports.tables.columns import columns_of_names
from exports.tables.writing import write_table
from exports.tbx.writer import write_tbx
from termbase.errors import BadInput
from termbase.overviews.articles import Library
from termbase.store.engine import Store

AS_OF = "2026-03-01"
WRITERS: dict[str, Callable[[Library, Path], object]] = {
    "backup": lambda library, path: write_backup(library.reader, path, made_on=AS_OF),
    "cards": lambda library, path: publish_cards(library, path, as_of=AS_OF),
    "csv": lambda library, path: write_table(library, path, columns_of_names(library), rows="names"),
    "epub": lambda library, path: publish_epub(library, path, as_of=AS_OF),
    "pdf": lambda library, path: publish_pdf(library, path, as_of=AS_OF),
    "tbx": lambda library, path: write_tbx(library, path),
}


@pytest.mark.parametrize("name", WRITERS)
def test_no_writer_overwrites_a_termbase(name: str, demo_file: Path, tmp_path: Path) -> None:
    place = tmp_path / "record.sqlite"
    store = Store.open(shutil.copyfile(demo_file, str(place)))
    with store.read() as reader, pytest.raises(BadInput) as raised:
        WRITERS[name](Library(reader), place)
    store.close()
    assert str(place) in raised.value.where
    assert place.read_bytes().startswith(b"SQLite format 3\0")
    assert [p.name for p in tmp_path.iterdir() if not p.name.startswith("record.sqlite")] == []


def _half(place: Path) -> None:
    place.write_text("half")
    raise ZeroDivisionError


def test_any_other_file_is_replaced_only_by_a_complete_one(tmp_path: Path) -> None:
    place = tmp_path / "a.txt"
    place.write_text("old")
    with pytest.raises(ZeroDivisionError), atomic_write(place) as unfinished:
        _half(unfinished)
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir()] == [("a.txt", "old")]
    with atomic_write(place) as unfinished:
        unfinished.write_text("new")
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir()] == [("a.txt", "new")]


def test_missing_folders_are_created(tmp_path: Path) -> None:
    with atomic_write(tmp_path / "a" / "b" / "c.txt") as unfinished:
        unfinished.write_text("new")
    assert (tmp_path / "a" / "b" / "c.txt").read_text() == "new"


def test_a_conflicting_path_is_reported_as_given(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    (tmp_path / "folder").mkdir()
    for place, named in ((tmp_path / "file" / "a" / "b.txt", "file"), (tmp_path / "folder", "folder")):
        with pytest.raises(OSError, match="irectory") as raised, atomic_write(place):
            pytest.fail("it cannot be written there")
        assert raised.value.filename == str(tmp_path / named)
    with pytest.raises(FileNotFoundError) as raised, atomic_write(tmp_path / "c.txt"):
        pass  # nothing is written, so there is nothing to rename
    assert raised.value.filename == str(tmp_path / "c.txt")
