"""Versions of the tables: those that this program knows, and the one that a database has."""

from pathlib import Path
from typing import Final

from sqlalchemy import Connection, inspect, text

__all__ = ["VERSIONS", "known_tables", "tables_version", "version_of"]

VERSIONS: Final = Path(__file__).parent / "migrations" / "versions"


def tables_version() -> str:
    """The version of the tables that this program makes."""
    return max(known_tables())


def known_tables() -> frozenset[str]:
    """The versions of the tables that this program knows, its own and all before it, by their migrations."""
    return frozenset(file.stem.partition("_")[0] for file in VERSIONS.glob("[0-9]*_*.py"))


def version_of(connection: Connection) -> str | None:
    """The version of the tables in a database; None where there is no termbase."""
    tables = inspect(connection)
    if not (tables.has_table("termbase") and tables.has_table("alembic_version")):
        return None
    found: str | None = connection.scalar(text("SELECT version_num FROM alembic_version"))
    return found
