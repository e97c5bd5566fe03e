"""Commands on citations: `import citations`, and `source cite`."""

from collections import Counter
from pathlib import Path
from typing import Annotated, TypedDict

import click

from app.commands.context import Command, as_json_option, db_option, opened, person_option, print_json
from app.commands.groups import import_, source
from exports.citations.formats import FORMATS, FormatName, read_works
from exports.citations.importing import PlannedSource, import_sources, plan_sources
from exports.citations.styles import STYLES, StyleName, styled
from termbase.codes.deeds import Deed
from termbase.importing.records import State
from termbase.record.sources import Source


class WorksDocument(TypedDict):
    """What `import citations --json` prints."""

    dry_run: Annotated[bool, "whether nothing was written"]
    counts: Annotated[dict[str, int], "how many sources are new, changed or the same"]
    sources: Annotated[tuple[PlannedSource, ...], "what happens to each source"]


class CiteDocument(TypedDict):
    """What `source cite --json` prints."""

    style: Annotated[str, "the citation style"]
    sources: Annotated[dict[str, str], "the citation of each source, by id"]


@import_.command("citations", cls=Command)
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--format", "format_name", type=click.Choice(list(FORMATS)), default=None,
              help="Format of the file.", show_default="detect from the file extension")  # fmt: skip
@click.option("--dry-run", is_flag=True, help="Only show what would be imported; write nothing.")
@as_json_option(WorksDocument)
@db_option
@person_option
def import_citations(
    file: Path, format_name: FormatName | None, dry_run: bool, as_json: bool, db: str, by: str
) -> None:
    """Import sources from CSL-JSON, BibTeX or RIS: all of them or none.

    Example: wordhold import citations library.bib --dry-run
    """
    works = read_works(file.read_bytes(), file.name, format_name)
    with opened(db) as store:
        if dry_run:
            with store.read() as reader:
                planned = plan_sources(reader, works, file.name)
        else:
            with store.act(by, Deed.FILE_TAKEN_IN(file=file.name)) as act:
                planned = plan_sources(act, works, file.name)
                import_sources(act, planned)
    _print_plan(planned, dry_run=dry_run, as_json=as_json)


def _print_plan(planned: tuple[PlannedSource, ...], *, dry_run: bool, as_json: bool) -> None:
    counts = {state.value: sum(1 for source in planned if source.state is state) for state in State}
    if as_json:
        print_json("import citations", **WorksDocument(dry_run=dry_run, counts=counts, sources=planned))
        return
    for planned_source in planned:
        if planned_source.state is not State.SAME:
            click.echo(
                f"{planned_source.state.value}\t{planned_source.source.label}\t{planned_source.source.title}"
            )
        for change in planned_source.differences:
            click.echo(f"  {change.field}: {change.before!r} -> {change.after!r}")
    if unread := Counter(name for planned_source in planned for name in planned_source.unread):
        names = ", ".join(f"{name} {number}" for name, number in unread.most_common())
        click.echo(f"Not recognized and left out: {names}.")
    summary = ", ".join(f"{number} {state}" for state, number in counts.items())
    click.echo(f"{'Would import' if dry_run else 'Imported'}: {summary}.")


@source.command(cls=Command)
@click.option("--style", type=click.Choice(list(STYLES)), default="chicago", show_default=True,
              help="Citation style.")  # fmt: skip
@as_json_option(CiteDocument)
@db_option
def cite(style: StyleName, as_json: bool, db: str) -> None:
    """Print the sources in a citation style (CSL).

    Example: wordhold source cite --style oxford
    """
    with opened(db) as store, store.read() as reader:
        shown = dict(styled(reader.all(Source), style))
    if as_json:
        print_json("source cite", **CiteDocument(style=style, sources=shown))
        return
    for line in shown.values():
        click.echo(line)
