"""Published data that tests fetch for themselves, once, into the user's cache; the repository has none."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.outside.dictionaries import freedict_text


@pytest.fixture(scope="session")
def freedict() -> Callable[[str], Path]:
    """A function: language pair to the path of the plain text; see `freedict_text`."""
    return freedict_text
