"""Migrations of the tables, by Alembic. It takes long to read, so `store.engine` reads this module late."""

from pathlib import Path
from typing import Final

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection

from termbase.store.textwords import rebuild_text_words, text_words_are_built

__all__ = ["migrate"]

MIGRATIONS: Final = Path(__file__).parent / "migrations"


def migrate(connection: Connection, to: str = "head") -> None:
    """Make the tables, or bring those of an older version up, within the transaction of the connection.

    Args:
        connection: on SQLite one that does not check foreign keys, see `termbase.store.databases.engine_at`.
        to: the version that they shall have; else that of this program.
    """
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, to)
    if to == "head" and not text_words_are_built(connection):
        rebuild_text_words(connection)
