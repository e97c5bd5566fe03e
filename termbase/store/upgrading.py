"""Upgrading a termbase to this version, with a backup first and a check that nothing is lost.

The upgrade is one transaction. If it is interrupted at any moment, the termbase is either unchanged or fully
upgraded, and can be upgraded again.
"""

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from typing import Protocol

from sqlalchemy import Connection
from sqlalchemy.exc import DatabaseError

from termbase.errors import BadInput, WordholdError
from termbase.messages import message
from termbase.store.databases import check_keys, engine_at, file_of, shown, unusable
from termbase.store.digest import Digest, Worded, digest_of
from termbase.store.engine import Store, check_version
from termbase.store.integrity import make_sure_of_file
from termbase.store.making import new_file
from termbase.store.migrating import declared_changes, migrate
from termbase.store.versions import known_tables, tables_version, version_of

__all__ = ["TablesFile", "Upgraded", "upgrade"]


class TablesFile(Protocol):
    """A file that contains the tables of any version: the backup if there is no database file to copy."""

    def write(self, connection: Connection, path: Path) -> None:
        """Write the tables; nothing may be there yet."""

    def digest(self, path: Path, worded: Worded | None) -> Digest:
        """Return the digest of the record in a written file, read back from it."""


@dataclass(frozen=True)
class Upgraded:
    """The result of an upgrade.

    Attributes:
        before, after: versions of the tables; the same if there was nothing to do.
        backup: the file with the termbase as it was; None if there was nothing to do.
        digest: digest of the upgraded record.
        changed: the intended changes with their reasons; see `declared_changes`.
    """

    before: str
    after: str
    backup: Path | None = None
    digest: Digest | None = None
    changed: dict[str, str] = field(default_factory=dict)


def upgrade(
    place: str, tables_file: TablesFile, *, backup: Path | None = None, worded: Worded | None = None
) -> Upgraded:
    """Upgrade a termbase of an older version to this one.

    Args:
        place: path or URL.
        tables_file: writes the backup of a database that is not a file.
        backup: path for the backup; None: beside the database file.
        worded: describes an act as the interface does; the descriptions must not change either.

    Raises:
        NotFound: there is nothing there.
        BadInput: it is not a termbase, or is from a newer version; a path for the backup is needed but not
            given; or something would change that must not. Nothing is changed then.
        Damaged: something in it is broken.
        OSError: the backup cannot be written.
    """
    store = Store.open_any(place, foreign_keys=False)
    try:
        make_sure_of_file(store.engine, store.database)
        version = store.version()
        if version == tables_version():
            return Upgraded(version, version)
        if backup is None and file_of(place) is None:
            raise BadInput(
                message("An upgrade makes a backup first, and no path for it was given."),
                where=place,
                fix=message("Give a path on this computer: wordhold upgrade --backup FILE.zip"),
            )
        with store.writing() as connection:
            done = _upgrade(connection, place, tables_file, backup, worded)
    except DatabaseError as error:
        raise unusable(place) from error
    finally:
        store.close()
    return done


def _upgrade(
    connection: Connection, place: str, tables_file: TablesFile, backup: Path | None, worded: Worded | None
) -> Upgraded:
    version = version_of(connection, shown(place)) or ""
    check_version(version, place, known_tables())
    if version == tables_version():  # another run was faster
        return Upgraded(version, version)
    original = digest_of(connection, worded)
    saved = _saved(place, version, original, connection, tables_file, backup, worded)
    changed = declared_changes(version)
    before = digest_of(connection, worded, changed) if changed else original
    migrate(connection)
    check_keys(connection)
    after = digest_of(connection, worded)
    compared = digest_of(connection, worded, changed) if changed else after
    if differing := before.differing(compared):
        raise BadInput(
            message(
                "The upgrade would change records that it must not change: %(kinds)s.",
                kinds=", ".join(differing),
            ),
            where=place,
            fix=message("Nothing has been changed. Keep using the older version, and report this error."),
        )
    return Upgraded(version, tables_version(), saved, after, changed)


def _saved(
    place: str,
    version: str,
    original: Digest,
    connection: Connection,
    tables_file: TablesFile,
    backup: Path | None,
    worded: Worded | None,
) -> Path:
    """Write a backup, read it back and compare it; return its path. A backup from an interrupted run is
    reused."""
    database = file_of(place)
    for path in (backup,) if backup else _free_names(database or Path(place), version):
        if not path.exists():
            if database is not None:
                _copy_file(database, path)
            else:
                tables_file.write(connection, path)
            if _digest_in(path, database, tables_file, worded) != original:
                path.unlink()
                raise BadInput(
                    message("The backup does not match the termbase."),
                    where=str(path),
                    fix=message("Nothing has been changed. Check the disk and try again."),
                )
            return path
        if _digest_in(path, database, tables_file, worded) == original:
            return path
    raise BadInput(
        message("This file already exists."),
        where=str(backup),
        fix=message("Choose another name for the backup."),
    )


def _free_names(database: Path, version: str) -> Iterator[Path]:
    """Yield names beside the database that show which tables it has: `ours.tables-0002.sqlite`."""
    for number in count(1):
        more = f"-{number}" if number > 1 else ""
        yield database.with_name(f"{database.stem}.tables-{version}{more}{database.suffix}")


def _copy_file(database: Path, path: Path) -> None:
    with (
        new_file(path, str(path)) as unfinished,
        closing(sqlite3.connect(database)) as source,
        closing(sqlite3.connect(unfinished)) as copy,
    ):
        source.backup(copy)
        shutil.copymode(database, unfinished)  # readable by the same people
        (result,) = copy.execute("PRAGMA integrity_check(1)").fetchone()
        if result != "ok":
            raise BadInput(
                message("The database is damaged: %(error)s.", error=result),
                where=str(database),
                fix=message("Nothing has been changed. Restore the newest backup to a new location."),
            )


def _digest_in(
    path: Path, database: Path | None, tables_file: TablesFile, worded: Worded | None
) -> Digest | None:
    """Return the digest of a file that may be a backup; None if it is not one."""
    try:
        if database is None:
            return tables_file.digest(path, worded)
        engine = engine_at(str(path))
        try:
            with engine.connect() as connection:
                return digest_of(connection, worded)
        finally:
            engine.dispose()
    except (WordholdError, DatabaseError):
        return None
