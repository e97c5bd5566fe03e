"""Runs commands as a shell would, capturing both outputs separately."""

import json
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from app.cli import main


@dataclass(frozen=True)
class Ran:
    """The result of a command."""

    code: int
    out: str
    err: str

    @property
    def document(self) -> dict[str, Any]:
        """Standard output, parsed as one JSON document."""
        result = json.loads(self.out)
        assert isinstance(result, dict)
        return result


class Shell:
    """Runs commands on one termbase."""

    def __init__(self, db: Path) -> None:
        self.db = db

    def __call__(self, *arguments: str, stdin: bytes = b"") -> Ran:
        """Run a command on this termbase; an exception that escapes the command fails the test."""
        environment = {"WORDHOLD_DB": str(self.db), "WORDHOLD_PERSON": "Gwen"}
        result = CliRunner(env=environment).invoke(main, arguments, input=stdin)
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return Ran(result.exit_code, result.stdout, result.stderr)


@pytest.fixture
def shell(demo_file: Path, tmp_path: Path) -> Shell:
    """A shell with the invented demo as its termbase."""
    place = tmp_path / "demo.sqlite"
    shutil.copyfile(demo_file, place)
    return Shell(place)


@pytest.fixture
def bare(tmp_path: Path) -> Shell:
    """A shell whose termbase does not exist yet."""
    return Shell(tmp_path / "none.sqlite")
