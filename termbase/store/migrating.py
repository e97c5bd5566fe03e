"""Migrations of the tables, by Alembic. It takes long to read, so `store.engine` reads this module late."""

from pathlib import Path
from typing import Final

from alembic import command
from alembic.config import Config
from sqlalchemy import Engine

from termbase.store.textwords import rebuild_text_words, text_words_are_built

__all__ = ["migrate"]

MIGRATIONS: Final = Path(__file__).parent / "migrations"


def migrate(engine: Engine) -> None:
    """Bring the tables up to this version of the program; they may be of an older one, or missing."""
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
        if not text_words_are_built(connection):
            rebuild_text_words(connection)
