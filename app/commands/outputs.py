"""The commands under export and publish, built from the table of outputs."""

from pathlib import Path

import click

from app.commands.asking import Given, option_values, output_option, output_options
from app.commands.context import Command, as_json_option, db_option, opened, print_json, progress, today
from app.commands.groups import export, publish
from app.commands.publishing import proofed
from app.reports import document, printed
from app.selection import Order
from exports.outputs import Output, of_group
from termbase.overviews.articles import Library

__all__: list[str] = []


def _command(output: Output) -> click.Command:
    """Return the command that writes an output."""

    @output_option(output.path_help, folder=bool(output.folder))
    @output_options(output.options)
    @as_json_option()
    @db_option
    def written(path: Path, as_json: bool, db: str, **given: Given) -> None:
        _write(output, path, as_json, db, given)

    told = f"{output.summary}\n\nExample: wordhold {output.group} {output.name} {output.example}"
    return click.command(output.name, cls=Command, help=told)(written)


def _write(output: Output, path: Path, as_json: bool, db: str, given: dict[str, Given]) -> None:
    if output.exact and path.suffix.lower() != output.suffix:
        raise click.BadParameter(f"the file name must end in {output.suffix}", param_hint="--output")
    day = today() if output.dated else ""
    asked = option_values(output.options, given, path)
    with opened(db) as store, store.read() as reader:
        order = Order.of(reader, output, asked)
        library = Library(reader)
        if output.selects:
            proofed(library, order)
        with progress(output.counted) as seen:
            report = order.write(library, path, day=day, ids=order.ids(reader), on_progress=seen)
    if as_json:
        print_json(f"{output.group} {output.name}", **document(output, str(path), report))
        return
    for line in printed(output, str(path), report):
        click.echo(line)


for _output in of_group("export"):
    export.add_command(_command(_output))
for _output in of_group("publish"):
    publish.add_command(_command(_output))
