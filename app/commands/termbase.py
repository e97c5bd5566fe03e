"""Commands for a whole termbase: new, upgrade, undo."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypedDict

import click

from app.accesskey import key_from
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
from app.serving import is_loopback, own_names
from app.serving import serve as serve_app
from app.web.workspace import LOCAL_HOSTS, Settings
from exports.backup import reading, writing
from exports.backup.writing import BackupReport
from exports.glossary.pdf.publishing import publish_pdf
from exports.tbx.writer import write_tbx
from termbase.acts import history
from termbase.acts.termbase import Repairs
from termbase.acts.termbase import repair as repair_termbase
from termbase.codes.deeds import Deed
from termbase.demo.loading import fill, load
from termbase.errors import BadInput
from termbase.loading import lazy_module
from termbase.overviews.articles import Library
from termbase.proofing.checks import proof
from termbase.record.people import UNNAMED, Termbase
from termbase.record.validation import clean_termbase
from termbase.store.digest import KindDigest, digest_of
from termbase.store.engine import Store

__all__ = ["announce", "backup", "demo", "digest", "new", "repair", "restore", "serve", "undo", "upgrade"]


if TYPE_CHECKING:
    from app import deeds
    from exports.backup import tables
    from termbase.store import upgrading
else:
    deeds, tables = lazy_module("app.deeds"), lazy_module("exports.backup.tables")
    upgrading = lazy_module("termbase.store.upgrading")


MOST_ACTS = 2**31 - 1  # the largest id that both databases accept


@click.command(cls=Command)
@click.option("--title", default=UNNAMED, show_default=True, help="Title of the termbase.")
@click.option("--language", default="en", show_default=True, help="Working language (BCP 47 tag).")
@click.option("--vernacular", multiple=True, required=True, help="Vernacular (BCP 47 tag); can be repeated.")
@click.option("--licence", default="", help="Licence that it is published under.")
@click.option("--rights", default="", help="Rights statement.")
@db_option
@person_option
def new(
    title: str, language: str, vernacular: tuple[str, ...], licence: str, rights: str, db: str, by: str
) -> None:
    """Create an empty termbase.

    Example: wordhold new --title "Strap-hold wrestling" --vernacular cy --db strap.sqlite
    """
    termbase = clean_termbase(
        Termbase(title, working_language=language, vernaculars=vernacular, licence=licence, rights=rights)
    )
    Store.create(db, termbase, by=by).close()
    click.echo(f"Created {db}. To open it in the browser: wordhold serve --db {db}")


@click.command(cls=Command)
@click.option(
    "--backup", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE",
    help="Where to write the backup. Required with PostgreSQL; a file is backed up beside itself by default.",
)  # fmt: skip
@db_option
def upgrade(backup: Path | None, db: str) -> None:
    """Upgrade a termbase from an older version.

    This writes and checks a backup first, then compares all records before and after the upgrade. If the
    upgrade would alter anything that it should not, nothing is changed.

    Example: wordhold upgrade --db strap.sqlite
    """
    done = upgrading.upgrade(db, tables.TablesZip(), backup=backup, worded=deeds.in_every_language)
    if done.backup is not None and done.digest is not None:
        click.echo(f"Wrote and checked a backup: {done.backup}")
        click.echo(
            "  Keep it private: its pictures may still contain the place and the camera they were taken with."
        )
        click.echo(f"Upgraded the tables from version {done.before} to {done.after}.")
        for what, why in done.changed.items():
            click.echo(f"Changed on purpose: {what} ({why})")
        click.echo(f"Everything else is unchanged. Checksum of all records: {done.digest.whole}")
    click.echo(f"{db} is up to date.")


@click.command(cls=Command)
@click.argument("act_id", type=click.IntRange(1, MOST_ACTS), required=False)
@db_option
@person_option
def undo(act_id: int | None, db: str, by: str) -> None:
    """Undo a change: the latest one, or the one whose number you give.

    Example: wordhold undo 17 --db strap.sqlite
    """
    with opened(db) as store:
        with store.read() as reader:
            act_id = act_id or reader.last_acts(1)[0].id
        with store.act(by, Deed.ACT_TAKEN_BACK_BY_NUMBER(id=act_id), undoes=act_id) as act:
            touched = history.undo(act, act_id)
    click.echo(f"Undid change {act_id}. Records restored: {touched}.")


# The command `serve`: serve a termbase to the browser.


@click.command(cls=Command)
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option(
    "--port",
    default=8765,
    show_default=True,
    type=click.IntRange(0, 65535),
    help="Port to listen on; 0 picks a free one.",
)
@click.option("--name", multiple=True, help="Host name that browsers may use for it; can be repeated.")
@click.option(
    "--key-file", type=click.Path(dir_okay=False, path_type=Path),
    help="File with the access key that each browser is asked for once; created if it does not exist. "
    "Required with a --host that other machines can reach.",
)  # fmt: skip
@db_option
def serve(host: str, port: int, name: tuple[str, ...], key_file: Path | None, db: str) -> None:
    """Serve a termbase to the browser until you press Ctrl+C.

    To let other machines use it, give both --host and --key-file: without a key, everybody on the network
    could read and change the termbase.

    Example: wordhold serve --db strap.sqlite --port 8000
    """
    if key_file is None and not is_loopback(host):
        raise BadInput(
            f"With --host {host} everybody on the network could read and change the termbase.",
            where="serve",
            fix="Add an access key: --key-file FILE (the file is created if it does not exist).",
        )
    key = "" if key_file is None else _key_from(key_file)
    others = () if is_loopback(host) else own_names(host)
    with opened(db, thorough=True) as store:
        hosts = (*LOCAL_HOSTS, host, *others, *name)
        serve_app(Settings(store, hosts=hosts, key=key), host, port, ready=announce)


def _key_from(path: Path) -> str:
    key, is_new = key_from(path)
    if is_new:
        click.echo(f"Created the access key: {key}")
    click.echo(f"Each browser is asked once for the access key in {path}, which only you can read.")
    return key


def announce(address: str) -> None:
    """Print the address of the web app."""
    click.echo(f"Wordhold is running at {address} (press Ctrl+C to stop)")


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
    click.echo(f"Restored {place}: {report.readable()}. It equals what was backed up, including the history.")


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


# The command `demo`: create the invented demo and serve it.


@click.command(cls=Command)
@click.option("--dir", "folder", type=click.Path(file_okay=False, path_type=Path), default="wordhold-demo",
              show_default=True, help="Folder for the demo.")  # fmt: skip
@click.option(
    "--port",
    default=8765,
    show_default=True,
    type=click.IntRange(0, 65535),
    help="Port to listen on; 0 picks a free one.",
)
@click.option("--no-serve", is_flag=True, help="Create the files but do not serve them.")
def demo(folder: Path, port: int, no_serve: bool) -> None:
    """Create the invented demo (termbase, TBX file, PDF glossary) and serve it.

    Example: wordhold demo --dir wordhold-demo --port 8000
    """
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "demo.sqlite"
    if path.exists():
        store = _open_demo(path)
        click.echo(f"Using the existing demo in {path} (delete the folder to start again).")
    else:
        store = fill(str(path), load())
        click.echo(f"Created {path}.")
    _publish(store, folder)
    if not no_serve:
        serve_app(Settings(store), "127.0.0.1", port, ready=announce)
    store.close()


def _open_demo(path: Path) -> Store:
    store = Store.open(str(path))
    with store.read() as reader:
        if not reader.termbase().notice:
            raise BadInput(
                "This termbase is not the demo.", where=str(path), fix="Choose another folder with --dir."
            )
    return store


def _publish(store: Store, folder: Path) -> None:
    with store.read() as reader:
        library = Library(reader)
        with progress("TBX") as seen:
            losses = write_tbx(library, folder / "glossary.tbx", dialect="basic-dca", on_progress=seen)
        click.echo(f"Created {folder / 'glossary.tbx'}: {losses.entries} entries, {losses.terms} terms.")
        with progress("PDF") as seen:
            printed = publish_pdf(
                library, folder / "glossary.pdf", paper="a5", as_of=today(), on_progress=seen
            )
        click.echo(f"Created {folder / 'glossary.pdf'}: {printed.entries} entries on {printed.pages} pages.")
        number = len(proof(library))
        click.echo(
            f"Proof has {number} findings, most of them planted on purpose: open Proof in the browser."
        )
