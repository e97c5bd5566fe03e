"""A damaged database is detected before any of it is shown, and the message says what is damaged."""

import shutil
import sqlite3
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from exports.backup.tables import TablesZip
from termbase.acts import entries
from termbase.acts.termbase import Repairs, repair
from termbase.errors import Damaged
from termbase.record.entries import Entry, Origin, Term
from termbase.store.engine import Store
from termbase.store.integrity import SMALL
from termbase.store.upgrading import upgrade


@pytest.fixture
def path(tmp_path: Path, finished: Callable[[str], None]) -> Path:
    """A termbase with a few hundred entries, closed."""
    path = tmp_path / "words.sqlite"
    finished(str(path))
    store = Store.open(str(path))
    with store.act("Nia", "made entries") as act:
        for n in range(300):
            entries.save(act, Entry("", terms=(Term("", f"Back-heel {n}", "en", Origin.IN_USE),)))
    store.close()
    return path


def run(path: Path, *statements: str) -> None:
    with sqlite3.connect(path) as connection:
        for statement in statements:
            connection.execute(statement)
    connection.close()


def page_of(path: Path, name: str) -> int:
    """The root page of a table or index."""
    with sqlite3.connect(path) as connection:
        (result,) = connection.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = ?", (name,)
        ).fetchone()
    connection.close()
    return int(result)


def overwrite(path: Path, at: int, data: bytes) -> None:
    with path.open("r+b") as file:
        file.seek(at)
        file.write(data)


def truncate(path: Path) -> None:
    with path.open("r+b") as file:
        file.truncate(path.stat().st_size // 2)


def empty_page_of_table(path: Path) -> None:
    overwrite(path, (page_of(path, "change") - 1) * 4096, bytes(4096))


def empty_page_of_index(path: Path) -> None:
    overwrite(path, (page_of(path, "ix_term_order") - 1) * 4096, bytes(4096))


def garble_header(path: Path) -> None:
    overwrite(path, 0, b"no longer SQLite")


def drop_table(path: Path) -> None:
    run(path, "DROP TABLE trial")


def drop_versions(path: Path) -> None:
    run(path, "DROP TABLE alembic_version")


def drop_termbase(path: Path) -> None:
    run(path, "DELETE FROM termbase")


DAMAGES: list[tuple[Callable[[Path], None], str]] = [
    (truncate, "SQLite cannot read a part of it|Parts of the file cannot be read"),
    (empty_page_of_table, "change"),
    (empty_page_of_index, "Indexes of these tables are broken: term"),
    (garble_header, "the beginning of the file is damaged"),
    (drop_table, "Tables are missing: trial"),
    (drop_versions, "alembic_version"),
    (drop_termbase, "The record with the title and the languages of the termbase is missing"),
]


@pytest.mark.parametrize(("damage", "expected"), DAMAGES, ids=lambda value: getattr(value, "__name__", ""))
def test_damage_is_reported_when_a_termbase_is_opened(
    path: Path, damage: Callable[[Path], None], expected: str
) -> None:
    damage(path)

    with pytest.raises(Damaged, match=expected) as caught:
        Store.open(str(path))

    assert "wordhold" in caught.value.fix
    assert caught.value.where == str(path)


def test_an_intact_termbase_is_opened(path: Path) -> None:
    Store.open(str(path), thorough=True).close()


def test_a_large_file_is_checked_after_a_hard_stop(path: Path, tmp_path: Path) -> None:
    """A killed program leaves SQLite's log of changes behind."""
    run(path, "CREATE TABLE filler (x)", f"INSERT INTO filler VALUES (zeroblob({SMALL}))")
    store = Store.open(str(path))
    with store.act("Nia", "created an entry") as act:
        entries.save(act, Entry("", terms=(Term("", "Hipe", "en", Origin.IN_USE),)))
    stopped = tmp_path / "stopped.sqlite"
    for suffix in ("", "-wal"):  # the files as they are while a program is running
        shutil.copyfile(f"{path}{suffix}", f"{stopped}{suffix}")
    page = page_of(path, "source")
    store.close()
    overwrite(stopped, (page - 1) * 4096, bytes(4096))

    with pytest.raises(Damaged, match="source"):
        Store.open(str(stopped))


def test_a_large_file_is_checked_on_request(path: Path) -> None:
    run(path, "CREATE TABLE filler (x)", f"INSERT INTO filler VALUES (zeroblob({SMALL}))")
    empty_page_of_table(path)

    Store.open(str(path)).close()
    with pytest.raises(Damaged, match="change"):
        Store.open(str(path), thorough=True)


def test_damage_found_while_reading_is_reported(path: Path) -> None:
    store = Store.open(str(path))
    run(path, "DROP TABLE trial")

    with pytest.raises(Damaged, match="trial"), store.read() as reader:
        reader.connection.exec_driver_sql("SELECT * FROM trial")
    store.close()


def test_an_unreadable_row_is_reported(path: Path) -> None:
    run(path, "UPDATE term SET forms = '[{' WHERE id = (SELECT min(id) FROM term)")
    store = Store.open(str(path))

    with pytest.raises(Damaged, match="term"), store.read() as reader:
        list(reader.entries())
    store.close()


def test_a_missing_table_is_reported_on_any_database(store: Store, place: str) -> None:
    with store.engine.begin() as connection:
        connection.exec_driver_sql("DROP TABLE trial")

    with pytest.raises(Damaged, match="trial"), store.read() as reader:
        reader.connection.exec_driver_sql("SELECT * FROM trial")
    with pytest.raises(Damaged, match="Tables are missing: trial"):
        Store.open(place)


def cut_index(path: Path) -> None:
    """Remove a row only from an index: SQLite reads the file without an error, but finds fewer rows."""
    with sqlite3.connect(path) as connection:
        connection.execute("PRAGMA writable_schema = ON")
        connection.execute("UPDATE sqlite_master SET sql = sql || ' WHERE 0' WHERE name = 'ix_term_entry_id'")
    connection.close()
    with sqlite3.connect(path) as connection:  # rows written now do not go into the index
        connection.execute("UPDATE term SET entry_id = 'c0001' WHERE id = (SELECT max(id) FROM term)")
        connection.execute("PRAGMA writable_schema = ON")
        connection.execute(
            "UPDATE sqlite_master SET sql = replace(sql, ' WHERE 0', '') WHERE name = 'ix_term_entry_id'"
        )
    connection.close()


@pytest.mark.parametrize("damage", [empty_page_of_index, cut_index])
def test_broken_indexes_are_rebuilt(path: Path, damage: Callable[[Path], None]) -> None:
    damage(path)

    before = path.read_bytes()

    repairs = repair(str(path), by="Nia")

    assert repairs == Repairs(indexes=("term",), kept=f"{path}.damaged")
    assert Path(repairs.kept).read_bytes() == before

    store = Store.open(str(path), thorough=True)
    with store.read() as reader:
        assert reader.count(Entry) == 300
    store.close()
    assert repair(str(path), by="Nia") == Repairs()


def test_a_missing_title_record_is_restored_from_the_history(store: Store, place: str) -> None:
    with store.act("Nia", "changed the information about the termbase") as act:
        act.put(replace(act.termbase(), rights="All rights kept"))
    with store.engine.begin() as connection:
        connection.exec_driver_sql("DELETE FROM termbase")
    with pytest.raises(Damaged, match="wordhold repair"):
        Store.open(place)

    assert repair(place, by="Gwen").termbase == "Glan wrestling"

    again = Store.open(place)
    with again.read() as reader:
        assert reader.termbase().rights == "All rights kept"
        assert reader.last_acts(1)[0].by == "Gwen"
    again.close()


@pytest.mark.parametrize("damage", [truncate, empty_page_of_table, garble_header, drop_table, drop_versions])
def test_damage_that_cannot_be_repaired_is_reported_and_left_unchanged(
    path: Path, damage: Callable[[Path], None]
) -> None:
    damage(path)
    before = path.read_bytes()

    with pytest.raises(Damaged, match="restore"):
        repair(str(path), by="Nia")

    assert path.read_bytes() == before


def test_a_text_that_is_not_utf_8_is_damage(path: Path) -> None:
    run(path, "UPDATE term SET text = CAST(x'ff41' AS TEXT) WHERE id = (SELECT min(id) FROM term)")
    store = Store.open(str(path))

    with pytest.raises(Damaged), store.read() as reader:
        list(reader.entries())
    store.close()


def test_an_unexpected_failure_on_a_damaged_file_is_reported_as_damage(path: Path) -> None:
    cut_index(path)
    store = Store.open(str(path))

    with pytest.raises(Damaged, match="Indexes"), store.read():
        raise KeyError("a row that only an index has")
    store.close()


def test_a_failure_on_an_intact_file_keeps_its_own_error(store: Store) -> None:
    with pytest.raises(KeyError), store.read():
        raise KeyError("a fault of the program")


def test_a_damaged_file_is_not_upgraded(path: Path) -> None:
    empty_page_of_table(path)
    before = path.read_bytes()

    with pytest.raises(Damaged, match="change"):
        upgrade(str(path), TablesZip())

    assert path.read_bytes() == before
