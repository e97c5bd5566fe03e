"""Commands on the whole record: `backup`, `restore`, `digest` and `repair`."""

from pathlib import Path
from typing import Annotated, TypedDict

import click

from app.commands.context import (
    Command,
    as_json_option,
    db_option,
    opened,
    person_option,
    print_json,
    progress,
    today,
)
from app.deeds import in_every_language
from exports.backup import reading, writing
from exports.backup.writing import BackupReport
from termbase.acts.termbase import Repairs
from termbase.acts.termbase import repair as repair_termbase
from termbase.store.digest import KindDigest, digest_of
from termbase.store.engine import Store

__all__ = ["backup", "digest", "repair", "restore"]


# Keeping everything: backup, restore, digest, repair.


class BackupDocument(TypedDict):
    """What `backup --json` prints."""

    file: Annotated[str, "path of the backup"]
    report: Annotated[BackupReport, "what was written"]


class RestoreDocument(TypedDict):
    """What `restore --json` prints."""

    db: Annotated[str, "the new termbase"]
    report: Annotated[BackupReport, "what was restored"]


class DigestDocument(TypedDict):
    """What `digest --json` prints."""

    tables: Annotated[str, "version of the tables"]
    kinds: Annotated[
        dict[str, KindDigest], "a digest for each table, and for the acts in each language (`acts in TAG`)"
    ]
    digest: Annotated[str, "digest of the whole record"]


@click.command(cls=Command)
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@as_json_option(BackupDocument)
@db_option
def backup(file: Path, as_json: bool, db: str) -> None:
    """Back up everything (records, pictures, history) to one zip FILE.

    Example: wordhold backup strap-2026-03-01.zip --db strap.sqlite
    """
    with opened(db) as store, store.read() as reader, progress("records") as seen:
        report = writing.write_backup(reader, file, made_on=today(), on_progress=seen)
    if as_json:
        print_json("backup", **BackupDocument(file=str(file), report=report))
        return
    click.echo(f"Wrote {file}: {report.readable()}.")


@click.command(cls=Command)
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--db", "place", required=True, metavar="NEW", help="New termbase: a file that does not exist "
              "yet, or an empty database at postgresql://...")  # fmt: skip
@click.option("--as-it-was", is_flag=True, help="Keep the tables of the older version that wrote it.")
@as_json_option(RestoreDocument)
def restore(file: Path, place: str, as_it_was: bool, as_json: bool) -> None:
    """Restore a backup FILE to a new database.

    Example: wordhold restore strap-2026-03-01.zip --db restored.sqlite
    """
    with progress("records") as seen:
        report = reading.restore(file, place, as_it_was=as_it_was, on_progress=seen)
    if as_json:
        print_json("restore", **RestoreDocument(db=place, report=report))
        return
    click.echo(
        f"Restored {place}: {report.readable()}. It equals the backed-up termbase, including the history."
    )


@click.command(cls=Command)
@db_option
@person_option
def repair(db: str, by: str) -> None:
    """Check a termbase for damage and repair what can be repaired.

    It rebuilds broken indexes and restores a missing title record from the history. Any other damage is only
    reported: restore your newest backup.

    Example: wordhold repair --db strap.sqlite
    """
    repairs = repair_termbase(db, by=by)
    if repairs.indexes:
        click.echo(f"Rebuilt the indexes of these tables: {', '.join(repairs.indexes)}.")
        click.echo(f"The damaged file is kept as {repairs.kept}.")
    if repairs.termbase:
        click.echo(f"Restored the title and the languages: {repairs.termbase}.")
    click.echo(f"{db} is not damaged." if repairs == Repairs() else f"{db} is repaired.")


@click.command(cls=Command)
@as_json_option(DigestDocument)
@db_option
def digest(as_json: bool, db: str) -> None:
    """Print a checksum of all records: equal checksums mean equal records.

    It covers every record, every version in the history, every picture, and the description of every change
    in English, Welsh and Irish. SQLite, PostgreSQL and a restored backup give the same checksum.

    Example: wordhold digest --db strap.sqlite
    """
    store = Store.open_any(db)
    try:
        tables = store.version()
        with store.read() as reader:
            result = digest_of(reader.connection, in_every_language)
    finally:
        store.close()
    if as_json:
        print_json("digest", **DigestDocument(tables=tables, kinds=result.kinds, digest=result.whole))
        return
    for name, kind in result.kinds.items():
        click.echo(f"{kind.number:>9}  {name:<12} {kind.sha256}")
    click.echo(f"{'':>9}  {'whole':<12} {result.whole}")
