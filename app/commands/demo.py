"""The command `demo`: create the invented demo and serve it."""

from pathlib import Path

import click

from app.commands.context import Command, progress, today
from app.commands.serving import announce
from app.serving import serve
from app.web.settings import Settings
from exports.glossary.pdf.publishing import publish_pdf
from exports.tbx.writer import write_tbx
from termbase.demo.filling import fill
from termbase.demo.loading import load
from termbase.errors import BadInput
from termbase.overviews.articles import Library
from termbase.proofing.checks import proof
from termbase.store.engine import Store

__all__ = ["demo"]


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
        serve(Settings(store), "127.0.0.1", port, ready=announce)
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
