"""A small sample of `killed_jobs`."""

from pathlib import Path

import pytest

from tests.stress.killed_jobs import killed_while_taking_in


@pytest.mark.parametrize("after", [0.0, 0.3, 0.8])
def test_a_process_killed_while_it_takes_a_table_in_leaves_all_of_it_or_nothing(
    tmp_path: Path, after: float
) -> None:
    assert killed_while_taking_in(tmp_path, after)
