"""The digest of the record: the same for the same record on any database, and different if anything
differs."""

import pytest
from sqlalchemy import Connection, text

from termbase.store.digest import COMPUTED_TABLES, RECORD_TABLES, WORKING_TABLES, Digest, digest_of
from termbase.store.engine import Store
from termbase.store.tables import metadata

LANDED = "1dc3c07a10c6b7f6a062b284eb8863e8b0b7248d0099ab74137151f6a9446818"
"""Digest of the termbase in `landed/`, on either database, before it is upgraded."""


def digest_at(place: str, without: tuple[str, ...] = ()) -> Digest:
    store = Store.open_any(place)
    with store.read() as reader:
        result = digest_of(reader.connection, lambda act: {"en": act["what"]}, without)
    store.close()
    return result


def change(place: str, *statements: str) -> None:
    store = Store.open_any(place, foreign_keys=False)
    with store.writing() as connection:
        for statement in statements:
            connection.execute(text(statement))
    store.close()


def test_every_table_is_in_the_digest_or_rebuilt_or_not_part_of_the_record() -> None:
    every = (*RECORD_TABLES, *COMPUTED_TABLES, *WORKING_TABLES)
    assert set(every) == set(metadata.tables)
    assert len(set(every)) == len(every)


def test_it_is_the_same_on_both_databases_and_for_tables_of_an_older_version(landed: str) -> None:
    store = Store.open_any(landed)
    assert store.version() == "0002"
    with store.read() as reader:
        result = digest_of(reader.connection)
    store.close()
    assert result.whole == LANDED
    assert result.kinds["change"].number == 747
    assert set(result.kinds) == set(RECORD_TABLES)


@pytest.mark.parametrize(
    ("statement", "kinds"),
    [
        ("UPDATE slip SET note = 'x' WHERE id = 'q1'", {"slip"}),
        ("UPDATE slip SET apart = NOT apart WHERE id = 'q1'", {"slip"}),
        ("UPDATE term SET position = position + 1 WHERE id = 't1'", {"term"}),
        ('UPDATE term SET forms = \'[{"label":"x","text":"y"}]\' WHERE id = \'t1\'', {"term"}),
        ("UPDATE code SET body = replace(body, 'Glanmorwen', 'Elsewhere')", {"code"}),
        ("UPDATE change SET before = replace(before, 'back-heel', 'heel')", {"change"}),
        ("UPDATE change SET record_id = 'q0' WHERE id = 7", {"change"}),
        ("UPDATE act SET what = 'x' WHERE id = 9", {"act", "acts in en"}),
        ("UPDATE act SET by = 'x' WHERE id = 9", {"act"}),
        ("UPDATE counter SET value = value + 1 WHERE kind = 'slip'", {"counter"}),
        ("UPDATE image SET data = (SELECT data FROM image ORDER BY id LIMIT 1)", {"image"}),
        ("DELETE FROM redirect", {"redirect"}),
        ("UPDATE line_entry SET entry_id = 'c0001'", {"line_entry"}),
        ("UPDATE termbase SET title = 'x'", {"termbase"}),
        ("UPDATE line SET parsed = NULL", {"line"}),
    ],
)
def test_the_digest_changes_with_any_change(statement: str, kinds: set[str], landed: str) -> None:
    before = digest_at(landed)
    change(landed, statement)
    after = digest_at(landed)
    assert set(before.differing(after)) == kinds
    assert before.whole != after.whole


def test_fields_left_out_on_purpose_do_not_count(landed: str) -> None:
    without = ("slip.note", "line.parsed.headword", "history.entry.terms.text", "redirect")
    before = digest_at(landed, without)
    assert before != digest_at(landed)
    assert "redirect" not in before.kinds
    change(
        landed,
        "UPDATE slip SET note = 'x'",
        "DELETE FROM redirect",
        'UPDATE line SET parsed = replace(parsed, \'"headword":"b\', \'"headword":"c\')',
        'UPDATE change SET after = replace(after, \'"text":"back-heel"\', \'"text":"heel"\')'
        " WHERE kind = 'entry'",
    )
    assert digest_at(landed, without) == before
    change(
        landed, "UPDATE change SET after = replace(after, '\"in use\"', '\"coined\"') WHERE kind = 'entry'"
    )
    assert digest_at(landed, without).differing(before) == ("change",)


def test_a_new_field_that_is_empty_a_new_table_and_what_can_be_rebuilt_change_nothing(landed: str) -> None:
    before = digest_at(landed)
    change(
        landed,
        "ALTER TABLE slip ADD COLUMN heard TEXT NOT NULL DEFAULT ''",
        "ALTER TABLE slip ADD COLUMN hidden BOOLEAN NOT NULL DEFAULT false",
        "ALTER TABLE entry ADD COLUMN later TEXT",
        "CREATE TABLE another (id INTEGER)",
        "INSERT INTO another VALUES (1)",
        "DELETE FROM key",
        "UPDATE term SET section = 'x'",
        "UPDATE term SET forms = ' ' || forms",
    )
    assert digest_at(landed) == before


def test_it_is_read_in_the_transaction_of_its_caller(store: Store) -> None:
    def now(connection: Connection) -> str:
        return digest_of(connection).whole

    with store.read() as reader:
        before = now(reader.connection)
    with store.writing() as connection:
        connection.execute(text("UPDATE termbase SET title = 'x'"))
        assert now(connection) != before
        connection.execute(text("UPDATE termbase SET title = 'Glan wrestling'"))
        assert now(connection) == before
