"""The commands of `export` and `publish`, built from the table of outputs, and `publish proof`.

The options of the table become options of click, and the values that click passes become the values of the
table. Before each publication one line reports what Proof finds in the selection.
"""

from collections.abc import Callable, Iterable, Mapping
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Final, ParamSpec, TypeVar

import click

from app.catalogues import LANGUAGES
from app.commands.context import Command, as_json_option, db_option, opened, print_json, progress, today
from app.commands.groups import export, publish
from app.commands.named_entries import ProofDocument, proof_document
from app.reports import document, printed
from app.selection import Order, selection_of
from exports.files import format_by_extension
from exports.glossary.book.book import Selection
from exports.options import (
    Choice,
    Flag,
    Folders,
    Line,
    Lines,
    OneOf,
    Option,
    OptionValues,
    SomeOf,
    Value,
    texts_of,
)
from exports.outputs import FONTS, SELECTION, Output, of_group
from termbase.loading import lazy_module
from termbase.overviews.articles import Library

__all__ = ["proof"]

if TYPE_CHECKING:  # `export` does not need it
    from exports.glossary.book import proofing
else:
    proofing = lazy_module("exports.glossary.book.proofing")

P = ParamSpec("P")
R = TypeVar("R")
Given = bool | str | tuple[str, ...] | tuple[Path, ...] | None
"""The value that click passes for an option."""
_SUPPLIED: Final[Mapping[str, Iterable[str]]] = {"languages": LANGUAGES}
"""Lists of choices that are not in the table of outputs itself."""
_PROOF_OPTIONS: Final = (*SELECTION, FONTS)


def _output_options(options: Iterable[Option]) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Return a decorator that adds those options that have a word on the command line, in this order."""

    def decorated(command: Callable[P, R]) -> Callable[P, R]:
        for option in reversed([each for each in options if each.word]):
            command = _decorator(option)(command)
        return command

    return decorated


def _path_option(text: str, *, folder: bool = False) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Return a decorator that adds `-o PATH`: a file, or a folder."""
    kind = click.Path(dir_okay=folder, file_okay=not folder, path_type=Path)
    return click.option("-o", "--output", "path", required=True, type=kind, help=text)


def _option_values(
    options: Iterable[Option], given: Mapping[str, Given], path: Path | None = None
) -> OptionValues:
    """Return the values of the options given; a format that is not given follows from the file extension.

    Raises:
        BadInput: no format has this extension.
    """
    asked: dict[str, Value] = {}
    for option in options:
        value = given.get(option.name)
        if isinstance(option, Flag):
            if value:
                asked[option.name] = not option.default
        elif isinstance(value, tuple):
            if value:
                asked[option.name] = tuple(map(str, value))
        elif isinstance(value, str):
            asked[option.name] = value
        elif isinstance(option, OneOf) and option.endings and path is not None:
            asked[option.name] = format_by_extension(str(path), option.endings)
    return asked


def _decorator(option: Option) -> Callable[[Callable[P, R]], Callable[P, R]]:
    named, help_text = (option.word, option.name), option.help or None
    metavar = option.metavar or None
    match option:
        case Flag():
            return click.option(*named, is_flag=True, help=help_text)
        case OneOf(endings={}, default="") if not option.endings:
            return click.option(*named, type=_choices(option), help=help_text)
        case OneOf() if option.endings:
            shown = "detect from the file extension"
            return click.option(
                *named, type=_choices(option), default=None, show_default=shown, help=help_text
            )
        case OneOf():
            return click.option(
                *named, type=_choices(option), default=option.default, show_default=True, help=help_text
            )
        case SomeOf(supplied=""):
            return click.option(*named, multiple=True, type=_choices(option), help=help_text)
        case SomeOf() | Lines():
            return click.option(*named, multiple=True, metavar=metavar, help=help_text)
        case Folders():
            kind = click.Path(exists=True, file_okay=False, path_type=Path)
            return click.option(*named, multiple=True, type=kind, metavar=metavar, help=help_text)
        case Line():
            default = option.default or None
            return click.option(
                *named, default=default, show_default=bool(default), metavar=metavar, help=help_text
            )


def _choices(option: OneOf | SomeOf) -> click.Choice[str]:
    supplied = (Choice(value) for value in _SUPPLIED.get(option.supplied, ()))
    return click.Choice([each.value for each in (*option.choices, *supplied)])


@publish.command(cls=Command)
@_output_options(_PROOF_OPTIONS)
@as_json_option(ProofDocument)
@db_option
def proof(as_json: bool, db: str, **given: Given) -> None:
    """List what is missing or contradictory in a selection before publishing; write nothing.

    Example: wordhold publish proof --ready-only
    """
    asked = _option_values(_PROOF_OPTIONS, given)
    folders = tuple(map(Path, texts_of(asked, FONTS.name)))
    with opened(db) as store, store.read() as reader, progress("entries") as seen:
        selection = selection_of(reader, asked)
        findings = proofing.proof_before_print(Library(reader), selection, seen, folders)
    if as_json:
        print_json("publish proof", **proof_document(findings))
        return
    for check, these in groupby(findings, key=lambda f: f.check):
        group = list(these)
        click.echo(f"{len(group)} {proofing.TITLES[check]}")
        for each in group:
            click.echo(f"  {each.record_id}  {each.name}: {each.what} {each.fix}")
    if not findings:
        click.echo("Nothing is missing.")


def _report_proof(library: Library, order: Order) -> None:
    """Report on standard error how much is wrong or missing in the selection."""
    selection = order.arguments["selection"]
    assert isinstance(selection, Selection)
    folders = tuple(map(Path, texts_of(order.asked, FONTS.name)))
    with progress("Proof") as seen:
        number = len(proofing.proof_before_print(library, selection, seen, folders))
    if number:
        findings = f"{number} finding{'' if number == 1 else 's'}"
        click.echo(f"Proof: {findings} in the selection; wordhold publish proof lists them.", err=True)
    else:
        click.echo("Proof: nothing is wrong or missing in the selection.", err=True)


def _command(output: Output) -> click.Command:
    """Return the command that writes an output."""

    @_path_option(output.path_help, folder=bool(output.folder))
    @_output_options(output.options)
    @as_json_option()
    @db_option
    def written(path: Path, as_json: bool, db: str, **given: Given) -> None:
        _write(output, path, as_json, db, given)

    help_text = f"{output.summary}\n\nExample: wordhold {output.group} {output.name} {output.example}"
    return click.command(output.name, cls=Command, help=help_text)(written)


def _write(output: Output, path: Path, as_json: bool, db: str, given: dict[str, Given]) -> None:
    if output.exact and path.suffix.lower() != output.suffix:
        raise click.BadParameter(f"the file name must end in {output.suffix}", param_hint="--output")
    day = today() if output.dated else ""
    asked = _option_values(output.options, given, path)
    with opened(db) as store, store.read() as reader:
        order = Order.of(reader, output, asked)
        library = Library(reader)
        if output.selects:
            _report_proof(library, order)
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
