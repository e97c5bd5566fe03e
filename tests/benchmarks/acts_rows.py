"""The cost of making an act survive a power cut: `synchronous=FULL` against `NORMAL`, on this disk."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from statistics import median
from time import perf_counter

from sqlalchemy import event

from termbase.acts import entries
from termbase.codes.deeds import Deed
from termbase.record.entries import Entry, Origin, Term
from termbase.record.people import Termbase
from termbase.store.engine import Store

ROUNDS = 5


def rows(acts: int = 200) -> list[tuple[str, float, float, float | None]]:
    """One row: a small act with FULL, and with NORMAL; medians of several alternating rounds."""
    with _store("FULL") as safe, _store("NORMAL") as fast:
        times: dict[str, list[float]] = {"FULL": [], "NORMAL": []}
        for _ in range(ROUNDS):
            for name, store in (("FULL", safe), ("NORMAL", fast)):
                times[name].append(_seconds_per_act(store, acts))
    return [
        ("an act on disk, synchronous=FULL : NORMAL", median(times["FULL"]), median(times["NORMAL"]), None)
    ]


@contextmanager
def _store(synchronous: str) -> Iterator[Store]:
    with tempfile.TemporaryDirectory(prefix="wordhold-acts-") as folder:
        place = str(Path(folder) / "acts.sqlite")
        store = Store.create(place, Termbase("Acts", vernaculars=("cy",)), by="Nia")

        @event.listens_for(store.engine, "connect")
        def on_connect(raw, _):  # type: ignore[no-untyped-def]
            raw.execute(f"PRAGMA synchronous={synchronous}")

        with store.act("Nia", "created an entry") as act:
            entries.save(act, Entry("", terms=(Term("", "back-heel", "en", Origin.IN_USE),)))
        yield store
        store.close()


def _seconds_per_act(store: Store, acts: int) -> float:
    start = perf_counter()
    for number in range(acts):
        with store.act("Nia", Deed.NOTES_CHANGED(id="c0001")) as act:
            entries.save(act, replace(act.get(Entry, "c0001"), usage_note=f"{number}"))
    return (perf_counter() - start) / acts
