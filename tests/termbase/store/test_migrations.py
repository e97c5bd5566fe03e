"""The migrations create exactly the tables that the program uses."""

import io
import itertools
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from PIL import Image as Pictures
from sqlalchemy import delete, insert, inspect, select

import termbase.store
from exports.backup.tables import TablesZip
from termbase.acts import entries
from termbase.errors import BadInput
from termbase.record.entries import Entry, Origin, Term
from termbase.record.people import Image
from termbase.search.finding import find
from termbase.store import tables
from termbase.store.engine import Store, known_tables, tables_version
from termbase.store.keys import reindex
from termbase.store.tables import metadata
from termbase.store.upgrading import upgrade

MIGRATIONS = Path(termbase.store.__file__).with_name("migrations")


def test_migrations_and_metadata_describe_the_same_tables(store: Store) -> None:
    with store.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []


def test_the_known_versions_are_those_of_the_migrations() -> None:
    """Versions come from file names, so opening a termbase does not load Alembic."""
    scripts = ScriptDirectory(str(MIGRATIONS))

    assert tables_version() == scripts.get_current_head()
    assert known_tables() == {script.revision for script in scripts.walk_revisions()}


def test_every_table_of_the_metadata_is_created(store: Store) -> None:
    with store.read() as reader:
        for table in metadata.sorted_tables:
            reader.connection.execute(table.select().limit(1)).all()


def migrate_to(store: Store, version: str) -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    with store.engine.begin() as connection:
        config.attributes["connection"] = connection
        command.downgrade(config, version)


def indexes_of_keys(store: Store) -> dict[str, list[str | None]]:
    result = inspect(store.engine).get_indexes("key")
    return {str(index["name"]): index["column_names"] for index in result}


def test_a_termbase_of_the_first_tables_is_upgraded_with_its_keys(
    store: Store, place: str, tmp_path: Path
) -> None:
    with store.act("Nia", "created an entry") as act:
        entries.save(act, Entry("", terms=(Term("", "Back-heel", "en", Origin.IN_USE),)))
    as_made = indexes_of_keys(store)
    migrate_to(store, "0001")
    assert set(indexes_of_keys(store)) == {"ix_key_term_id"}
    with pytest.raises(BadInput, match="older version"):
        Store.open(place)

    upgrade(place, TablesZip(), backup=tmp_path / "b.zip" if "://" in place else None)

    again = Store.open(place)
    assert indexes_of_keys(again) == as_made
    with again.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []
    with again.read() as reader:
        (hit,) = find(reader, "backheel")
        before = sorted(reader.connection.execute(select(tables.key)).all())
    assert reindex(again) == 1
    with again.read() as reader:
        assert sorted(reader.connection.execute(select(tables.key)).all()) == before
    with again.engine.begin() as connection:  # deleting a name deletes its keys
        connection.execute(delete(tables.term).where(tables.term.c.id == hit.term_id))
        assert connection.execute(select(tables.key)).all() == []
    again.close()


def test_a_termbase_from_an_earlier_version_is_upgraded_with_everything_in_it(
    landed: str, tmp_path: Path
) -> None:
    upgrade(landed, TablesZip(), backup=tmp_path / "b.zip" if "://" in landed else None)
    opened = Store.open(landed)
    with opened.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []
    with opened.read() as reader:
        assert reader.count(Entry) == 75
        assert len(reader.last_acts(1000)) == 192
    opened.close()


def test_pictures_lose_their_metadata_and_no_pixel(store: Store, place: str, tmp_path: Path) -> None:
    exif = Pictures.Exif()
    exif[0x0110], exif[0x0112] = "Model Nine", 6
    out = io.BytesIO()
    Pictures.effect_noise((30, 20), 90).save(out, "JPEG", exif=exif, comment=b"a comment of the owner")
    kept = {"media_type": "image/jpeg", "width": 30, "height": 20, "data": out.getvalue()}
    broken = io.BytesIO()
    Pictures.effect_noise((30, 20), 90).save(broken, "PNG", exif=exif)
    damaged = broken.getvalue().replace(b"IDATx", b"IDAT\xff", 1)  # opens, but cannot be decoded
    with store.engine.begin() as connection:
        connection.execute(insert(tables.image).values(id="0" * 16, **kept))
        connection.execute(insert(tables.image).values(id="1" * 16, **(kept | {"data": b"not a picture"})))
        connection.execute(insert(tables.image).values(id="2" * 16, **(kept | {"data": damaged})))
    migrate_to(store, "0004")

    upgrade(place, TablesZip(), backup=tmp_path / "b.zip" if "://" in place else None)

    again = Store.open(place)
    with again.read() as reader:
        after, other = reader.get(Image, "0" * 16), reader.get(Image, "1" * 16)
        undrawn = reader.get(Image, "2" * 16)
    again.close()
    assert b"Model" not in after.data
    assert b"comment" not in after.data
    assert (after.width, after.height) == (20, 30)  # upright
    with Pictures.open(io.BytesIO(after.data)) as now, Pictures.open(out) as before:
        assert now.tobytes() == before.tobytes()
    assert other.data == b"not a picture"
    assert undrawn.data == damaged


def test_a_backup_that_differs_from_the_termbase_is_removed_and_nothing_is_upgraded(
    landed: str, tmp_path: Path
) -> None:
    """The words of the acts differ at each reading here, as if the disk returned something else."""
    readings = itertools.count()
    backup = tmp_path / "backup"

    with pytest.raises(BadInput, match="does not match") as refused:
        upgrade(landed, TablesZip(), backup=backup, worded=lambda _act: {"en": f"{next(readings)}"})

    assert "Nothing has been changed" in str(refused.value.fix)
    assert not backup.exists()
    store = Store.open_any(landed)
    assert store.version() != tables_version()
    store.close()
