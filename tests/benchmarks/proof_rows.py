"""Proof, Publish and the history with very many findings and changes, compared with a plain page.

Run by hand: `python tests/benchmarks/proof_rows.py [findings] [changes]`. Requests go through Flask's test
client, so no network is measured. The findings are made up and kept as a job would keep them; the changes are
one act.
"""

import random
import statistics
import sys
import tempfile
import time
from collections.abc import Callable

from flask.testing import FlaskClient

from app.web import Settings, create_app, proof
from app.web.workspace import workspace
from termbase.proofing.checks import CHECKS, Finding
from termbase.record.entries import Entry, Origin, Term
from termbase.record.people import Termbase
from termbase.store.engine import Store

SEED = 1898
FINDINGS = 119_000
CHANGES = 24_000
REQUESTS = 15

Row = tuple[str, float, float, float | None]


def rows(number: int = FINDINGS, changes: int = CHANGES) -> list[Row]:
    """(what, our seconds, the plain page's seconds, the ratio not to be exceeded), medians."""
    with tempfile.TemporaryDirectory() as folder:
        store = Store.create(
            f"{folder}/proof.wordhold", Termbase("Many", vernaculars=("cy",)), by="benchmark"
        )
        with store.act("benchmark", "took in a file") as act:
            for n in range(1, changes + 1):
                term = Term(f"t{n}", f"gafael {n}", "cy", Origin.WORD_LIST, usage_note="from the file")
                act.add(Entry(f"c{n}", None, (term,)))
        app = create_app(Settings(store))
        client = app.test_client()
        plain = _median(client, lambda _n: "/cautions")
        publish_alone = _median(client, lambda _n: "/publish")
        with store.read() as reader:
            newest = reader.last_acts(1)[0].id
        with app.app_context():
            proof.keep(proof.Checked(newest, changes, 0, _findings(number, changes)), workspace())
        words = [f"gafael {n}" for n in random.Random(SEED).sample(range(changes), REQUESTS + 1)]
        asked: list[tuple[str, Callable[[int], str], float, float]] = [
            ("Proof, first page", lambda _n: "/proof", plain, 4),
            ("Proof, a page of one check", lambda n: f"/proof?check=no-definition&page={n + 2}", plain, 4),
            ("Proof, narrowed by words not asked before", lambda n: f"/proof?find={words[n]}", plain, 40),
            ("Publish, against Publish without findings", lambda _n: "/publish", publish_alone, 1.5),
            ("history of an act, a page", lambda n: f"/history/act/{newest}?page={n + 1}", plain, 25),
        ]
        measured = [
            (f"{what} ({number} findings, {changes} changes)", _median(client, address), base, goal)
            for what, address, base, goal in asked
        ]
        store.close()
    return measured


def _findings(number: int, entries: int) -> tuple[Finding, ...]:
    every = number // len(CHECKS) + 1
    made = (
        Finding(
            check.code,
            "entry",
            f"c{n % entries + 1}",
            f"gafael {n % entries + 1}",
            "It has none.",
            "Add it.",
        )
        for check in CHECKS
        for n in range(every)
    )
    return tuple(each for each, _n in zip(made, range(number), strict=False))


def _median(client: FlaskClient, address: Callable[[int], str]) -> float:
    client.get(address(0))
    taken = []
    for n in range(REQUESTS):
        begun = time.perf_counter()
        answer = client.get(address(n + 1))
        taken.append(time.perf_counter() - begun)
        assert answer.status_code == 200, answer.text
    return statistics.median(taken)


if __name__ == "__main__":
    for what, ours, bare, goal in rows(*(int(a) for a in sys.argv[1:])):
        print(f"{what:<85} {ours * 1000:9.2f} ms {bare * 1000:9.2f} ms {ours / bare:8.1f} {goal}")
