"""Making a termbase of the invented demo."""

from collections.abc import Callable
from datetime import UTC, datetime

from termbase.demo.records import Demo
from termbase.store import Act, Store

__all__ = ["fill"]

MADE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
"""When the demo says that it was made: always the same, so that its exports are."""
EDITOR = "Nia"


def _now() -> datetime:
    return datetime.now(UTC)


def fill(place: str, demo: Demo, clock: Callable[[], datetime] = _now) -> Store:
    """Make the demo at a path or database URL, in acts as a team would have made it; returns it open.

    Raises:
        BadInput: the place already holds something.
    """
    store = Store.create(place, demo.termbase, by=EDITOR, clock=lambda: MADE)
    with store.act(EDITOR, "named the people, the sources and the rule codes") as act:
        for image in demo.images:
            act.add_image(image)
        _add(act, "person", demo.people)
        _add(act, "source", demo.sources)
        _add(act, "code", demo.codes)
    with store.act(EDITOR, "made the entries, with their slips") as act:
        _add(act, "entry", demo.entries)
        for entry in demo.entries:
            for term in entry.terms:
                act.count_past("term", term.id)
        _add(act, "slip", demo.slips)
    with store.act(EDITOR, "entered and worked the word-list") as act:
        _add(act, "page", demo.pages)
        _add(act, "line", demo.lines)
    with store.act(EDITOR, "recorded the trials") as act:
        _add(act, "trial", demo.trials)
    store.clock = clock
    return store


def _add(act: Act, kind: str, records: tuple[object, ...]) -> None:
    for record in records:
        act.add(record)
        act.count_past(kind, str(getattr(record, "id")))  # noqa: B009 - records of every kind have one
