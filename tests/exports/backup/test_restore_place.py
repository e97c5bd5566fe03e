"""Restore targets: data of other programs is kept, and a kill leaves nothing half-done."""

import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import create_engine, inspect, text

from exports.backup.reading import restore
from termbase.errors import BadInput, NotFound
from termbase.record.entries import Entry
from termbase.record.people import Termbase
from termbase.store.engine import Store

LANDED = Path(__file__).parents[2] / "termbase" / "store" / "landed" / "landed-backup.zip"


def url_of(place: str) -> str:
    if "://" not in place:
        return f"sqlite:///{place}"
    return place.replace("postgresql://", "postgresql+psycopg://")


def run(place: str, *statements: str) -> None:
    engine = create_engine(url_of(place))
    with engine.begin() as connection:
        for statement in statements:
            connection.execute(text(statement))
    engine.dispose()


def rows(place: str, table: str) -> list[tuple[object, ...]]:
    engine = create_engine(url_of(place))
    with engine.connect() as connection:
        result = [tuple(row) for row in connection.execute(text(f"SELECT * FROM {table} ORDER BY 1"))]
    engine.dispose()
    return result


def tables_at(place: str) -> list[str]:
    engine = create_engine(url_of(place))
    result = sorted(inspect(engine).get_table_names())
    engine.dispose()
    return result


OTHERS = (
    "CREATE TABLE person (id INTEGER PRIMARY KEY, name TEXT)",
    "CREATE TABLE page (id INTEGER PRIMARY KEY, body TEXT)",
    "INSERT INTO person VALUES (1, 'Somebody else''s')",
    "INSERT INTO page VALUES (7, 'Another program''s')",
)


def making(place: str) -> None:
    Store.create(place, Termbase("Ours", vernaculars=("cy",)), by="Nia").close()


def restoring(place: str) -> None:
    restore(LANDED, place)


@pytest.mark.parametrize("do", [making, restoring])
@pytest.mark.parametrize("as_url", [False, True])
def test_a_database_with_tables_of_another_program_is_rejected_and_kept(
    do: Callable[[str], None], as_url: bool, place: str
) -> None:
    run(place, *OTHERS)
    with pytest.raises(BadInput) as refused:
        do(url_of(place) if as_url else place)
    assert "page, person" in refused.value.what
    assert refused.value.fix
    assert tables_at(place) == ["page", "person"]
    assert rows(place, "person") == [(1, "Somebody else's")]
    assert rows(place, "page") == [(7, "Another program's")]


def test_a_failing_restore_leaves_an_empty_database_empty(place: str, tmp_path: Path) -> None:
    if "://" in place:
        stop_after(1500, place)
        assert tables_at(place) == []
        return
    Path(place).touch()  # an empty file counts as none
    stop_after(1500, place)
    assert Path(place).read_bytes() == b""
    assert [p.name for p in tmp_path.iterdir()] == [Path(place).name]


def stop_after(records: int, place: str) -> None:
    def stop(done: int, _: int) -> None:
        if done >= records:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        restore(LANDED, place, on_progress=stop)


def test_a_journal_of_a_deleted_database_is_not_replayed_into_the_new_one(tmp_path: Path) -> None:
    place = tmp_path / "ours.sqlite"
    making(str(place))
    connection = sqlite3.connect(place)
    connection.execute("PRAGMA wal_autocheckpoint=0")
    connection.execute("UPDATE termbase SET title = 'Gone'")
    connection.commit()
    journal = (tmp_path / "ours.sqlite-wal").read_bytes()
    connection.close()
    place.unlink()
    (tmp_path / "ours.sqlite-wal").write_bytes(journal)
    with pytest.raises(BadInput, match="deleted or moved") as refused:
        restore(LANDED, str(place))
    assert refused.value.where == f"{place}-wal"
    (tmp_path / "ours.sqlite-wal").unlink()
    restore(LANDED, str(place))


KILLED = """
import os, signal, sys
from pathlib import Path
from exports.backup.reading import restore
from termbase.store import making

def die(*_):
    os.kill(os.getpid(), signal.SIGKILL)

backup, place, when = sys.argv[1:]
if when.isdigit():
    restore(Path(backup), place, on_progress=lambda done, total: done >= int(when) and die())
else:
    if hasattr(making, when):
        setattr(making, when, die)
    else:
        making.os.link = die
    restore(Path(backup), place)
"""


MOMENTS = [
    *((database, when) for database in ("sqlite", "postgresql") for when in ("1", "2000", "check_keys")),
    ("sqlite", "_put_in_place"),  # a server has no file to rename
    ("sqlite", "os.link"),
]


# A sample of moments; tests/stress/killed_restores.py kills at many more.
@pytest.mark.parametrize(("database", "when"), MOMENTS)
def test_a_restore_killed_at_any_moment_leaves_nothing_or_everything(
    when: str, place: str, tmp_path: Path
) -> None:
    """`when`: the number of records read or written, or the step that never happens."""
    ended = subprocess.run([sys.executable, "-c", KILLED, str(LANDED), place, when], check=False)
    assert ended.returncode == -signal.SIGKILL
    assert_nothing_or_whole(place)
    if "://" not in place:  # leftovers are gone after the next restore
        assert [p.name for p in tmp_path.iterdir()] == [Path(place).name]


def assert_nothing_or_whole(place: str) -> None:
    """Check that either nothing exists and a restore creates everything, or everything exists."""
    try:
        opened = Store.open(place)
    except (NotFound, BadInput):
        restore(LANDED, place)
        opened = Store.open(place)
    with opened.read() as reader:
        assert reader.count(Entry) == 75
        assert reader.termbase().title
    opened.close()
