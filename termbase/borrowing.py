"""Find techniques that rest on each other: a value inferred from an analogue that was itself inferred from
it.

A value that rests on an analogue is worth what the analogue's evidence is worth. If following the analogues
leads back to the start, there is no evidence at all, and nothing in the record shows it.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from sqlalchemy import select

from termbase.messages import message
from termbase.record.entries import Entry, heads
from termbase.store import tables
from termbase.store.reading import Reader
from termbase.technique.profile import Profile
from termbase.technique.stating import StatementText, statements_of

__all__ = ["CIRCLE_FIX", "Circle", "circles"]

CIRCLE_FIX: Final = message("Give one of them another basis, or leave its value unstated.")


@dataclass(frozen=True, slots=True)
class Circle:
    """Values that rest on each other in a circle.

    Attributes:
        entry_id: the entry that closes the circle.
        path: the attribute.
        names: the techniques along the circle; the first is repeated at the end.
    """

    entry_id: str
    path: str
    names: tuple[str, ...]

    @property
    def said(self) -> str:
        """The circle as a sentence."""
        return message(
            "This value rests on itself through analogues: %(names)s.", names=" → ".join(self.names)
        )


def circles(reader: Reader, changed: Mapping[str, Profile]) -> Iterator[Circle]:
    """Yield every circle that these profiles (by entry id) would close, attribute by attribute.

    An analogue is followed if its name is in the record; an analogue from a living style that is not in the
    record ends the path.
    """
    record = _Record(reader, changed)
    for entry_id, profile in changed.items():
        for path, said in statements_of(profile).items():
            if said.basis == "analogue" and said.ref:
                ring = _back_to(entry_id, path, record)
                if ring:
                    yield Circle(entry_id, path, tuple(record.name(i) for i in (entry_id, *ring)))


def _back_to(start: str, path: str, record: "_Record") -> tuple[str, ...]:
    """Return the path from an entry through analogues back to itself; empty if there is none."""
    ways: list[tuple[str, ...]] = [(start,)]
    seen: set[str] = set()
    while ways:
        way = ways.pop()
        for target in record.rests_on(way[-1], path):
            if target == start:
                return (*way[1:], target)
            if target not in seen:
                seen.add(target)
                ways.append((*way, target))
    return ()


class _Record:
    """The techniques as they would be after the change; each entry is read once."""

    def __init__(self, reader: Reader, changed: Mapping[str, Profile]) -> None:
        self._reader = reader
        self._said: dict[str, Mapping[str, StatementText]] = {i: statements_of(p) for i, p in changed.items()}
        self._called: dict[str, tuple[str, ...]] = {}

    def name(self, entry_id: str) -> str:
        """Return the name of an entry, for a message."""
        known = heads(self._reader.get(Entry, entry_id))
        own = known.get(self._reader.termbase().working_language) or next(iter(known.values()), None)
        return own.text if own else entry_id

    def rests_on(self, entry_id: str, path: str) -> tuple[str, ...]:
        """Return the entries from which an attribute of an entry is inferred."""
        if entry_id not in self._said:
            entry = self._reader.find(Entry, entry_id)
            self._said[entry_id] = statements_of(entry.technique if entry else None)
        said = self._said[entry_id].get(path)
        return self._of_name(said.ref) if said and said.basis == "analogue" and said.ref else ()

    def _of_name(self, name: str) -> tuple[str, ...]:
        if name not in self._called:
            term = tables.term.c
            rows = self._reader.connection.execute(
                select(term.entry_id).where(term.text == name).order_by(term.entry_id)
            )
            self._called[name] = tuple(dict.fromkeys(row[0] for row in rows))
        return self._called[name]
