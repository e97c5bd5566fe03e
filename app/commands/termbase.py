"""Commands for a whole termbase: new, upgrade, undo."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.commands.context import (
    Command,
    db_option,
    opened,
    person_option,
)
from termbase.acts import history
from termbase.codes.deeds import Deed
from termbase.loading import lazy_module
from termbase.record.people import UNNAMED, Termbase
from termbase.record.validation import clean_termbase
from termbase.store.engine import Store

__all__ = ["new", "undo", "upgrade"]


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
