"""The migrations make exactly the tables that the program works with."""

from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext

from termbase.store import Store
from termbase.store.schema import metadata


def test_migrations_and_metadata_describe_the_same_tables(store: Store) -> None:
    with store.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []


def test_every_table_of_the_metadata_is_made(store: Store) -> None:
    with store.read() as reader:
        for table in metadata.sorted_tables:
            reader.connection.execute(table.select().limit(1)).all()
