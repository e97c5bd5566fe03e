"""A missing, replaced, damaged, full or write-protected database: a page says so and keeps the text."""

import errno
import os
import sqlite3
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import event

from app.web import Settings, create_app
from termbase.store.engine import Store

TYPED = {"version": "1", "title": "Words of the Vale", "rights": "All rights with Siân Ŵyn",
         "vernaculars": "cy", "working_language": "en"}  # fmt: skip


def file_of(store: Store) -> Path:
    assert store.database.path is not None
    return store.database.path


def remove(store: Store) -> None:
    for file in file_of(store).parent.glob(file_of(store).name + "*"):
        file.unlink()


def run(store: Store, statement: str) -> None:
    with sqlite3.connect(file_of(store)) as connection:
        connection.execute(statement)
    connection.close()


@pytest.mark.parametrize("path", ["/", "/entries", "/history", "/publish/termbase", "/proof"])
def test_every_page_says_that_the_file_is_gone(client: FlaskClient, store: Store, path: str) -> None:
    client.get("/")
    remove(store)

    answer = client.get(path)

    assert answer.status_code == 503
    assert "The database file is gone" in answer.text
    assert "Put the file back" in answer.text
    assert not file_of(store).exists()


def test_typed_text_is_kept_when_the_file_is_gone(client: FlaskClient, store: Store) -> None:
    client.get("/publish/termbase")
    remove(store)

    answer = client.post("/publish/termbase", data=TYPED)

    assert answer.status_code == 503
    assert "All rights with Siân Ŵyn" in answer.text
    assert not file_of(store).exists()


def test_a_write_into_a_file_that_was_replaced_is_not_acknowledged(
    client: FlaskClient, store: Store, tmp_path: Path
) -> None:
    client.get("/publish/termbase")
    store.engine.dispose()
    other = tmp_path / "other.db"
    other.write_bytes(file_of(store).read_bytes())
    other.replace(file_of(store))

    answer = client.post("/publish/termbase", data=TYPED)

    assert answer.status_code == 503
    assert "been replaced" in answer.text
    assert "All rights with Siân Ŵyn" in answer.text
    with sqlite3.connect(file_of(store)) as connection:
        assert connection.execute("SELECT rights FROM termbase").fetchone() == ("",)
    connection.close()


@pytest.mark.parametrize("path", ["/", "/entries", "/history", "/publish/termbase", "/publish"])
@pytest.mark.parametrize(
    ("damage", "expected"),
    [
        ("DELETE FROM termbase", "title and the languages of the termbase is missing"),
        ("DROP TABLE act", "the table “act” is missing"),
    ],
)
def test_a_damaged_termbase_has_one_page_that_says_what_is_missing_and_what_to_do(
    client: FlaskClient, store: Store, path: str, damage: str, expected: str
) -> None:
    run(store, damage)

    answer = client.get(path)

    assert answer.status_code == 503
    assert expected in answer.text
    assert "wordhold repair" in answer.text


def test_a_full_disk_is_reported_and_the_text_is_kept(client: FlaskClient, store: Store) -> None:
    store.engine.dispose()
    event.listen(store.engine, "connect", lambda raw, _: raw.execute("PRAGMA max_page_count = 1"))

    answer = client.post("/publish/termbase", data={**TYPED, "rights": "Ŵ" * 40_000})

    assert answer.status_code == 507
    assert "The disk is full" in answer.text
    assert "Ŵ" * 40_000 in answer.text


def test_a_file_that_does_not_fit_is_reported_as_a_full_disk(app: Flask, client: FlaskClient) -> None:
    @app.get("/writes")
    def writes() -> str:
        raise OSError(errno.ENOSPC, "No space left on device")

    assert client.get("/writes").status_code == 507


def test_a_read_only_termbase_can_be_read_and_keeps_the_typed_text(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    store.close()
    monkeypatch.setattr(os, "access", lambda *_: False)  # permissions do not count where tests run as root
    protected = Store.open(store.database.place)
    browser = create_app(Settings(protected)).test_client()
    browser.environ_base["HTTP_ORIGIN"] = "http://localhost"

    assert browser.get("/entries").status_code == 200
    answer = browser.post("/publish/termbase", data=TYPED)

    assert answer.status_code == 403
    assert "is read-only" in answer.text
    assert "All rights with Siân Ŵyn" in answer.text
    protected.close()


def swap_pages(path: Path, one: str, other: str) -> None:
    """Swap the pages of two tables or indexes: both stay readable, but with the wrong content."""
    with sqlite3.connect(path) as connection:
        find = "SELECT rootpage FROM sqlite_master WHERE name = ?"
        places = [(connection.execute(find, (name,)).fetchone()[0] - 1) * 4096 for name in (one, other)]
    connection.close()
    data = bytearray(path.read_bytes())
    first, second = (bytes(data[at : at + 4096]) for at in places)
    data[places[0] : places[0] + 4096], data[places[1] : places[1] + 4096] = second, first
    path.write_bytes(data)


def test_damage_behind_an_unexpected_failure_is_reported(demo_store: Store) -> None:
    demo_store.close()
    swap_pages(file_of(demo_store), "ix_term_entry_id", "ix_definition_entry_id")
    app = create_app(Settings(demo_store))
    browser = app.test_client()

    @app.get("/fails")
    def fails() -> str:
        raise KeyError("what an index promised")

    answer = browser.get("/fails")

    assert answer.status_code == 503
    assert "The database is damaged" in answer.text


def test_a_failure_of_the_program_is_not_reported_as_damage(app: Flask, client: FlaskClient) -> None:
    @app.get("/fails")
    def fails() -> str:
        raise KeyError("a fault of ours")

    answer = client.get("/fails")

    assert answer.status_code == 500
    assert "Something went wrong in the program" in answer.text
