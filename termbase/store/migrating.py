"""Table migrations with Alembic, which `store.engine` imports only when needed, since that takes long."""

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
    """Create the tables, or upgrade those of an older version, within the connection's transaction.

    Args:
        connection: on SQLite, one that does not check foreign keys; see `termbase.store.databases.engine_at`.
        to: the target version; by default the version of this program.
    """
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, to)
    if to == "head" and not text_words_are_built(connection):
        rebuild_text_words(connection)


def declared_changes(version: str) -> dict[str, str]:
    """Return the intended changes of the migrations after a version, each with its reason.

    A migration that changes more than empty fields declares that in `CHANGES`, a table of its module. Its
    keys are `TABLE`, `TABLE.COLUMN` and, within JSON, `TABLE.COLUMN.FIELD...`; for states in the history
    `history.KIND.FIELD...`; lists are skipped in the path. Everything else must have the same digest
    afterwards.
    """
    changes: dict[str, str] = {}
    for revision in ScriptDirectory(str(MIGRATIONS)).walk_revisions(version, "head"):
        if revision.revision != version:
            changes |= getattr(revision.module, "CHANGES", {})
    return changes
