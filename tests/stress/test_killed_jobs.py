"""A small sample of `killed_jobs`."""

from pathlib import Path

import pytest

from tests.stress.killed_jobs import killed_while_importing


@pytest.mark.parametrize("after", [0.0, 0.3, 0.8])
def test_a_process_killed_while_importing_a_table_leaves_all_of_it_or_nothing(
    tmp_path: Path, after: float
) -> None:
    assert killed_while_importing(tmp_path, after)
