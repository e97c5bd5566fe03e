"""Serving a termbase to the browser: serve."""

import click

from app.commands.setting import Command, db_option, opened
from app.serving import serve as serve_app
from app.web.settings import LOCAL_HOSTS, Settings

__all__ = ["announce", "serve"]


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
