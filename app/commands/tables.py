"""Importing tables from spreadsheets: `import csv` and `import xlsx`."""

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, ParamSpec, TypedDict, TypeVar, Unpack

import click

from app.commands.context import Command, as_json_option, db_option, opened, person_option, print_json
from app.commands.groups import import_
from exports.tables.detecting import ENCODINGS
from exports.tables.fields import table_fields
from exports.tables.importing import TablePlan, import_table, plan_table
from exports.tables.mapping import guess, remapped
from exports.tables.quoting import PlannedSlip
from exports.tables.reading import Sheet, read_csv, read_xlsx
from termbase.codes.deeds import Deed
from termbase.importing.records import State
from termbase.record.differences import Difference
from termbase.record.sources import Slip
from termbase.store.reading import Reader

__all__: list[str] = []

P = ParamSpec("P")
R = TypeVar("R")
SHOWN = 20
"""Entries listed one by one; --json lists all."""


class ImportOptions(TypedDict):
    """The options that control how a table is imported."""

    asked: tuple[str, ...]
    defaults: tuple[str, ...]
    one: tuple[str, ...]
    several: tuple[str, ...]
    dry_run: bool
    as_json: bool
    db: str
    by: str


class TableEntry(TypedDict):
    """What happens to an entry."""

    state: Annotated[State, "whether it is new, changed or the same"]
    id: Annotated[str, "id of the entry; empty if it is new"]
    name: Annotated[str, "its name"]
    rows: Annotated[tuple[int, ...], "the rows it comes from"]
    differences: Annotated[tuple[Difference, ...], "what changes"]
    slips: Annotated[
        list[dict[str, object]],
        "its new slips: `row`, `source`, `name` and `language` of the name, and fields of a slip by name",
    ]


class TableDocument(TypedDict):
    """What `import csv --json` and `import xlsx --json` print."""

    dry_run: Annotated[bool, "whether nothing was written"]
    encoding: Annotated[str, "encoding of a CSV file; empty for XLSX"]
    delimiter: Annotated[str, "cell separator of a CSV file; empty for XLSX"]
    columns: Annotated[dict[str, str], "the field of each column, by heading"]
    counts: Annotated[dict[str, int], "how many entries are new, changed or the same"]
    slips: Annotated[int, "how many slips"]
    new_sources: Annotated[tuple[str, ...], "labels of new sources"]
    entries: Annotated[list[TableEntry], "every entry"]


def _import_options(command: Callable[P, R]) -> Callable[P, R]:
    for option in (
        click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path)),
        click.option("--map", "asked", multiple=True, metavar="HEADING=FIELD",
                     help="Field for a column (HEADING= ignores it); can be repeated."),
        click.option("--default", "defaults", multiple=True, metavar="FIELD=VALUE",
                     help="Value for a field where its cell is empty (origin=word-list); can be repeated."),
        click.option("--one", "one", multiple=True, metavar="HEADING",
                     help="A column of names where a cell with commas is one name; can be repeated."),
        click.option("--several", "several", multiple=True, metavar="HEADING",
                     help="A column of names where commas and semicolons separate names; can be repeated."),
        click.option("--dry-run", is_flag=True, help="Only show what would be imported; write nothing."),
        as_json_option(TableDocument),
        db_option,
        person_option,
    ):  # fmt: skip
        command = option(command)
    return command


@import_.command("csv", cls=Command)
@click.option(
    "--delimiter", default="", help="Separator between cells.", show_default="detected from the rows"
)
@click.option("--encoding", type=click.Choice(list(ENCODINGS)), default=None,
              show_default="detected from the file, and shown", help="Encoding of the text.")  # fmt: skip
@_import_options
def import_csv(file: Path, delimiter: str, encoding: str | None, **how: Unpack[ImportOptions]) -> None:
    """Import entries from a CSV file: all of them or none.

    A row with a source and a quotation, or a source and a date, creates a slip. Use --dry-run first:
    it shows the encoding, the field for each column, and what would change.

    Example: wordhold import csv list.csv --map "Head=names:en" --default origin=word-list --dry-run
    """
    content = file.read_bytes()
    _import("import csv", read_csv(content, file.name, delimiter=delimiter, encoding=encoding or ""), how)


@import_.command("xlsx", cls=Command)
@click.option("--sheet", default="", help="Title of the sheet.", show_default="the first sheet")
@_import_options
def import_xlsx(file: Path, sheet: str, **how: Unpack[ImportOptions]) -> None:
    """Import entries from a sheet of an XLSX file: all of them or none.

    Example: wordhold import xlsx list.xlsx --dry-run
    """
    _import("import xlsx", read_xlsx(file, sheet=sheet), how)


def _import(command: str, sheet: Sheet, how: ImportOptions) -> None:
    def planned(reader: Reader) -> TablePlan:
        mapping = remapped(
            guess(sheet.head, reader.termbase().languages), sheet.head, how["asked"], how["defaults"],
            one=how["one"], several=how["several"],
        )  # fmt: skip
        return plan_table(reader, sheet, mapping)

    with opened(how["db"]) as store:
        if how["dry_run"]:
            with store.read() as reader:
                plan = planned(reader)
        else:
            with store.act(how["by"], Deed.FILE_TAKEN_IN(file=sheet.name)) as act:
                plan = planned(act)
                import_table(act, plan)
    _print_plan(command, sheet, plan, dry_run=how["dry_run"], as_json=how["as_json"])


def _print_plan(command: str, sheet: Sheet, plan: TablePlan, *, dry_run: bool, as_json: bool) -> None:
    counts = {state.value: plan.count(state) for state in State}
    if as_json:
        entries = [
            TableEntry(
                state=each.state, id=each.entry.id, name=each.name, rows=each.rows,
                differences=each.differences, slips=[_slip_fields(slip) for slip in each.slips],
            )
            for each in plan.entries
        ]  # fmt: skip
        document = TableDocument(
            dry_run=dry_run, encoding=sheet.encoding, delimiter=sheet.delimiter, columns=dict(plan.columns),
            counts=counts, slips=plan.slips, new_sources=plan.new_sources, entries=entries,
        )  # fmt: skip
        print_json(command, **document)
        return
    if sheet.encoding:
        between = {"\t": "tab"}.get(sheet.delimiter, sheet.delimiter)
        click.echo(f"Read as {sheet.encoding}; separator: {between}")
    for heading, key in plan.columns:
        click.echo(f"  {heading} -> {key or '(ignored)'}")
    listed = [entry for entry in plan.entries if entry.state is not State.SAME]
    for entry in listed[:SHOWN]:
        click.echo(f"{entry.state.value}\t{entry.entry.id or '(new id)'}\t{entry.name}")
        for change in entry.differences:
            click.echo(f"  {change.field}: {change.before!r} -> {change.after!r}")
        for slip in entry.slips:
            click.echo(f"  slip: {_slip_text(slip)}")
    if len(listed) > SHOWN:
        click.echo(f"... and {len(listed) - SHOWN} more.")
    summed = ", ".join(f"{number} {state}" for state, number in counts.items())
    click.echo(f"{'Would import' if dry_run else 'Imported'}: {summed}; {plan.slips} slips.")
    if plan.new_sources:
        click.echo(f"New sources: {'; '.join(plan.new_sources)}.")


def _slip_fields(planned: PlannedSlip) -> dict[str, object]:
    text, language = planned.name or ("", "")
    fields = {field.name: getattr(planned.slip, field.name) for field in table_fields(Slip)}
    return {**fields, "row": planned.row, "source": planned.source, "name": text, "language": language}


def _slip_text(planned: PlannedSlip) -> str:
    name = planned.name[0] if planned.name else "(unsorted)"
    date = f", {planned.slip.date}" if planned.slip.date else ""
    return f"{name}: “{planned.slip.text}” ({planned.source}{date})"
