"""Kills processes during long jobs, at random moments, and checks from another process what is left.

    python -m tests.stress.killed_jobs --times 100

Each time a process imports a table and is killed. Then either all of it is in the record and reported as
imported, or nothing is and the table can still be imported; the job is finished or reported as cut off; no
unfinished file is in the folder; and the next process can work at once.
"""

import argparse
import random
import re
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from contextlib import closing
from pathlib import Path

from app.web import Settings, create_app
from app.web.progress import State, jobs
from termbase.record.entries import Entry
from termbase.record.people import Termbase
from termbase.store.engine import Store

ROWS = 1_000
LONGEST = 1.0
"""Maximum seconds until the kill; importing the table takes less."""
ROOT = Path(__file__).parents[2]


def started(what: str, place: str, number: int) -> tuple["subprocess.Popen[str]", str]:
    """A running process, and the first line that it wrote."""
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.stress.work_process", what, place, str(number)],
        cwd=ROOT, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert process.stdout is not None
    return process, process.stdout.readline().strip()


def killed(process: "subprocess.Popen[str]") -> None:
    process.send_signal(signal.SIGKILL)
    process.wait()
    if process.stdout is not None:
        process.stdout.close()


def killed_while_importing(folder: Path, after: float) -> str:
    """Import a table, kill the import after some seconds, and check; return the outcome.

    Raises:
        AssertionError: something is half done, or is not reported.
    """
    place = str(folder / "words.db")
    Store.create(place, Termbase("Words"), by="Nia").close()
    process, address = started("import", place, ROWS)
    time.sleep(after)
    killed(process)
    with closing(Store.open(place)) as store:
        app = create_app(Settings(store))
        client = app.test_client()
        client.environ_base["HTTP_ORIGIN"] = "http://localhost"
        page = client.get(address).text
        with store.read() as reader:
            entries, acts = reader.count(Entry), len(reader.last_acts(9))
        taken = "has been imported" in page
        assert entries == (ROWS if taken else 0), (entries, taken)
        assert acts == (2 if taken else 1)
        with app.app_context():
            result = [job.state for job in jobs().newest() if job.title.startswith("Importing")]
        assert result in ([State.FINISHED],) if taken else result in ([], [State.CUT_OFF]), result
        left = [path.name for path in (folder / "words.db.files").glob("*.job")]
        assert not left, left
        if not taken:
            answer = client.post(address, data={"take": "new"})
            assert answer.status_code == 303
            with app.app_context():
                assert jobs().newest()[0].wait(60)
            assert "has been imported" in client.get(address).text
            assert re.search(rf"<dd>{ROWS}</dd>", client.get(address).text)
    return "imported" if taken else str(result[0].value if result else "not begun")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=50)
    times = parser.parse_args().times
    counted: Counter[str] = Counter()
    for _ in range(times):
        with tempfile.TemporaryDirectory() as folder:
            counted[killed_while_importing(Path(folder), random.uniform(0, LONGEST))] += 1
    print(dict(counted))


if __name__ == "__main__":
    main()
