"""Checks whether a database is intact (its file, its tables, the termbase's own record), and repairs it.

A small file is checked whenever it is opened. A large one is checked when it is served, and when SQLite's
side files exist, which means that a program was killed or another one is using the file. `quick_check` takes
about 2 ms per megabyte; `integrity_check`, which also compares every index with its table, takes about 25 ms
(https://www.sqlite.org/pragma.html; measured on one busy core).
"""

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, func, inspect, select

from termbase.errors import Damaged, WordholdError
from termbase.messages import joined, message
from termbase.store import tables as schema
from termbase.store.faults import damaged, in_use, storage_full, unreadable_part
from termbase.store.watching import Database

__all__ = ["Damage", "damage_behind", "damage_of", "make_sure", "make_sure_of_file", "write_again"]

SMALL: Final = 8 * 1024 * 1024
"""Maximum size, in bytes, of a file that is checked whenever it is opened."""


@dataclass(frozen=True)
class Damage:
    """What is broken or missing in a database.

    Attributes:
        missing: our tables that do not exist.
        tables: tables that SQLite cannot read completely.
        indexes: tables whose indexes are broken; an index can be rebuilt from its table.
        elsewhere: something is broken that belongs to no known table or index.
        nameless: the termbase's own record (title, languages) is missing.
    """

    missing: tuple[str, ...] = ()
    tables: tuple[str, ...] = ()
    indexes: tuple[str, ...] = ()
    elsewhere: bool = False
    nameless: bool = False

    def __bool__(self) -> bool:
        return bool(self.missing or self.tables or self.indexes or self.elsewhere or self.nameless)

    @property
    def repairable(self) -> bool:
        """Whether `repair` may be able to fix all of it."""
        return not (self.missing or self.tables or self.elsewhere)

    def error(self, name: str) -> Damaged:
        """Return the damage as an error; `name` is the name of the database for messages."""
        if self.repairable:
            return Damaged(self._description(), where=name, fix=message("Run: wordhold repair"))
        return damaged(self._description(), name)

    def _description(self) -> str:
        sentences = []
        if self.missing:
            sentences.append(message("Tables are missing: %(names)s.", names=", ".join(self.missing)))
        if self.tables:
            sentences.append(
                message("Parts of these tables cannot be read: %(names)s.", names=", ".join(self.tables))
            )
        if self.indexes:
            sentences.append(
                message("Indexes of these tables are broken: %(names)s.", names=", ".join(self.indexes))
            )
        if self.elsewhere:
            sentences.append(message("Parts of the file cannot be read."))
        if self.nameless:
            sentences.append(
                message("The record with the title and the languages of the termbase is missing.")
            )
        return joined((message("The database is damaged."), *sentences))


def make_sure(engine: Engine, database: Database, *, always: bool, left_open: bool) -> None:
    """Raise an error if a database is damaged.

    Args:
        engine: the engine for it.
        database: where it is.
        always: check the file even if it is large.
        left_open: whether SQLite's side files existed before it was opened.

    Raises:
        Damaged: something is broken or missing.
    """
    path = database.path
    checked = path is not None and (always or left_open or path.stat().st_size <= SMALL)
    with engine.connect() as connection:
        damage = damage_of(connection, "quick_check" if checked else "")
    if damage:
        raise damage.error(database.name)


def make_sure_of_file(engine: Engine, database: Database) -> None:
    """Raise an error if a SQLite file is damaged, whatever the version of its tables.

    Raises:
        Damaged: a part of it cannot be read.
    """
    with engine.connect() as connection:
        tables, indexes, elsewhere = _broken(connection, "quick_check")
    damage = Damage(tables=tables, indexes=indexes, elsewhere=elsewhere)
    if damage:
        raise damage.error(database.name)


def damage_behind(engine: Engine, database: Database) -> Damaged | None:
    """Return the damage that may have caused an unexpected failure; None if none is found.

    A small file is checked with its indexes: a row that exists only in an index causes such failures.
    """
    path = database.path
    try:
        small = path is not None and path.stat().st_size <= SMALL
        with engine.connect() as connection:
            damage = damage_of(connection, "integrity_check" if small else "quick_check")
    except Damaged as error:
        return error
    except (WordholdError, OSError):
        return None
    return damage.error(database.name) if damage else None


def damage_of(connection: Connection, check: str) -> Damage:
    """Return what is broken or missing in a database.

    Args:
        connection: the connection to it.
        check: the pragma with which SQLite checks its file, `quick_check` or `integrity_check`; empty for
            none.
    """
    tables, indexes, elsewhere = _broken(connection, check) if check else ((), (), False)
    existing = set(inspect(connection).get_table_names())
    missing = tuple(t.name for t in schema.metadata.sorted_tables if t.name not in existing)
    nameless = False
    if "termbase" in existing and "termbase" not in tables:
        nameless = not connection.scalar(select(func.count()).select_from(schema.termbase))
    return Damage(missing, tables, indexes, elsewhere, nameless)


def write_again(engine: Engine, database: Database) -> Path:
    """Rewrite a SQLite file from its tables, with new indexes, and replace the old file.

    Returns the name that the old file now has.

    Raises:
        Damaged: a table cannot be read; nothing was changed.
        StorageFull: there is not enough space for a second file.
        Unavailable: another program is using the file.
    """
    path = database.path
    if path is None:
        raise ValueError("a server keeps its own files")
    new = _free(path, "repaired")
    engine.dispose()
    if database.was_left_open:  # its log of changes would be replayed into the new file
        raise in_use(database.name)
    try:
        _copy_tables(path, new)
        old = _free(path, "damaged")
        path.rename(old)
        new.rename(path)
    except sqlite3.Error as error:
        full = getattr(error, "sqlite_errorcode", 0) == sqlite3.SQLITE_FULL
        raise storage_full(database.name) if full else unreadable_part(database.name) from error
    finally:
        new.unlink(missing_ok=True)
    return old


def _copy_tables(old: Path, new: Path) -> None:
    """Copy every table of a SQLite file, row by row, and create the indexes of the copy.

    `LIMIT -1` limits nothing, but makes SQLite read only the rows: otherwise it copies indexes page by page,
    even broken ones (the "transfer optimization" of its source, insert.c).
    """
    schema_of = "SELECT name, sql FROM old.sqlite_master WHERE sql IS NOT NULL AND type"
    with closing(sqlite3.connect(new.as_uri(), uri=True, isolation_level=None)) as copy:
        copy.execute("ATTACH ? AS old", (f"{old.as_uri()}?mode=ro",))
        copy.execute("BEGIN")
        for name, sql in copy.execute(f"{schema_of} = 'table' AND name NOT LIKE 'sqlite_%'").fetchall():
            copy.execute(sql)
            copy.execute(f'INSERT INTO main."{name}" SELECT * FROM old."{name}" NOT INDEXED LIMIT -1')
        for _, sql in copy.execute(f"{schema_of} <> 'table'").fetchall():
            copy.execute(sql)
        copy.execute("COMMIT")
        copy.execute("DETACH old")
        copy.execute("PRAGMA journal_mode=WAL")


def _free(path: Path, word: str) -> Path:
    """Return an unused name beside the file."""
    names = (path.with_name(f"{path.name}.{word}{n or ''}") for n in count())
    return next(name for name in names if not name.exists())


def _broken(connection: Connection, check: str) -> tuple[tuple[str, ...], tuple[str, ...], bool]:
    """Return the tables of a SQLite file that are broken, those with broken indexes, and whether something
    else is broken."""
    if connection.dialect.name != "sqlite" or _is_whole(connection, check):
        return (), (), False
    query = "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name"
    try:
        names = [str(name) for (name,) in connection.exec_driver_sql(query)]
    except WordholdError:
        return (), (), True
    broken = [name for name in names if not _is_whole(connection, check, name)]
    tables = tuple(name for name in broken if not _is_readable(connection, name))
    indexes = tuple(name for name in broken if name not in tables)
    return tables, indexes, not broken


def _is_whole(connection: Connection, check: str, table: str = "1") -> bool:
    """Return whether SQLite finds nothing wrong, in the file or in one table and its indexes."""
    try:
        return connection.exec_driver_sql(f"PRAGMA {check}({table})").scalar() == "ok"
    except WordholdError:
        return False


def _is_readable(connection: Connection, table: str) -> bool:
    """Return whether every row of a table can be read without its indexes."""
    try:
        for _ in connection.exec_driver_sql(f'SELECT * FROM "{table}" NOT INDEXED'):
            pass
    except (WordholdError, ValueError):  # a text that is not UTF-8 is a ValueError
        return False
    return True
