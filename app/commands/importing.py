"""Importing TBX files: `import tbx`."""

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, NotRequired, TypedDict, Unpack

import click

from app.commands.context import (
    Command,
    as_json_option,
    db_option,
    opened,
    person_option,
    print_json,
    progress,
)
from app.commands.groups import import_
from exports.tbx.reader import read_tbx
from exports.tbx.reports import ReadReport
from termbase.codes.deeds import Deed
from termbase.importing.planning import Plan, plan
from termbase.importing.records import Choice, State
from termbase.importing.taking import Imported, import_file
from termbase.record.entries import Origin

__all__: list[str] = []

MOST_LINES = 40


class ImportOptions(TypedDict):
    """The options that control how a file is imported."""

    origin: str
    take: str
    keep_loose: bool
    strict: bool
    entries: tuple[str, ...]


class TbxDocument(TypedDict):
    """What `import tbx --json` prints."""

    dry_run: Annotated[bool, "whether nothing was written"]
    report: Annotated[ReadReport, "what the file contains"]
    plan: NotRequired[Annotated[Plan, "with `--dry-run`: what would happen to each record"]]
    taken: NotRequired[Annotated[Imported, "without `--dry-run`: what happened to the records"]]


@import_.command(cls=Command)
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--dry-run", is_flag=True, help="Only show what is new, unchanged or changed; write nothing.")
@click.option(
    "--origin",
    type=click.Choice([o.value for o in Origin]),
    default=Origin.NOT_STATED.value,
    show_default=True,
    help="Origin of names that do not state one.",
)
@click.option(
    "--take",
    type=click.Choice(["new", "all", "as-new"]),
    default="new",
    show_default=True,
    help="new: only new entries; all: changed ones too; as-new: everything, under new ids.",
)
@click.option(
    "--keep-loose-targets",
    "keep_loose",
    is_flag=True,
    help="Accept a file that refers to things it does not contain; such references become notes.",
)
@click.option(
    "--strict", is_flag=True, help="Reject a file that breaks the standard (ISO 30042:2019) anywhere."
)
@click.option(
    "--entry", "entries", multiple=True, metavar="ID", help="Import only this entry; can be repeated."
)
@as_json_option(TbxDocument)
@db_option
@person_option
def tbx(file: Path, dry_run: bool, as_json: bool, db: str, by: str, **options: Unpack[ImportOptions]) -> None:
    """Import a TBX file (ISO 30042): our own, TBX-Basic, -Min or -Core in either style, or a 2008 file.

    Everything is imported in one step that you can undo; if anything is wrong, nothing is imported.

    Example: wordhold import tbx words.tbx --origin word-list --dry-run
    """
    wanted, origin = frozenset(options["entries"]) or None, options["origin"]
    choice = Choice(options["take"] == "all", wanted, new_ids=options["take"] == "as-new")
    tbx_file = read_tbx(
        file,
        origin=Origin(origin),
        keep_loose_targets=options["keep_loose"],
        strict=options["strict"],
    )
    document = TbxDocument(dry_run=dry_run, report=tbx_file.report())
    with opened(db) as store:
        if dry_run:
            with store.read() as reader, progress("entries") as seen:
                document["plan"] = planned = plan(reader, tbx_file, choice, seen)
            lines = _planned(planned)
        else:
            tbx_file.check_ready()
            with store.act(by, Deed.FILE_TAKEN_IN(file=file.name)) as act, progress("entries") as seen:
                document["taken"] = imported = import_file(act, tbx_file, choice, seen)
            lines = _imported(imported)
    document["report"] = report = tbx_file.report()
    if as_json:
        print_json("import tbx", **document)
        return
    _print_lines((*report.readable(), *lines))


def _print_lines(lines: tuple[str, ...]) -> None:
    for line in lines:
        click.echo(line)


def _planned(planned: Plan) -> tuple[str, ...]:
    lines = [f"{kind}: {_counted(states)}." for kind, states in planned.counts.items()]
    lines += [*_dropped(planned), *(c.readable() for c in planned.circled)]
    changed = [p for p in (*planned.entries, *planned.records) if p.state is State.CHANGED]
    for record in changed[:MOST_LINES]:
        lines.append(f"changed\t{record.kind} {record.id}\t{record.name}")
        lines += [f"\t{d.field}: {d.before or '–'} → {d.after or '–'}" for d in record.differences]
    if len(changed) > MOST_LINES:
        lines.append(f"and {len(changed) - MOST_LINES} more that differ; --json lists them all.")
    return tuple(lines)


def _imported(imported: Imported) -> tuple[str, ...]:
    lines = []
    for words, counts in (("New", imported.new), ("Changed", imported.changed), ("Unchanged", imported.same),
                          ("Skipped", imported.left)):  # fmt: skip
        if counts:
            lines.append(f"{words}: {_counted(counts)}.")
    if imported.left:
        lines.append("Use --take all to replace records that differ; --dry-run shows how they differ.")
    return (*lines, *_dropped(imported), *(c.readable() for c in imported.circled))


def _dropped(done: Plan | Imported) -> Iterator[str]:
    if done.dropped_relations:
        yield f"Relations left out because their target is not in this termbase: {done.dropped_relations}."
    if done.dropped_references:
        yield (
            "References to slips and trials left out because these are not in the file and their ids belong "
            f"to other records here: {done.dropped_references}."
        )


def _counted(counts: dict[str, int]) -> str:
    return ", ".join(f"{name} {number}" for name, number in counts.items())
