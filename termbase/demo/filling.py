"""Creating a termbase with the invented demo."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime

from termbase.codes.deeds import Deed
from termbase.demo.records import Demo
from termbase.errors import BadInput
from termbase.messages import message
from termbase.overviews.progress import is_unnamed
from termbase.record.people import Person
from termbase.store.engine import Store
from termbase.store.rows import Kept
from termbase.store.writing import Act

__all__ = ["fill", "fill_empty"]

MADE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
"""The fixed creation time of the demo, so that its exports are always the same."""
EDITOR = "Elin Maesgwyn"
"""The researcher of the demo, as named in its people.toml."""


def _now() -> datetime:
    return datetime.now(UTC)


def fill(place: str, demo: Demo, clock: Callable[[], datetime] = _now) -> Store:
    """Create the demo at a path or database URL, in acts as a team would have made them; return it open.

    Raises:
        BadInput: the place is not empty.
    """
    store = Store.create(place, demo.termbase, by=EDITOR, clock=lambda: MADE)
    _put_in(store, demo, demo.people)
    store.clock = clock
    return store


def fill_empty(store: Store, demo: Demo) -> None:
    """Load the demo into an empty termbase, which gets its title and notice. Existing people stay.

    Raises:
        BadInput: the termbase is not empty.
    """
    with store.act(EDITOR, Deed.DEMO_MADE()) as act:
        if not is_unnamed(act):
            raise BadInput(
                message("This termbase already has a title or records."),
                where="demo",
                fix=message("Create the demo in another place: wordhold demo"),
            )
        act.put(replace(demo.termbase, version=act.termbase().version))
        there = {person.id for person in act.all(Person)}
    _put_in(store, demo, tuple(person for person in demo.people if person.id not in there))


def _put_in(store: Store, demo: Demo, people: tuple[Person, ...]) -> None:
    with store.act(EDITOR, Deed.DEMO_SOURCES_NAMED()) as act:
        for image in demo.images:
            act.add_image(image)
        _add(act, "person", people)
        _add(act, "source", demo.sources)
        _add(act, "code", demo.codes)
    with store.act(EDITOR, Deed.DEMO_ENTRIES_MADE()) as act:
        _add(act, "entry", demo.entries)
        for entry in demo.entries:
            for term in entry.terms:
                act.count_past("term", term.id)
        _add(act, "slip", demo.slips)
    with store.act(EDITOR, Deed.DEMO_WORD_LIST_WORKED()) as act:
        _add(act, "page", demo.pages)
        _add(act, "line", demo.lines)
    with store.act(EDITOR, Deed.DEMO_TRIALS_RECORDED()) as act:
        _add(act, "trial", demo.trials)


def _add(act: Act, kind: str, records: tuple[Kept, ...]) -> None:
    for record in records:
        act.add(record)
        act.count_past(kind, record.id)
