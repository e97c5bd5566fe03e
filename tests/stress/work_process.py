"""A process with a long job on a termbase, for tests that watch it from another process, or kill it.

    python -m tests.stress.work_process job PLACE STEPS       a job of so many steps; it makes a file
    python -m tests.stress.work_process act PLACE STEPS       the same within an act, which makes an entry
    python -m tests.stress.work_process import PLACE ROWS     brings a table of so many rows and takes it in

The first line that it writes is the id of the job, or the address of the table. Then it waits for the end.
"""

import re
import sys
import time
from io import BytesIO

from flask import Flask
from flask.testing import FlaskClient

from app.web import Settings, create_app, progress
from app.web.progress import Finished, Job
from termbase.acts import entries
from termbase.messages import message, message_of_number
from termbase.record.entries import Entry, Origin, Term
from termbase.store.engine import Store

STEP = 0.02


def steps(job: Job, number: int) -> None:
    for done in range(number + 1):
        job.tell(done, number, message("Reading the entries"))
        time.sleep(STEP)


def work_at(app: Flask, store: Store, number: int, *, within_act: bool) -> Job:
    def alone(job: Job) -> Finished:
        steps(job, number)
        made = job.folder / "words.csv"
        made.write_text("a,b", encoding="utf-8")
        return Finished(message_of_number("%(n)s row.", "%(n)s rows.", number), file=made)

    def in_act(job: Job) -> Finished:
        finished = Finished(message("The table has been imported."), url="/entries")
        with store.act("Nia", "created an entry") as act:
            entries.save(act, Entry("", terms=(Term("", "hank", "en", Origin.COINED),)))
            act.flush()
            steps(job, number)
            job.settle(act.connection, finished)
        return finished

    with app.test_request_context("/publish", headers={"Accept-Language": "en"}):
        return progress.start(message("Proof"), in_act if within_act else alone)


def table(rows: int) -> bytes:
    lines = "".join(f"hold {n:05},en,coined\n" for n in range(rows))
    return f"name,language,origin\n{lines}".encode()


def upload(client: FlaskClient, rows: int) -> str:
    """Upload a table and have it checked; return the address of the preview."""
    address = client.post("/exchange", data={"file": (BytesIO(table(rows)), "words.csv")}).location
    columns = {f"column-{n}": key for n, key in enumerate(("name", "language", "origin"))}
    answer = client.post(address, data=columns)
    while answer.location.startswith("/progress/"):  # it takes a while
        time.sleep(STEP)
        leads_on = re.search(r'href="(/exchange/table/[\w-]+/preview)"', client.get(answer.location).text)
        if leads_on:
            return leads_on[1]
    return str(answer.location)


def main(what: str, place: str, number: int) -> None:
    store = Store.open(place)
    app = create_app(Settings(store))
    if what == "import":
        client = app.test_client()
        client.environ_base["HTTP_ORIGIN"] = "http://localhost"
        address = upload(client, number)
        print(address, flush=True)
        client.post(address, data={"take": "new"})
        with app.app_context():
            job = progress.jobs().newest()[0]
    else:
        job = work_at(app, store, number, within_act=what == "act")
        print(job.id, flush=True)
    job.wait(600)
    store.close()


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]))
