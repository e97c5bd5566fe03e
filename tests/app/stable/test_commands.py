"""Commands, their arguments, options and choices, environment variables and exit statuses stay the same."""

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from zipfile import ZipFile

import click
import pytest

from app.cli import main
from tests.app.stable.held import Names, check, missing

ROOT = Path(__file__).parents[3]
Run = Callable[[str], tuple[int, str]]


def every_command(context: click.Context) -> Iterator[click.Context]:
    """Return every command and group by its full name, hidden ones too."""
    yield context
    if isinstance(context.command, click.Group):
        for name in context.command.list_commands(context):
            under = context.command.get_command(context, name)
            assert under is not None
            yield from every_command(click.Context(under, parent=context, info_name=name))


def names_of(context: click.Context) -> dict[str, Names]:
    """Return the options of a command by each of their names, and its arguments by position."""
    result: dict[str, Names] = {}
    place = 0
    for parameter in context.command.get_params(context):
        if isinstance(parameter, click.Option):
            for name in (*parameter.opts, *parameter.secondary_opts):
                result[name] = facts(parameter)
        else:
            place += 1
            result[f"argument {place}"] = facts(parameter)
    return result


def facts(parameter: click.Parameter) -> Names:
    """Return what a caller relies on. What is in `may` is permitted, so it may only grow."""
    variables = parameter.envvar or ()
    choices = parameter.type.choices if isinstance(parameter.type, click.Choice) else ()
    free = {
        "be left out": not parameter.required,
        "be repeated": parameter.multiple or parameter.nargs == -1,
    }
    lists = {
        "may": [name for name, holds in free.items() if holds],
        "choices": sorted(str(choice) for choice in choices),
        "environment": [variables] if isinstance(variables, str) else list(variables),
    }
    takes = "no value" if getattr(parameter, "is_flag", False) else "a value"
    return {"takes": takes, **{name: result for name, result in lists.items() if result}}


COMMANDS: dict[str, dict[str, Names]] = {
    context.command_path: names_of(context)
    for context in every_command(click.Context(main, info_name="wordhold", **main.context_settings))
}


def test_commands_and_options_stay() -> None:
    check("commands", COMMANDS)


def test_nothing_new_is_required() -> None:
    """A call that was complete must stay complete."""
    held = json.loads((Path(__file__).parent / "commands.json").read_text("utf-8"))
    new = [
        f"{command} {name}"
        for command, names in COMMANDS.items()
        for name, options in names.items()
        if command in held and name not in held[command] and "be left out" not in options.get("may", ())
    ]
    assert new == []


def test_an_option_that_loses_its_short_name_is_reported() -> None:
    now = {**COMMANDS, "wordhold export tbx": {**COMMANDS["wordhold export tbx"]}}
    del now["wordhold export tbx"]["-o"]

    assert list(missing(COMMANDS, now)) == ["wordhold export tbx > -o: gone"]


def test_environment_variables_stay() -> None:
    """Variables that the code reads itself, beside those of options; other tests check what each does."""
    asked = re.compile(r"""os\.environ(?:\.get\(|\[)["'](\w+)["']""")
    texts = (path.read_text("utf-8") for path in (ROOT / "app").rglob("*.py"))

    check("variables", {"read": sorted({name for text in texts for name in asked.findall(text)})})


def test_exit_statuses_stay(run: Run) -> None:
    held = json.loads((Path(__file__).parent / "statuses.json").read_text("utf-8"))

    assert {line: run(line)[0] for line in held} == held


def test_source_date_epoch_sets_the_date_of_files(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1772614800")

    assert run("backup {tmp}/kept.zip")[0] == 0
    with ZipFile(tmp_path / "kept.zip") as kept:
        assert b"2026-03-04" in kept.read("manifest.json")
