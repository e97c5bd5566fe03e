"""The reference of commands and JSON documents is made from the code and is up to date."""

import click
import pytest

from app.cli import main
from app.documents import every_command
from app.reference import FILE, reference

COMMANDS = dict(every_command(main))


def test_the_file_is_up_to_date() -> None:
    assert FILE.read_text("utf-8") == reference(), "run: python -m app.reference"


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_has_a_description(name: str) -> None:
    options = [each for each in COMMANDS[name].params if isinstance(each, click.Option)]

    assert [each.opts for each in options if not each.help] == []
