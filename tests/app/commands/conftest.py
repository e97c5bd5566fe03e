"""Running commands as a shell would, each output apart."""

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
    """What a command gave back."""

    code: int
    out: str
    err: str

    @property
    def document(self) -> dict[str, Any]:
        """Standard output as the one JSON document that it is."""
        found = json.loads(self.out)
        assert isinstance(found, dict)
        return found


class Shell:
    """Runs commands on one termbase."""

    def __init__(self, db: Path) -> None:
        self.db = db

    def __call__(self, *arguments: str, stdin: bytes = b"") -> Ran:
        """Run a command on this termbase; an exception that no command should let out fails the test."""
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
    """A shell whose termbase is not there yet."""
    return Shell(tmp_path / "none.sqlite")
