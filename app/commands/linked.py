"""Linked data: export skos."""

from pathlib import Path

import click

from app.commands.groups import export
from app.commands.setting import Command, as_json_option, db_option, opened, print_json, progress
from app.selecting import ready_ids
from exports.placing import format_by_extension
from exports.skos import EXTENSIONS, FORMATS, FormatName, write_skos
from exports.skos.vocabulary import DEFAULT_BASE
from termbase.articles import Library

__all__: list[str] = []


@export.command(cls=Command)
@click.option("-o", "--output", required=True, type=click.Path(dir_okay=False, path_type=Path),
              help="File to write.")  # fmt: skip
@click.option(
    "--format", "format_name", type=click.Choice(list(FORMATS)), default=None,
    help="Of the file.", show_default="detect from the file extension",
)  # fmt: skip
@click.option(
    "--base",
    default=DEFAULT_BASE,
    show_default=True,
    help="Address that the termbase is published under.",
)
@click.option("--ready-only", is_flag=True, help="Leave drafts out.")
@as_json_option
@db_option
def skos(
    output: Path, format_name: FormatName | None, base: str, ready_only: bool, as_json: bool, db: str
) -> None:
    """Write the entries as linked data: SKOS with SKOS-XL labels, quotations with PROV.

    Example: wordhold export skos -o glossary.ttl --base https://glossary.example/terms/
    """
    chosen = format_name or format_by_extension(str(output), EXTENSIONS)
    with opened(db) as store, store.read() as reader, progress("entries") as seen:
        ids = ready_ids(reader) if ready_only else None
        report = write_skos(Library(reader), output, chosen, base=base, ids=ids, on_progress=seen)
    if as_json:
        print_json("export skos", file=str(output), report=report)
        return
    click.echo(f"Wrote {output}: {report.concepts} concepts, {report.triples} triples.")
    for line in report.warnings():
        click.echo(line)
    if base == DEFAULT_BASE:
        click.echo(f"Its addresses begin with {base}, which is for examples: give your own with --base.")
