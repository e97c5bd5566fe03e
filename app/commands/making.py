"""Making and serving a termbase: new, serve, upgrade, undo."""

import click

from app.commands.setting import Command, db_option, opened, person_option
from app.serving import serve as serve_app
from app.web.settings import LOCAL_HOSTS, Settings
from termbase.acts import history
from termbase.intake import take_termbase
from termbase.people import Termbase
from termbase.store import Store

__all__ = ["new", "serve", "undo", "upgrade"]


@click.command(cls=Command)
@click.option("--title", required=True, help="What the termbase is called.")
@click.option("--language", default="en", show_default=True, help="Working language (BCP 47 tag).")
@click.option(
    "--vernacular", multiple=True, required=True, help="Vernacular (BCP 47 tag); may be given again."
)
@click.option("--licence", default="", help="Licence under which it is published.")
@click.option("--rights", default="", help="Statement of rights.")
@db_option
@person_option
def new(
    title: str, language: str, vernacular: tuple[str, ...], licence: str, rights: str, db: str, by: str
) -> None:
    """Make an empty termbase.

    Example: wordhold new --title "Strap-hold wrestling" --vernacular cy --db strap.sqlite
    """
    termbase = take_termbase(Termbase(title, language, vernacular, licence, rights))
    Store.create(db, termbase, by=by).close()
    click.echo(f"Made {db}. Look at it with: wordhold serve --db {db}")


@click.command(cls=Command)
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option(
    "--port", default=8765, show_default=True, type=click.IntRange(0, 65535), help="0: any free one."
)
@click.option("--name", multiple=True, help="Host name by which browsers ask for it; may be given again.")
@db_option
def serve(host: str, port: int, name: tuple[str, ...], db: str) -> None:
    """Serve a termbase to the browser until interrupted (Ctrl+C).

    Example: wordhold serve --db strap.sqlite --port 8000
    """
    with opened(db) as store:
        serve_app(Settings(store, hosts=(*LOCAL_HOSTS, host, *name)), host, port, ready=announce)


def announce(address: str) -> None:
    """Say where the termbase can be seen."""
    click.echo(f"Wordhold is at {address} (stop with Ctrl+C)")


@click.command(cls=Command)
@db_option
def upgrade(db: str) -> None:
    """Bring a termbase made by an older version up to this one.

    Example: wordhold upgrade --db strap.sqlite
    """
    Store.upgrade_at(db)
    click.echo(f"{db} is up to date.")


@click.command(cls=Command)
@click.argument("act_id", type=int, required=False)
@db_option
@person_option
def undo(act_id: int | None, db: str, by: str) -> None:
    """Take back an act (the last one, unless its number is given).

    Example: wordhold undo 17 --db strap.sqlite
    """
    with opened(db) as store:
        with store.read() as reader:
            act_id = act_id or reader.last_acts(1)[0].id
        with store.act(by, f"took back act {act_id}", undoes=act_id) as act:
            touched = history.undo(act, act_id)
    click.echo(f"Took back act {act_id}: {touched} records are as they were before.")
