"""Options from the table of outputs as options of the command line, and the values given for them."""

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Final, ParamSpec, TypeVar

import click

from app.catalogues import LANGUAGES
from exports.files import format_by_extension
from exports.options import Choice, Flag, Folders, Line, Lines, OneOf, Option, OptionValues, SomeOf, Value

__all__ = ["Given", "option_values", "output_option", "output_options"]

P = ParamSpec("P")
R = TypeVar("R")
Given = bool | str | tuple[str, ...] | tuple[Path, ...] | None
"""The value that click passes for an option."""
_SUPPLIED: Final[Mapping[str, Iterable[str]]] = {"languages": LANGUAGES}
"""Lists that are not in the table of outputs itself."""


def output_options(options: Iterable[Option]) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Return a decorator that adds the options that the command line has, in this order."""

    def decorated(command: Callable[P, R]) -> Callable[P, R]:
        for option in reversed([each for each in options if each.word]):
            command = _decorator(option)(command)
        return command

    return decorated


def output_option(text: str, *, folder: bool = False) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Return a decorator that adds `-o PATH`: a file, or a folder."""
    kind = click.Path(dir_okay=folder, file_okay=not folder, path_type=Path)
    return click.option("-o", "--output", "path", required=True, type=kind, help=text)


def option_values(
    options: Iterable[Option], given: Mapping[str, Given], path: Path | None = None
) -> OptionValues:
    """Return the values given: every option that was given, and the format that the file extension
    determines.

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
    named, told = (option.word, option.name), option.help or None
    metavar = option.metavar or None
    match option:
        case Flag():
            return click.option(*named, is_flag=True, help=told)
        case OneOf(endings={}, default="") if not option.endings:
            return click.option(*named, type=_choices(option), help=told)
        case OneOf() if option.endings:
            shown = "detect from the file extension"
            return click.option(*named, type=_choices(option), default=None, show_default=shown, help=told)
        case OneOf():
            return click.option(
                *named, type=_choices(option), default=option.default, show_default=True, help=told
            )
        case SomeOf(supplied=""):
            return click.option(*named, multiple=True, type=_choices(option), help=told)
        case SomeOf() | Lines():
            return click.option(*named, multiple=True, metavar=metavar, help=told)
        case Folders():
            kind = click.Path(exists=True, file_okay=False, path_type=Path)
            return click.option(*named, multiple=True, type=kind, metavar=metavar, help=told)
        case Line():
            default = option.default or None
            return click.option(
                *named, default=default, show_default=bool(default), metavar=metavar, help=told
            )


def _choices(option: OneOf | SomeOf) -> click.Choice[str]:
    supplied = (Choice(value) for value in _SUPPLIED.get(option.supplied, ()))
    return click.Choice([each.value for each in (*option.choices, *supplied)])
