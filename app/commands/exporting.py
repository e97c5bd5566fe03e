"""Files for term banks: export tbx."""

from pathlib import Path

import click

from app.commands.groups import export
from app.commands.setting import Command, as_json_option, db_option, opened, print_json, progress
from exports.tbx.markup import DIALECTS, DialectName
from exports.tbx.writer import write_tbx
from termbase.articles import Library

__all__: list[str] = []


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
