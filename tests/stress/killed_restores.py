"""Restores and new termbases killed at many moments; not part of the suite, which includes a few kills.

    python -m pytest tests/stress/killed_restores.py

The command runs once undisturbed to see how long it takes; then it is killed after each fraction of that.
"""

import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from termbase.errors import BadInput, NotFound
from termbase.store.engine import Store

LANDED = Path(__file__).parents[1] / "termbase" / "store" / "landed" / "landed-backup.zip"
MAIN = (sys.executable, "-c", "from app.cli import main; main()")
KILLS = 40
COMMANDS = {
    "restore": lambda place: (*MAIN, "restore", str(LANDED), "--db", place),
    "new": lambda place: (*MAIN, "new", "--title", "T", "--vernacular", "cy", "--as", "Nia", "--db", place),
}


@pytest.mark.parametrize("name", list(COMMANDS))
def test_killed_at_any_moment(
    name: str, place: str, new_place: Callable[[], str], capsys: pytest.CaptureFixture[str]
) -> None:
    command = COMMANDS[name]
    start = time.perf_counter()
    subprocess.run(command(new_place()), check=True, capture_output=True)
    whole = time.perf_counter() - start
    outcome = {"nothing": 0, "whole": 0}
    for kill in range(KILLS):
        running = subprocess.Popen(command(place), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(whole * (kill + 1) / KILLS)
        running.kill()
        running.wait()
        if is_whole(place):
            outcome["whole"] += 1
            place = new_place()
        else:
            outcome["nothing"] += 1
    subprocess.run(command(place), check=True, capture_output=True)  # leftovers do not matter
    assert is_whole(place)
    if "://" not in place:
        assert [p.name for p in Path(place).parent.iterdir() if p.name.startswith(".")] == []
    with capsys.disabled():
        print(f"\n{name}, {place.partition(':')[0]}: {KILLS} kills in {whole:.1f} s, {outcome}")


def is_whole(place: str) -> bool:
    """Return whether a termbase exists. A half-finished one raises an error."""
    try:
        opened = Store.open(place)
    except NotFound:
        return False
    except BadInput as error:
        if error.what == "This is not a termbase.":  # an empty database
            return False
        raise
    with opened.read() as reader:
        assert reader.termbase().title
        assert reader.last_acts(1000)
    opened.close()
    return True
