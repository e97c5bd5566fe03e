"""A command imports only the modules that it needs, so that it starts quickly."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import click
import pytest

from app.cli import PLACES, SUMMARIES, main

Shell = Any
"""The fixture: runs a command; its `db` is the termbase."""

ROOT = Path(__file__).parents[3]
HEAVY = {
    "alembic", "bibtexparser", "citeproc", "flask", "fontTools", "jinja2", "lxml", "openpyxl", "PIL",
    "pypdfium2", "rdflib", "tqdm", "typst", "waitress", "werkzeug",
}  # fmt: skip
"""Libraries that are slow to import, and not needed for finding and showing an entry."""

RUN = """
import json, sys
sys.argv = ["wordhold", *sys.argv[1:]]
from app.cli import main
try:
    main()
finally:
    print(json.dumps(sorted(sys.modules)), file=sys.stderr)
"""


def modules_imported_by(*arguments: str) -> set[str]:
    """Return the modules that a separate process imports to run a command."""
    ran = subprocess.run(
        [sys.executable, "-c", RUN, *arguments], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return set(json.loads(ran.stderr.splitlines()[-1]))


def test_help_imports_no_command_and_no_library_but_click() -> None:
    read = modules_imported_by("--help")

    assert not {name for name in read if name.startswith("app.commands.")}
    assert not read & {*HEAVY, "sqlalchemy", "msgspec", "rapidfuzz"}


@pytest.mark.parametrize("arguments", [["find", "fachiad"], ["show", "c0015"]])
def test_lookup_commands_import_no_library_of_other_commands(arguments: list[str], shell: Shell) -> None:
    read = modules_imported_by(*arguments, "--db", str(shell.db))

    assert "sqlalchemy" in read
    assert not read & HEAVY


@pytest.mark.parametrize(
    ("arguments", "needed"),
    [
        (["export", "tbx", "--help"], {"lxml", "PIL"}),
        (["source", "list", "--help"], set()),
        (["export", "citations", "--help"], {"bibtexparser", "citeproc", "lxml", "PIL"}),
        (["publish", "pdf", "--help"], {"jinja2", "PIL", "pypdfium2", "typst"}),
    ],
)
def test_a_group_command_does_not_import_what_only_others_need(
    arguments: list[str], needed: set[str]
) -> None:
    read = modules_imported_by(*arguments)

    assert read & HEAVY <= needed


def test_new_imports_nothing_of_the_web_app(tmp_path: Path) -> None:
    place = str(tmp_path / "made.sqlite")

    read = modules_imported_by("new", "--title", "Words", "--vernacular", "cy", "--db", place)

    assert Path(place).exists()
    assert not read & {"flask", "jinja2", "lxml", "openpyxl", "rdflib", "typst", "waitress", "werkzeug"}


@pytest.mark.parametrize("name", PLACES)
def test_summary_is_the_first_sentence_of_the_help(name: str) -> None:
    command = main.get_command(click.Context(main), name)

    assert command is not None
    assert SUMMARIES[name] == command.get_short_help_str(limit=1000)


def test_every_command_has_a_summary() -> None:
    assert SUMMARIES.keys() == PLACES.keys()
