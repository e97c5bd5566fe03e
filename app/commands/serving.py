"""Commands that serve a termbase to the browser: `serve`, and `demo`, which creates the demo first."""

from pathlib import Path

import click

from app.accesskey import key_from
from app.commands.context import (
    Command,
    db_option,
    opened,
    progress,
    today,
)
from app.serving import is_loopback, own_names
from app.serving import serve as serve_app
from app.web.workspace import LOCAL_HOSTS, Settings
from exports.glossary.pdf.publishing import publish_pdf
from exports.tbx.writer import write_tbx
from termbase.demo.loading import fill, load
from termbase.errors import BadInput
from termbase.overviews.articles import Library
from termbase.proofing.checks import proof
from termbase.store.engine import Store

__all__ = ["announce", "demo", "serve"]


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
