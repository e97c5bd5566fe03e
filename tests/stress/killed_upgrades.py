"""Upgrades killed at many moments; not part of the suite, which includes a few kills.

    python -m pytest tests/stress/killed_upgrades.py

The command runs once undisturbed to see how long it takes; then it is killed after each fraction of that. A
termbase is then either as it was or fully upgraded, and the next run continues from there.
"""

import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from app.deeds import in_every_language
from termbase.store import migrating
from termbase.store.digest import Digest, digest_of
from termbase.store.engine import Store
from termbase.store.versions import tables_version

MAIN = (sys.executable, "-c", "from app.cli import main; main()", "upgrade")
KILLS = 20


def test_killed_at_any_moment(
    new_place: Callable[[], str],
    landed_at: Callable[[str], None],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def command(place: str) -> tuple[str, ...]:
        return (*MAIN, "--db", place, "--backup", str(tmp_path / f"{number}.zip"))

    def old_termbase() -> str:
        place = new_place().replace("made_", "landed_")  # on a server a name that is not taken
        landed_at(place)
        return place

    number, place = 0, old_termbase()
    old, kept = digest(place), digest(place, declared=True)
    start = time.perf_counter()
    subprocess.run(command(place), check=True, capture_output=True)
    whole, new = time.perf_counter() - start, digest(place)
    outcome = {"as it was": 0, "upgraded": 0}
    for number in range(1, KILLS + 1):
        place = old_termbase()
        running = subprocess.Popen(command(place), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(whole * number / KILLS)
        running.kill()
        running.wait()
        upgraded = version(place) == tables_version()
        assert digest(place) == (new if upgraded else old)
        assert digest(place, declared=True) == kept
        outcome["upgraded" if upgraded else "as it was"] += 1
        subprocess.run(command(place), check=True, capture_output=True)
        assert digest(place) == new
    with capsys.disabled():
        print(f"\nupgrade, {place.partition(':')[0]}: {KILLS} kills in {whole:.1f} s, {outcome}")


def digest(place: str, *, declared: bool = False) -> Digest:
    """The digest of everything; `declared`: without the intended changes of the migrations."""
    store = Store.open_any(place)
    with store.read() as reader:
        without = migrating.declared_changes("0002") if declared else ()
        result = digest_of(reader.connection, in_every_language, without)
    store.close()
    return result


def version(place: str) -> str:
    store = Store.open_any(place)
    result = store.version()
    store.close()
    return result
