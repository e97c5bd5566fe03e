"""app/REFERENCE.md: every command with its options and every JSON document, made from the code.

`python -m app.reference` writes it; a test fails when the file is out of date.
"""

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import click

from app.cli import main
from app.commands.context import JsonOption
from app.documents import (
    DocumentField,
    commands_with_json,
    document_fields,
    every_command,
    fields_of_type,
    json_type,
    types_within,
)

__all__ = ["FILE", "reference"]

FILE: Final = Path(__file__).parent / "REFERENCE.md"
_HEAD: Final = """# Commands and JSON documents

<!-- Made from the code by `python -m app.reference`; do not edit. -->

## Commands

Invalid input ends with exit status 2 and one message on standard error; nothing has been changed then. Many
commands share these options:

| Option | Meaning |
| --- | --- |
| `--db PATH_OR_URL` | A file or a PostgreSQL address. Default: `WORDHOLD_DB`, else your data folder. |
| `--as NAME` | Name to record in the history. Default: `WORDHOLD_PERSON`, or else your user name. |
| `--json` | Print one JSON document on standard output (see [JSON documents](#json-documents)). |
| `-h`, `--help` | Show the help. |

"""
_JSON: Final = """
## JSON documents

With `--json` a command prints one document in UTF-8 and nothing else on standard output. Messages and
progress bars go to standard error. A document is an object. Its field `wordhold` names the command; the other
fields are below. Records have all their fields, even empty ones.
Dates are EDTF, languages are BCP 47 tags. Codes are printed as English sentences; a person's own words among
them are in “…”. Later versions may add fields; the meaning of a field does not change.

"""


def reference() -> str:
    """Return the text of the file."""
    documents = commands_with_json(main)
    lines = [_HEAD.rstrip("\n"), ""]
    for name, command in every_command(main):
        lines += _command(name, command)
    lines += [_JSON.strip("\n"), ""]
    waiting: list[type] = []
    for name, document in documents.items():
        own = document_fields(name, document)
        lines += [f"### JSON of `wordhold {name}`", "", *_table(own)]
        waiting += [each for field in own for each in types_within(field.hint)]
    lines += ["## Objects in the documents", ""]
    for heading, fields in _objects(waiting).items():
        lines += [f"### {heading}", "", *_table(fields)]
    return "\n".join(lines).rstrip("\n") + "\n"


def _objects(waiting: list[type]) -> dict[str, tuple[DocumentField, ...]]:
    """Return the fields of these types and of all types within them, by name."""
    fields_by_type: dict[type, tuple[DocumentField, ...]] = {}
    while waiting:
        cls = waiting.pop()
        if cls not in fields_by_type:
            fields_by_type[cls] = fields_of_type(cls)
            waiting += [each for field in fields_by_type[cls] for each in types_within(field.hint)]
    names = Counter(cls.__name__ for cls in fields_by_type)
    headed = {
        cls.__name__ if names[cls.__name__] == 1 else f"{cls.__name__} ({cls.__module__})": fields
        for cls, fields in fields_by_type.items()
    }
    return dict(sorted(headed.items()))


def _command(name: str, command: click.Command) -> Iterator[str]:
    context = click.Context(command, info_name=f"wordhold {name}")
    common = [each for each in command.params if each.envvar or isinstance(each, JsonOption)]
    own = [each for each in command.params if each not in common]
    usage = " ".join(["wordhold", name, *command.collect_usage_pieces(context)])
    yield from (f"### {usage.replace('[OPTIONS] ', '').replace(' [OPTIONS]', '')}", "")
    text = (command.help or "").strip()
    for paragraph in text.split("\n\n"):
        words = " ".join(line.strip() for line in paragraph.splitlines())
        about, example, code = words.partition("Example: ")
        yield from (f"Example: `{code}`" if example else about, "")
    rows = [_option(each, context) for each in own if isinstance(each, click.Option)]
    if rows:
        yield from ("| Option | Meaning |", "| --- | --- |", *rows, "")
    if common:
        yield from (f"Also: {', '.join(f'`{each.opts[0]}`' for each in common)}.", "")


def _option(option: click.Option, context: click.Context) -> str:
    names = ", ".join(f"`{each}`" for each in (*option.opts, *option.secondary_opts))
    metavar = "NUMBER" if isinstance(option.type, click.IntRange) else option.make_metavar(context)
    value = "" if option.is_flag else f" `{metavar}`"
    choices = option.type.choices if isinstance(option.type, click.Choice) else ()
    if choices:
        value = ""
    extra = option.get_help_extra(context)
    notes = [option.help or ""]
    if choices:
        notes.append(f"One of {', '.join(f'`{each}`' for each in choices)}.")
    if option.multiple and "repeat" not in notes[0]:
        notes.append("Can be repeated.")
    if "default" in extra:
        notes.append(f"Default: {extra['default'].strip('()')}.")
    if "range" in extra:
        notes.append(f"Range: {extra['range']}.")
    if option.required:
        notes.append("Required.")
    return f"| {names}{value} | {_cell(' '.join(filter(None, notes)))} |"


def _table(fields: tuple[DocumentField, ...]) -> Iterator[str]:
    yield from ("| Field | Type | Meaning |", "| --- | --- | --- |")
    for field in fields:
        yield f"| `{field.name}` | {_cell(json_type(field.hint))} | {_cell(field.text.rstrip('.'))} |"
    yield ""


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


if __name__ == "__main__":
    FILE.write_text(reference(), encoding="utf-8", newline="\n")
