"""The folder of a site: complete or unchanged, and nobody else's files are touched."""

from pathlib import Path

import pytest

from exports.glossary.site.publishing import MARKER, ForeignFiles, replaced_folder


def write(folder: Path, *names: str) -> None:
    with replaced_folder(folder) as room:
        for name in names:
            (room / name).parent.mkdir(parents=True, exist_ok=True)
            (room / name).write_text(name)


def names_in(folder: Path) -> set[str]:
    return {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()}


def test_a_new_folder_is_created_with_its_parents(tmp_path: Path) -> None:
    write(tmp_path / "a" / "b", "index.html", "x/y.html")
    assert names_in(tmp_path / "a" / "b") == {"index.html", "x/y.html", MARKER}
    assert [p.name for p in (tmp_path / "a").iterdir()] == ["b"]


def test_an_older_site_is_replaced_completely(tmp_path: Path) -> None:
    write(tmp_path / "site", "old.html", "index.html")
    write(tmp_path / "site", "index.html")
    assert names_in(tmp_path / "site") == {"index.html", MARKER}
    assert [p.name for p in tmp_path.iterdir()] == ["site"]


def test_an_empty_folder_is_filled(tmp_path: Path) -> None:
    (tmp_path / "site").mkdir()
    write(tmp_path / "site", "index.html")
    assert "index.html" in names_in(tmp_path / "site")


@pytest.mark.parametrize("foreign", ["notes.txt", "entries/mine.html", ".hidden"])
def test_a_foreign_file_is_reported_and_nothing_is_changed(tmp_path: Path, foreign: str) -> None:
    write(tmp_path / "site", "index.html")
    (tmp_path / "site" / foreign).parent.mkdir(exist_ok=True)
    (tmp_path / "site" / foreign).write_text("mine")
    before = names_in(tmp_path / "site")
    with pytest.raises(ForeignFiles) as caught:
        write(tmp_path / "site", "other.html")
    assert foreign in caught.value.what
    assert names_in(tmp_path / "site") == before


def test_a_folder_of_files_without_our_marker_is_refused(tmp_path: Path) -> None:
    (tmp_path / "index.html").write_text("mine")
    with pytest.raises(ForeignFiles):
        write(tmp_path, "index.html")
    assert (tmp_path / "index.html").read_text() == "mine"


def test_a_file_instead_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "site").write_text("mine")
    with pytest.raises(ForeignFiles):
        write(tmp_path / "site", "index.html")


def test_a_file_added_while_the_site_is_written_is_kept(tmp_path: Path) -> None:
    def interrupted() -> None:
        with replaced_folder(tmp_path / "site") as room:
            (room / "index.html").write_text("new")
            (tmp_path / "site").mkdir()
            (tmp_path / "site" / "mine.txt").write_text("mine")

    with pytest.raises(ForeignFiles):
        interrupted()
    assert names_in(tmp_path / "site") == {"mine.txt"}


def test_a_failure_keeps_the_older_site(tmp_path: Path) -> None:
    write(tmp_path / "site", "index.html")

    def failing() -> None:
        with replaced_folder(tmp_path / "site") as room:
            (room / "half.html").write_text("half")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        failing()
    assert names_in(tmp_path / "site") == {"index.html", MARKER}
    assert [p.name for p in tmp_path.iterdir()] == ["site"]


def test_an_unreadable_marker_makes_every_file_foreign(tmp_path: Path) -> None:
    write(tmp_path / "site", "index.html")
    (tmp_path / "site" / MARKER).write_text("[]")
    with pytest.raises(ForeignFiles):
        write(tmp_path / "site", "index.html")
