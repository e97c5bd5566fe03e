"""Commands that only read work on a write-protected termbase; the others report why they cannot."""

import os
import sqlite3
from pathlib import Path
from typing import Any

import pytest

Shell = Any

READING = (
    ("find", "fachiad"), ("show", "c0015"), ("judge",), ("proof",), ("source", "list"),
    ("page", "lines", "w1"), ("export", "tbx", "-o", "{tmp}/out/glossary.tbx"),
    ("export", "csv", "-o", "{tmp}/out/names.csv"),
    ("publish", "pdf", "-o", "{tmp}/out/glossary.pdf"), ("publish", "site", "-o", "{tmp}/out/site"),
    ("backup", "{tmp}/out/kept.zip"),
)  # fmt: skip
WRITING = (("undo",), ("source", "remove", "s1"), ("page", "accept", "--all-clear"), ("reindex",))


@pytest.fixture
def protected(shell: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shell:
    """The demo in a folder that nobody can write to.

    Permissions do not count where tests run as root, so what the system says of them is replaced. SQLite then
    opens the file for reading only.
    """
    folder = tmp_path / "protected"
    folder.mkdir()
    shell.db = shell.db.rename(folder / shell.db.name)
    (tmp_path / "out").mkdir()
    monkeypatch.setattr(os, "access", lambda path, mode, **_: Path(path) not in (shell.db, folder))
    return shell


@pytest.mark.parametrize("arguments", READING, ids=" ".join)
def test_commands_that_only_read_work(protected: Shell, tmp_path: Path, arguments: tuple[str, ...]) -> None:
    before = protected.db.read_bytes()

    ran = protected(*(word.replace("{tmp}", str(tmp_path)) for word in arguments))

    assert ran.code == 0, ran.err
    assert protected.db.read_bytes() == before
    assert list(protected.db.parent.iterdir()) == [protected.db]


@pytest.mark.parametrize("arguments", WRITING, ids=" ".join)
def test_commands_that_write_report_a_read_only_termbase(
    protected: Shell, arguments: tuple[str, ...]
) -> None:
    before = protected.db.read_bytes()

    ran = protected(*arguments)

    assert ran.code == 2
    assert "The termbase is read-only" in ran.err
    assert "Copy the file" in ran.err
    assert protected.db.read_bytes() == before


def test_every_command_reports_a_termbase_of_a_newer_version(shell: Shell) -> None:
    with sqlite3.connect(shell.db) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.close()

    for arguments in (("upgrade",), ("find", "heel"), ("repair",)):
        ran = shell(*arguments)
        assert ran.code == 2
        assert "newer version of the program" in ran.err


def test_repair_reports_what_it_did(shell: Shell) -> None:
    assert shell("repair").out == f"{shell.db} is not damaged.\n"
    with sqlite3.connect(shell.db) as connection:
        connection.execute("DELETE FROM termbase")
    connection.close()
    ran = shell("find", "heel")
    assert ran.code == 2
    assert "Run: wordhold repair" in ran.err

    assert "Restored the title and the languages" in shell("repair").out
    assert shell("find", "heel").code == 0
