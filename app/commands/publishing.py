"""Ways out: export tbx, publish pdf."""

from pathlib import Path

import click

from app.commands.setting import Command, as_json_option, db_option, opened, print_json, progress, today
from exports.glossary.print.choices import Paper, Selection
from exports.glossary.print.publishing import publish_pdf
from exports.tbx import DIALECTS, DialectName, write_tbx
from termbase.articles import Library

__all__ = ["export", "publish"]


@click.group()
def export() -> None:
    """Exchange files for other systems."""


@export.command(cls=Command)
@click.option("--dialect", type=click.Choice(DIALECTS), default="basic-dca", show_default=True)
@click.option(
    "-o", "--output", required=True, type=click.Path(dir_okay=False, path_type=Path), help="File to write."
)
@as_json_option
@db_option
def tbx(dialect: DialectName, output: Path, as_json: bool, db: str) -> None:
    """Write a TBX file (ISO 30042) and say what it could not carry.

    Example: wordhold export tbx --dialect basic-dca -o glossary.tbx
    """
    with opened(db) as store, store.read() as reader, progress("entries") as seen:
        report = write_tbx(Library(reader), output, dialect=dialect, on_progress=seen)
    if as_json:
        print_json("export tbx", file=str(output), report=report)
        return
    click.echo(f"Wrote {output}.")
    for line in report.readable():
        click.echo(line)


@click.group()
def publish() -> None:
    """Books and sites for readers."""


@publish.command(cls=Command)
@click.option(
    "-o", "--output", required=True, type=click.Path(dir_okay=False, path_type=Path), help="File to write."
)
@click.option("--paper", type=click.Choice(["a5", "a4"]), default="a5", show_default=True)
@click.option("--ready-only", is_flag=True, help="Leave drafts out.")
@click.option("--mark-missing", is_flag=True, help="Print characters that no face has as code points.")
@as_json_option
@db_option
def pdf(output: Path, paper: Paper, ready_only: bool, mark_missing: bool, as_json: bool, db: str) -> None:
    """Print the bilingual glossary as PDF.

    Example: wordhold publish pdf -o glossary.pdf --paper a5
    """
    with opened(db) as store, store.read() as reader, progress("entries") as seen:
        chosen = Selection(drafts=not ready_only, mark_missing=mark_missing)
        report = publish_pdf(
            Library(reader), output, paper=paper, selection=chosen, as_of=today(), on_progress=seen
        )
    if as_json:
        print_json("publish pdf", file=str(output), report=report)
        return
    click.echo(f"Wrote {output}: {report.entries} entries on {report.pages} pages.")
