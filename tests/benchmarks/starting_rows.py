"""How long the command line takes to start, compared with a process that only imports the libraries it uses.

The bare process imports click, SQLAlchemy, RapidFuzz and msgspec. Times are processor times, the processes
run in turn and the fastest run of each counts, so a busy machine hardly changes the ratio. `find` is a
whole run, with its answer, on the invented demo.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from termbase.demo.loading import fill, load

ROOT = Path(__file__).parents[2]
RUNS = 15
BARE = "import click, sqlalchemy, rapidfuzz, msgspec"
OURS = "import sys; sys.argv = ['wordhold', *sys.argv[1:]]; from app.cli import main; main()"
GOAL = 1.5


def rows(runs: int = RUNS) -> list[tuple[str, float, float, float | None]]:
    """`--help`, help of a command, and a whole `find`, each beside the bare imports."""
    with tempfile.TemporaryDirectory() as folder:
        place = str(Path(folder) / "demo.sqlite")
        fill(place, load()).close()
        processes = {
            "bare": ["-c", BARE],
            "wordhold --help": ["-c", OURS, "--help"],
            "wordhold find --help": ["-c", OURS, "find", "--help"],
            "wordhold find fachiad": ["-c", OURS, "find", "fachiad", "--db", place],
        }
        quickest = dict.fromkeys(processes, float("inf"))
        for _ in range(runs):
            for name, arguments in processes.items():
                quickest[name] = min(quickest[name], _seconds(arguments))
    bare = quickest.pop("bare")
    return [(f"start: {name}", seconds, bare, GOAL) for name, seconds in quickest.items()]


def _seconds(arguments: list[str]) -> float:
    """Processor time of one run."""
    with open(os.devnull, "wb") as nowhere:
        process = subprocess.Popen([sys.executable, *arguments], cwd=ROOT, stdout=nowhere, stderr=nowhere)
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise RuntimeError(f"{arguments} ended with {process.returncode}")
    return used.ru_utime + used.ru_stime
