"""Migrations of the tables, by Alembic. It takes long to read, so `store.engine` reads this module late."""

from pathlib import Path
from typing import Final

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from termbase.store.textwords import rebuild_text_words, text_words_are_built

__all__ = ["declared_changes", "migrate"]

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


def declared_changes(version: str) -> dict[str, str]:
    """What the migrations after a version change in the record on purpose, each with the reason.

    A migration that changes more than empty fields says so in `CHANGES`, a table of its module. Its keys are
    `TABLE`, `TABLE.COLUMN` and, within JSON, `TABLE.COLUMN.FIELD...`; for states in the history
    `history.KIND.FIELD...`; lists are walked through. All else must have the same digest afterwards.
    """
    found: dict[str, str] = {}
    for revision in ScriptDirectory(str(MIGRATIONS)).walk_revisions(version, "head"):
        if revision.revision != version:
            found |= getattr(revision.module, "CHANGES", {})
    return found
