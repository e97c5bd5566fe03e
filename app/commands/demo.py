"""The invented demo, made and served in one go."""

from pathlib import Path

import click

from app.commands.serving import announce
from app.commands.setting import Command, progress, today
from app.serving import serve
from app.web.settings import Settings
from exports.glossary.print.publishing import publish_pdf
from exports.tbx.writer import write_tbx
from termbase.articles import Library
from termbase.demo import load
from termbase.demo.filling import fill
from termbase.errors import BadInput
from termbase.proofing import proof
from termbase.store import Store

__all__ = ["demo"]


@click.command(cls=Command)
@click.option("--dir", "folder", type=click.Path(file_okay=False, path_type=Path), default="wordhold-demo",
              show_default=True, help="Where to make it.")  # fmt: skip
@click.option(
    "--port", default=8765, show_default=True, type=click.IntRange(0, 65535), help="0: any free one."
)
@click.option("--no-serve", is_flag=True, help="Make the files only.")
def demo(folder: Path, port: int, no_serve: bool) -> None:
    """Make the invented demo: termbase, TBX file and glossary PDF; then serve it.

    Example: wordhold demo --dir wordhold-demo --port 8000
    """
    folder.mkdir(parents=True, exist_ok=True)
    place = folder / "demo.sqlite"
    if place.exists():
        store = _known(place)
        click.echo(f"Using the demo that is there: {place} (remove the folder to start afresh).")
    else:
        store = fill(str(place), load())
        click.echo(f"Made {place}.")
    _publish(store, folder)
    if not no_serve:
        serve(Settings(store), "127.0.0.1", port, ready=announce)
    store.close()


def _known(place: Path) -> Store:
    store = Store.open(str(place))
    with store.read() as reader:
        if not reader.termbase().notice:
            raise BadInput(
                "This is not the demo.", where=str(place), mend="Choose another folder with --dir."
            )
    return store


def _publish(store: Store, folder: Path) -> None:
    with store.read() as reader:
        library = Library(reader)
        with progress("TBX") as seen:
            losses = write_tbx(library, folder / "glossary.tbx", dialect="basic-dca", on_progress=seen)
        click.echo(f"Made {folder / 'glossary.tbx'}: {losses.entries} entries, {losses.terms} terms.")
        with progress("PDF") as seen:
            printed = publish_pdf(
                library, folder / "glossary.pdf", paper="a5", as_of=today(), on_progress=seen
            )
        click.echo(f"Made {folder / 'glossary.pdf'}: {printed.entries} entries on {printed.pages} pages.")
        found = len(proof(library))
        click.echo(f"Proof has {found} findings, most of them planted on purpose: see Proof in the browser.")
