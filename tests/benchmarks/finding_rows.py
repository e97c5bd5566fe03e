"""How fast and how completely names are found among 600,000, compared with RapidFuzz over all of them.

On SQLite, and on PostgreSQL where a server can be started. Times are wall-clock time, then, in brackets, the
processor time of this process alone (without that of a database server): on a busy machine the first grow,
the second hardly change.

Run it alone: `python tests/benchmarks/finding_rows.py [entries] [queries] [sqlite] [postgresql]`; with fewer
entries it is a quick check, with the default 200,000 it gives the figure in the design. Everything is
generated from one fixed seed.
"""

import gc
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import ParamSpec, TypeVar

from rapidfuzz import process
from rapidfuzz.distance import Levenshtein
from sqlalchemy import insert, text
from sqlalchemy.exc import DatabaseError

from termbase.languages.keys import find_keys
from termbase.record.people import Termbase
from termbase.search.finding import complete, filter_ids, find
from termbase.search.hits import Hit
from termbase.search.likeness import Resembler
from termbase.search.queries import near_texts
from termbase.store import tables
from termbase.store.engine import Store
from termbase.store.keys import reindex

sys.path.insert(0, str(Path(__file__).parent))
import postgresql

SEED = 1898
ENTRIES, QUERIES, EXHAUSTIVE = 200_000, 500, 100
BATCH = 20_000
STARTS = (
    *"bcdfghlmnprstw",
    "bl",
    "br",
    "cl",
    "cr",
    "dr",
    "ff",
    "gl",
    "gr",
    "ll",
    "pl",
    "st",
    "sw",
    "tr",
    "wr",
)
MIDDLES = (*"aeiouwy", "ae", "ai", "ea", "oo", "ow")
ENDS = ("", "", "l", "n", "r", "s", "ck", "th", "nt", "rd", "sh", "ll")
LETTERS = "abcdefghilmnoprstuwy"

P = ParamSpec("P")
T = TypeVar("T")
Row = tuple[str, float, float, float]
DATABASES = ("sqlite", "postgresql")


@dataclass(frozen=True)
class Times:
    """The time something took: wall-clock seconds, and processor seconds of this process."""

    clock: float
    work: float


@dataclass(frozen=True)
class Apart:
    """Something done in a separate process: wall-clock seconds, processor seconds, and peak memory (MB)."""

    seconds: float
    work: float
    memory: float


@dataclass(frozen=True)
class Asked:
    """A query for an existing name, and its result."""

    query: str
    true: str
    times: Times
    texts: list[str]


@dataclass(frozen=True)
class Names:
    """Generated names: text, language, entry id, in order of term id."""

    rows: list[tuple[str, str, str]]


def rows(entries: int = ENTRIES, queries: int = QUERIES, databases: Sequence[str] = DATABASES) -> list[Row]:
    """What, our seconds, RapidFuzz's seconds, the ratio not to be exceeded; prints further facts."""
    names = _names(entries, random.Random(SEED))
    result: list[Row] = []
    if "sqlite" in databases:
        with tempfile.TemporaryDirectory() as folder:
            result += _on("SQLite", f"{folder}/finding.wordhold", names, queries)
    if "postgresql" in databases:
        if reason := postgresql.why_none():
            print(f"Not measured on PostgreSQL: {reason}.")
        else:
            with postgresql.server() as place:
                result += _on("PostgreSQL", place, names, queries)
    _accepting(random.Random(SEED))
    return result


def _on(database: str, place: str, names: Names, queries: int) -> list[Row]:
    """Measure everything on one database."""
    chance = random.Random(SEED)
    print(f"\n{database}", flush=True)
    store = Store.create(place, Termbase(title="Finding"), by="benchmark")
    _enter(store, names)
    done = _apart("reindex", place)
    _say("names re-keyed per second", len(names.rows) / done.seconds, "at least 20,000")
    _say("names re-keyed per processor second", len(names.rows) / done.work, "at least 20,000")
    _say("memory of a process that does it, MB", done.memory, "under 300")
    _say("memory of a process that finds, MB", _apart("find", place).memory, "under 300")
    gc.collect()
    gc.freeze()  # the generated names are not part of the measurement
    if database == "SQLite":
        _sizes(store, Path(place))
    with store.read() as reader:
        find(reader, "warming up")
        actual = _near(lambda q: find(reader, q, language="en"), names, queries, chance)
        _any_language(lambda q: find(reader, q), names, queries // 2, chance)
        _typing(lambda q: complete(reader, q), names, queries, chance)
        _filtering(lambda q: filter_ids(reader, q), names, queries // 10, chance)
        result = _exhaustive(database, actual, names, lambda q: [n.text for n in near_texts(reader, q)])
    store.close()
    return result


def _names(entries: int, chance: random.Random) -> Names:
    def word() -> str:
        return "".join(
            chance.choice(STARTS) + chance.choice(MIDDLES) + chance.choice(ENDS)
            for _ in range(chance.choice((1, 2, 2, 2, 3)))
        )

    words = [word() for _ in range(max(500, entries // 10))]
    made = []
    for n in range(1, entries + 1):
        for tag in ("en", "en", "cy"):
            made.append((" ".join(chance.choices(words, k=chance.choice((2, 2, 3, 3, 4)))), tag, f"c{n:04d}"))
    return Names(made)


def _enter(store: Store, names: Names) -> None:
    """Insert entries and names without acts, which are measured elsewhere."""
    reading = '{"by":"","on":"","reopened":{}}'
    with store.engine.connect() as connection:
        writing = connection.execution_options(wordhold_writes=True)
        with writing.begin():
            for start in range(0, len(names.rows), BATCH):
                part = list(enumerate(names.rows[start : start + BATCH], start + 1))
                entry_ids = dict.fromkeys(entry_id for n, (_, _, entry_id) in part if n % 3 == 1)
                common = {"language_reading": reading, "practice_reading": reading, "ready": False}
                entries = [{"id": entry_id, **common} for entry_id in entry_ids]
                if entries:
                    writing.execute(insert(tables.entry), entries)
                terms = [
                    {"id": f"t{n}", "entry_id": entry_id, "position": n % 3, "text": name, "language": tag,
                     "origin": "in use", "forms": "[]", "sort_key": name.encode(), "is_head": n % 3 == 0}
                    for n, (name, tag, entry_id) in part
                ]  # fmt: skip
                writing.execute(insert(tables.term), terms)


def _near(
    ask: Callable[[str], Sequence[Hit]], names: Names, number: int, chance: random.Random
) -> list[Asked]:
    """Names with one or two random edits."""
    english = [name for name, tag, _ in names.rows if tag == "en"]
    asked = []
    for _ in range(number):
        true = chance.choice(english)
        query = _edited(true, chance.choice((1, 2)), chance)
        times, hits = _timed(ask, query)
        asked.append(Asked(query, true, times, [hit.text for hit in hits]))
    _say_times("near name, language given", [each.times for each in asked], "p95 at most 10 ms")
    _say("true name among the first ten, %", _share(each.true in each.texts for each in asked), "at least 99")
    return asked


def _any_language(
    ask: Callable[[str], Sequence[Hit]], names: Names, number: int, chance: random.Random
) -> None:
    times, right = [], []
    for _ in range(number):
        true = chance.choice(names.rows)[0]
        query = _edited(true, chance.choice((1, 2)), chance)
        seconds, hits = _timed(ask, query)
        times.append(seconds)
        right.append(true in [hit.text for hit in hits])
    _say_times("near name, any language", times, "p95 at most 10 ms")
    _say("true name among the first ten, %", _share(right), "at least 99")


def _typing(ask: Callable[[str], Sequence[Hit]], names: Names, number: int, chance: random.Random) -> None:
    times, right = [], []
    for _ in range(number):
        true = chance.choice(names.rows)[0]
        query = _edited(true[: (len(true) + 1) // 2], 1, chance)
        seconds, hits = _timed(ask, query)
        times.append(seconds)
        right.append(true in [hit.text for hit in hits])
    _say_times("half a name with one error", times, "p95 at most 20 ms")
    _say("true name among the first ten, %", _share(right), "at least 90")
    exact = [chance.choice(names.rows)[0] for _ in range(number)]
    times = [_timed(ask, name[:n])[0] for n, name in zip([1, 2, 3, 5, 8] * number, exact, strict=False)]
    _say_times("the first 1 to 8 letters", times, "p95 at most 20 ms")


def _filtering(ask: Callable[[str], Sequence[str]], names: Names, number: int, chance: random.Random) -> None:
    for length in (1, 3, 6):
        asked = [chance.choice(names.rows)[0][:length].strip() for _ in range(number)]
        answers = [_timed(ask, q) for q in asked]
        mean = statistics.mean(len(ids) for _, ids in answers)
        _say_times(f"list filter of {length} letters, {mean:.0f} entries left", [s for s, _ in answers], "")


def _exhaustive(
    database: str, asked: list[Asked], names: Names, near: Callable[[str], list[str]]
) -> list[Row]:
    texts = sorted({find_keys(name, "en")[-1 if " " not in name else 1].text for name, _, _ in names.rows})

    def over_all(asked: str) -> list[tuple[str, int, int]]:
        return process.extract(asked, texts, scorer=Levenshtein.distance, limit=10)

    bare, ours, first, complete_answers = [], [], [], []
    for each in asked[:EXHAUSTIVE]:
        key = find_keys(each.query, "en")
        loose = key[1].text if len(key) > 1 else key[0].text
        taken, best = _timed(over_all, loose)
        result = near(loose)
        bare.append(taken.clock)
        ours.append(each.times.clock)
        first.append(best[0][1] > 3 or best[0][0] in result[:10] or best[0][1] == _edits(loose, result))
        complete_answers.append(
            {name for name, edits, _ in best if edits <= 3} <= set(result) or len(loose) < 8
        )
    _say("exhaustive first answer among ours, %", _share(first), "at least 99")
    _say("exhaustive answers within three edits all among ours, %", _share(complete_answers), "100")
    name = f"{database}: near name among {len(texts):,} keys (median)"
    return [(name, statistics.median(ours), statistics.median(bare), 1 / 50)]


def _accepting(chance: random.Random) -> None:
    """A page of 12,630 lines against a termbase that grows with each line."""
    names = _names(12_630, random.Random(SEED + 1))
    with tempfile.TemporaryDirectory() as folder:
        store = Store.create(f"{folder}/lines.wordhold", Termbase(title="Lines"), by="benchmark")
        _enter(store, _names(12_630, chance))
        reindex(store)
        with store.read() as reader:

            def check() -> int:
                resembler = Resembler(reader)
                lines = zip(names.rows[::3], names.rows[2::3], strict=True)
                return sum(bool(resembler.why([(a, "en"), (b, "cy")])) for (a, *_), (b, *_) in lines)

            seconds, alike = _timed(check)
            whole, _ = _timed(
                lambda: [Resembler(reader).resembling([(names.rows[0][0], "en")]) for _ in range(5)]
            )
        store.close()
    print()
    _say(f"12,630 lines compared with 12,630 entries ({alike} alike), seconds", seconds.clock, "under 15")
    _say("one line compared, keys read again, ms", whole.clock / 5 * 1000, "")


def _edited(name: str, edits: int, chance: random.Random) -> str:
    for _ in range(edits):
        at = chance.randrange(len(name))
        how = chance.choice(("put", "drop", "change"))
        put = "" if how == "drop" else chance.choice(LETTERS)
        name = name[:at] + put + name[at + (how != "put") :]
    return name


def _edits(query: str, result: list[str]) -> int:
    return min((Levenshtein.distance(query, name) for name in result), default=99)


def _timed(do: Callable[P, T], *given: P.args, **named: P.kwargs) -> tuple[Times, T]:
    clock, work = time.perf_counter(), time.process_time()
    result = do(*given, **named)
    return Times(time.perf_counter() - clock, time.process_time() - work), result


def _share(right: Iterable[bool]) -> float:
    each = list(right)
    return 100 * sum(each) / len(each)


def _apart(what: str, place: str) -> Apart:
    """Run something in a separate process."""
    done = subprocess.run(
        [sys.executable, __file__, what, place],
        check=True,
        capture_output=True,
        text=True,
        env=_environment(),
    )
    return Apart(*map(float, done.stdout.split()))


def _environment() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}


def _do_apart(what: str, place: str) -> None:
    store = Store.open(place)
    start, work = time.perf_counter(), time.process_time()
    if what == "reindex":
        reindex(store)
    else:
        chance = random.Random(SEED)
        with store.read() as reader:
            texts = list(reader.connection.scalars(text("SELECT text FROM term LIMIT 300")))
            for name in texts:
                find(reader, _edited(name, 2, chance))
                complete(reader, name[:6])
                filter_ids(reader, name[:2])
    print(time.perf_counter() - start, time.process_time() - work, _most_memory())


def _most_memory() -> float:
    """In MB; not by `getrusage`, which counts what the parent had before it started this process."""
    lines = Path("/proc/self/status").read_text().splitlines()
    return int(next(line for line in lines if line.startswith("VmHWM")).split()[1]) / 1024


def _sizes(store: Store, place: Path) -> None:
    with store.read() as reader:
        query = text("SELECT name, sum(pgsize) FROM dbstat GROUP BY name ORDER BY 2 DESC LIMIT 6")
        try:
            for name, size in reader.connection.execute(query):
                _say(f"  {name}, MB", size / 1e6, "")
        except DatabaseError:
            _say("database, MB", place.stat().st_size / 1e6, "")
        for table in (tables.key, tables.segment):
            number = reader.connection.scalar(text(f'SELECT count(*) FROM "{table.name}"'))
            _say(f"  rows in {table.name}", float(number or 0), "")


def _say_times(what: str, times: Sequence[Times], goal: str) -> None:
    (median, p95), (m, p) = (_of(values) for values in zip(*((t.clock, t.work) for t in times), strict=True))
    goal = goal and f"(goal: {goal})"
    print(f"{what}: median {median:.2f} ms, p95 {p95:.2f} ms  [{m:.2f}, {p:.2f}]  {goal}", flush=True)


def _of(seconds: Sequence[float]) -> tuple[float, float]:
    """Median and 95th percentile in milliseconds."""
    ordered = sorted(seconds)
    return statistics.median(ordered) * 1000, ordered[int(0.95 * (len(ordered) - 1))] * 1000


def _say(what: str, number: float, goal: str) -> None:
    print(f"{what}: {number:,.1f}  {goal and f'(goal: {goal})'}", flush=True)


if __name__ == "__main__" and sys.argv[1:2] in (["reindex"], ["find"]):
    _do_apart(*sys.argv[1:3])
elif __name__ == "__main__":
    numbers, databases = (
        [int(a) for a in sys.argv[1:] if a.isdigit()],
        [a for a in sys.argv[1:] if a in DATABASES],
    )
    for what, ours, bare, goal in rows(*numbers, databases=databases or DATABASES):
        print(f"{what}: ours {ours * 1000:.2f} ms, RapidFuzz over all {bare * 1000:.1f} ms,", end=" ")
        print(f"{bare / ours:.0f} times as fast (goal: {1 / goal:.0f})")
