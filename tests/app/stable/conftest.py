"""Run commands on a copy of the demo that the test may change."""

import shlex
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from app.cli import main

Run = Callable[[str], tuple[int, str]]
"""Runs a command line, in which {tmp} is a new folder, {tests} the folder of all tests and {samples} the
folder of samples; returns its exit status and its standard output, or standard error if that is empty."""


@pytest.fixture
def run(demo_file: Path, tmp_path: Path) -> Run:
    """A shell on a copy of the demo."""
    place = tmp_path / "demo.sqlite"
    shutil.copyfile(demo_file, place)
    environment = {"WORDHOLD_DB": str(place), "WORDHOLD_PERSON": "Gwen"}
    here = Path(__file__).parent
    folders = {"{tmp}": tmp_path, "{tests}": here.parents[1], "{samples}": here / "samples"}

    def run_line(line: str) -> tuple[int, str]:
        for name, folder in folders.items():
            line = line.replace(name, shlex.quote(str(folder)))
        result = CliRunner(env=environment).invoke(main, shlex.split(line))
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result.exit_code, result.stdout or result.stderr

    return run_line
