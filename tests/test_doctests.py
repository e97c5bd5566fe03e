"""The examples in docstrings are right."""

import doctest
from importlib import import_module
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MODULES = [
    ".".join(path.relative_to(ROOT).with_suffix("").parts)
    for package in ("termbase", "exports", "app")
    for path in sorted((ROOT / package).rglob("*.py"))
    if "    >>> " in path.read_text("utf-8")
]


@pytest.mark.parametrize("name", MODULES)
def test_examples_in_docstrings_are_right(name: str) -> None:
    result = doctest.testmod(import_module(name))

    assert result.attempted > 0
    assert result.failed == 0
