"""Versions of the tables: those that this program knows, and that of a database."""

from pathlib import Path
from typing import Final

from sqlalchemy import Connection, inspect, text

from termbase.store.faults import missing_table

__all__ = ["VERSIONS", "known_tables", "tables_version", "version_of"]

_SURELY_OURS: Final = frozenset({"termbase", "entry", "act", "change"})

VERSIONS: Final = Path(__file__).parent / "migrations" / "versions"


def tables_version() -> str:
    """Return the version of the tables that this program creates."""
    return max(known_tables())


def known_tables() -> frozenset[str]:
    """Return the versions of the tables that this program knows, from its migrations."""
    return frozenset(file.stem.partition("_")[0] for file in VERSIONS.glob("[0-9]*_*.py"))


def version_of(connection: Connection, place: str) -> str | None:
    """Return the version of the tables in a database; None if there is no termbase.

    Args:
        connection: connection to the database.
        place: name of the database for messages.

    Raises:
        Damaged: there are tables of ours, but their version is not recorded.
    """
    existing = set(inspect(connection).get_table_names())
    version: str | None = None
    if "alembic_version" in existing:
        version = connection.scalar(text("SELECT version_num FROM alembic_version"))
    if version is None and existing >= _SURELY_OURS:
        raise missing_table("alembic_version", place)
    return version if existing & _SURELY_OURS else None
