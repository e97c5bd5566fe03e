"""The command `serve`: serve a termbase to the browser."""

from pathlib import Path

import click

from app.accesskey import key_from
from app.commands.context import Command, db_option, opened
from app.serving import is_loopback, own_names
from app.serving import serve as serve_app
from app.web.settings import LOCAL_HOSTS, Settings
from termbase.errors import BadInput

__all__ = ["announce", "serve"]


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
