"""Rules for every command: help with an example, only JSON on standard output, an entry in the manual."""

import re
import shlex
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import click
import pytest

from app.cli import main
from exports.outputs import OUTPUTS

ROOT = Path(__file__).parents[3]
Shell = Callable[..., Any]
"""The fixture: runs a command and returns its status and both outputs."""


def every_command(
    command: click.Command = main, words: tuple[str, ...] = ()
) -> Iterator[tuple[str, click.Command]]:
    """Yield every command with its words after `wordhold`, without the groups."""
    if isinstance(command, click.Group):
        context = click.Context(command)
        for name in command.list_commands(context):
            under = command.get_command(context, name)
            assert under is not None
            yield from every_command(under, (*words, name))
    else:
        yield " ".join(words), command


COMMANDS = dict(every_command())
WITH_JSON = [n for n, c in COMMANDS.items() if any("--json" in p.opts for p in c.params)]

TABLE = {"dry_run", "encoding", "delimiter", "columns", "counts", "slips", "new_sources", "entries"}
DOCUMENTS: dict[str, tuple[list[str], set[str]]] = {
    "find": (["find", "fachiad"], {"text", "hits", "heads"}),
    "merge": (["merge", "c0001", "c0008", "--preview"], {"entry", "questions", "moving"}),
    "show": (["show", "c0015"], {"article"}),
    "judge": (["judge"], {"bout", "verdicts"}),
    "proof": (["proof"], {"findings"}),
    "source list": (["source", "list"], {"sources"}),
    "page lines": (["page", "lines", "w1", "--left"], {"lines"}),
    "page accept": (["page", "accept", "--all-clear"], {"lines", "made", "left"}),
    "page trim": (
        ["page", "trim", "w3", "--code", "r1"],
        {"code", "counts", "set_aside_before", "lines", "applied", "set_aside", "noted", "left"},
    ),
    "export tbx": (["export", "tbx", "-o", "{tmp}/glossary.tbx"], {"file", "report"}),
    "publish pdf": (["publish", "pdf", "-o", "{tmp}/glossary.pdf"], {"file", "report"}),
    "publish cards": (["publish", "cards", "-o", "{tmp}/cards.pdf"], {"file", "report"}),
    "publish site": (["publish", "site", "-o", "{tmp}/site"], {"file", "report"}),
    "publish epub": (["publish", "epub", "-o", "{tmp}/glossary.epub"], {"file", "report"}),
    "publish proof": (["publish", "proof", "--ready-only"], {"findings"}),
    "backup": (["backup", "{tmp}/kept.zip"], {"file", "report"}),
    "restore": (["restore", "{tmp}/kept.zip", "--db", "{tmp}/again.sqlite"], {"db", "report"}),
    "digest": (["digest"], {"tables", "kinds", "digest"}),
    "export csv": (["export", "csv", "-o", "{tmp}/names.csv"], {"file", "rows", "left_out"}),
    "export xlsx": (["export", "xlsx", "-o", "{tmp}/names.xlsx"], {"file", "rows", "left_out"}),
    "import csv": (["import", "csv", "{tmp}/names.csv", "--dry-run"], TABLE),
    "import xlsx": (["import", "xlsx", "{tmp}/names.xlsx", "--dry-run"], TABLE),
    "import tbx": (["import", "tbx", "{tmp}/glossary.tbx", "--dry-run"], {"dry_run", "report", "plan"}),
    "export skos": (["export", "skos", "-o", "{tmp}/glossary.ttl"], {"file", "report"}),
    "export citations": (["export", "citations", "-o", "{tmp}/sources.bib"], {"file", "sources"}),
    "import citations": (
        ["import", "citations", "{tmp}/sources.bib", "--dry-run"],
        {"dry_run", "counts", "sources"},
    ),
    "source cite": (["source", "cite"], {"style", "sources"}),
    "languages forms": (["languages", "forms", "cy", "fachiad"], {"language", "form", "headwords"}),
}
"""A call of each command that prints JSON, and the fields of its document."""
WRITTEN = {f"{each.group} {each.name}": each for each in OUTPUTS.values() if each.group}
for _words, _output in WRITTEN.items():
    if _words not in DOCUMENTS:
        _path = f"{{tmp}}/{_output.name}{_output.suffix}"
        DOCUMENTS[_words] = ([_output.group, _output.name, "-o", _path], {"file", "report"})


MADE_BEFORE: dict[str, list[str]] = {
    "restore": ["backup", "{tmp}/kept.zip"],
    "import csv": DOCUMENTS["export csv"][0],
    "import xlsx": DOCUMENTS["export xlsx"][0],
    "import tbx": DOCUMENTS["export tbx"][0],
    "import citations": ["export", "citations", "--format", "bibtex", "-o", "{tmp}/sources.bib"],
}
"""Functions that create the file that a command imports."""


def help_of(name: str) -> str:
    command = COMMANDS[name]
    return command.get_help(click.Context(command, info_name=f"wordhold {name}", terminal_width=200))


@pytest.mark.parametrize("name", COMMANDS)
def test_help_says_what_it_does_and_gives_an_example_that_parses(name: str, tmp_path: Path) -> None:
    output = help_of(name)

    example = next(line for line in output.splitlines() if "Example:" in line).partition("Example: ")[2]
    words = shlex.split(example.partition(" > ")[0].partition(" < ")[0])
    assert words[: 1 + len(name.split())] == ["wordhold", *name.split()]
    command = COMMANDS[name]
    given = words[1 + len(name.split()) :]
    for at, word in enumerate(given):  # files named in the example exist
        if word.endswith((".txt", ".toml", ".png", ".zip", ".csv", ".xlsx", ".tbx", ".bib")):
            (tmp_path / word).touch()
            given[at] = str(tmp_path / word)
    assert command.make_context(name, given) is not None


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_and_argument_is_explained(name: str) -> None:
    output = help_of(name)

    for parameter in COMMANDS[name].params:
        assert parameter.opts[-1] in output or parameter.human_readable_name in output


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_documented(name: str) -> None:
    files = ("app/REFERENCE.md",)
    manuals = "".join((ROOT / file).read_text("utf-8") for file in files)

    assert f"wordhold {name}" in manuals


REPORTING_PROOF = [words for words, output in WRITTEN.items() if output.selects]
"""Commands that report on standard error what Proof found."""


@pytest.mark.parametrize("name", WITH_JSON)
def test_json_is_one_document_and_nothing_else(shell: Shell, tmp_path: Path, name: str) -> None:
    arguments, names = DOCUMENTS[name]
    if name in MADE_BEFORE:
        made = (word.replace("{tmp}", str(tmp_path)) for word in MADE_BEFORE[name])
        assert shell(*made).code == 0

    ran = shell(*(word.replace("{tmp}", str(tmp_path)) for word in arguments), "--json")

    assert ran.code == 0
    assert ran.document["wordhold"] == name
    assert set(ran.document) == {"wordhold", *names}
    output = ran.err.splitlines()
    assert len(output) == (name in REPORTING_PROOF)
    assert all(line.startswith("Proof: ") for line in output)


@pytest.mark.parametrize("arguments", [["--help"], ["-h"], ["source", "--help"], ["page", "-h"]])
def test_groups_list_their_commands(bare: Shell, arguments: list[str]) -> None:
    ran = bare(*arguments)

    assert ran.code == 0
    assert "Commands:" in ran.out


def test_the_version_is_printed(bare: Shell) -> None:
    assert re.search(r"version \d+\.\d+\.\d+$", bare("--version").out.strip())
