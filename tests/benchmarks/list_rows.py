"""The list of 12,000 entries against a bare Flask page, both on the program's own server.

Run by hand: `python tests/benchmarks/list_rows.py [entries]`. Requests go over one kept connection, the pages
of the list and the bare page in turn, so that whatever else the machine does weighs on both. Pages are asked
for at random; no page of the list is asked for twice.
"""

import http.client
import random
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager

from flask import Flask

from app.serving import THREADS
from app.web import Settings, create_app
from termbase.acts.rules import save_code
from termbase.acts.sources import save_source
from termbase.record.entries import Entry, Gender, Origin, PartOfSpeech, Status, Term, Topic
from termbase.record.people import Termbase
from termbase.record.sources import Slip, Source, SourceKind
from termbase.rules.clauses import GripRule, LegRule, RuleCode
from termbase.store.engine import Store
from termbase.store.writing import Act
from termbase.technique.profile import LEG_USES, PLACES, Hand, Profile, Stated
from tests.served import served

SEED = 1898
ENTRIES = 12_000
REQUESTS = 220
GOAL = 5.0
P95_SECONDS = 0.020
"""The slowest twentieth of the requests begins here at the latest."""
TOPICS = tuple(Topic)
ORIGINS = tuple(Origin)
SYLLABLES = ("ba", "cei", "dro", "ffe", "gwy", "lla", "mor", "nant", "pen", "rhy", "sa", "tre", "wys", "clo")

Row = tuple[str, float, float, float]


def rows(entries: int = ENTRIES) -> list[Row]:
    """(what, our seconds, the bare page's seconds, the ratio not to be exceeded).

    The last row compares the 95th percentile with the 20 ms that it may take, in place of a bare page.
    """
    chance = random.Random(SEED)
    with tempfile.TemporaryDirectory() as folder:
        store = Store.create(f"{folder}/list.wordhold", Termbase("Many", vernaculars=("cy",)), by="benchmark")
        with store.act("benchmark", "entered them") as act:
            _enter(act, entries, chance)
        with _served(create_app(Settings(store))) as ours, _served(_bare()) as bare:
            listed = _addresses(entries, chance)
            taken, hello = _in_turn(ours, bare, listed)
            typed, _ = _in_turn(ours, bare, [f"/entries?part=1&q={_word(chance)[:4]}" for _ in listed])
            result, _ = _in_turn(ours, bare, [f"/entries/find?part=1&q={_word(chance)[:4]}" for _ in listed])
        store.close()
    middle = statistics.median(hello)
    return [
        (f"a page of a list of {entries} entries", statistics.median(taken), middle, GOAL),
        ("the same, 95th percentile within 20 ms", _p95(taken), P95_SECONDS, 1.0),
        ("narrowing it by typing, 95th percentile within 20 ms", _p95(typed), P95_SECONDS, 1.0),
        ("finding while typing, 95th percentile within 20 ms", _p95(result), P95_SECONDS, 1.0),
    ]


def _word(chance: random.Random) -> str:
    return "".join(chance.choices(SYLLABLES, k=chance.choice((2, 3, 3, 4))))


def _enter(act: Act, entries: int, chance: random.Random) -> None:
    """Two names and a slip each, a technique for a third, three rule codes."""
    source = save_source(act, Source("", "Mail 1871", SourceKind.NEWSPAPER, "The Upland Mail", issued="1871"))
    for name, use in (("Fair rules", "kick"), ("Quarry rules", "hook"), ("Open rules", "trip")):
        legs = LegRule(id="L1", stance="barred", uses=(use,))
        grips = GripRule(id="G1", allowed=("jacket", "belt"))
        save_code(act, RuleCode("", name, clauses=(legs, grips)))
    for n in range(entries):
        made = _entry(act, n, chance)
        act.add(made)
        text = f"He took {made.terms[0].text} at the fair, {n}."
        act.add(Slip(act.new_id("slip"), source.id, text, term_id=made.terms[0].id))


def _entry(act: Act, n: int, chance: random.Random) -> Entry:
    def term(language: str) -> Term:
        return Term(
            act.new_id("term"),
            f"{_word(chance)} {_word(chance)}",
            language,
            chance.choice(ORIGINS),
            part_of_speech=PartOfSpeech.NOUN,
            gender=Gender.FEMININE if language == "cy" else None,
            status=Status.PREFERRED,
        )

    profile = None
    if n % 3 == 0:
        hands = [Hand(places=Stated((chance.choice(PLACES),))) for _ in range(2)]
        profile = Profile(right=hands[0], left=hands[1], leg_use=Stated(chance.choice(LEG_USES)))
    return Entry(act.new_id("entry"), chance.choice(TOPICS), (term("en"), term("cy")), technique=profile)


def _bare() -> Flask:
    app = Flask("bare")

    @app.get("/")
    def hello() -> str:
        return "hello"

    return app


@contextmanager
def _served(app: Flask) -> Iterator[http.client.HTTPConnection]:
    with served(app, THREADS) as port:
        connection = http.client.HTTPConnection("127.0.0.1", port)
        yield connection
        connection.close()


def _addresses(entries: int, chance: random.Random) -> list[str]:
    pages = entries // 50
    every = [f"/entries?lang={lang}&page={page}" for lang in ("en", "cy") for page in range(1, pages + 1)]
    return chance.sample(every, min(REQUESTS, len(every)))


def _in_turn(
    ours: http.client.HTTPConnection, bare: http.client.HTTPConnection, addresses: list[str]
) -> tuple[list[float], list[float]]:
    for connection, address in ((ours, addresses[0]), (bare, "/")) * 3:
        _ask(connection, address)
    pairs = [(_ask(ours, address), _ask(bare, "/")) for address in addresses]
    return [a for a, _ in pairs], [b for _, b in pairs]


def _ask(connection: http.client.HTTPConnection, address: str) -> float:
    start = time.perf_counter()
    connection.request("GET", address)
    answer = connection.getresponse()
    answer.read()
    seconds = time.perf_counter() - start
    if answer.status != 200:
        raise LookupError(address)
    return seconds


def _p95(seconds: list[float]) -> float:
    return statistics.quantiles(seconds, n=20)[-1]


if __name__ == "__main__":
    for name, taken, beside, goal in rows(int(sys.argv[1]) if len(sys.argv) > 1 else ENTRIES):
        print(
            f"{name}: {taken * 1000:.2f} ms, beside {beside * 1000:.2f} ms,"
            f" ratio {taken / beside:.2f} (goal {goal})"
        )
