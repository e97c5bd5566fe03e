"""Techniques that rest on one another: a value inferred from an analogue whose own was inferred from it.

A value that rests on an analogue is worth what the analogue's own evidence is worth. When, from analogue to
analogue, one comes back to where one began, there is no evidence at all, and nothing in the record shows it.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from sqlalchemy import select

from termbase.entries import Entry, heads
from termbase.messages import message
from termbase.store import Reader, schema
from termbase.technique import Profile
from termbase.technique.stating import Statement, statements_of

__all__ = ["CIRCLE_MEND", "Circle", "circles"]

CIRCLE_MEND: Final = message("Give one of them another basis, or leave its value unstated.")


@dataclass(frozen=True, slots=True)
class Circle:
    """Values that rest on one another in a ring.

    Attributes:
        entry_id: the entry that closes it.
        path: the attribute.
        names: the techniques along the ring, the first named again at its end.
    """

    entry_id: str
    path: str
    names: tuple[str, ...]

    @property
    def said(self) -> str:
        """The ring in a sentence."""
        return message(
            "This value rests on itself through analogues: %(names)s.", names=" → ".join(self.names)
        )


def circles(reader: Reader, changed: Mapping[str, Profile]) -> Iterator[Circle]:
    """Every ring that these profiles, by the ids of their entries, would close, attribute by attribute.

    An analogue is followed where it is called by a name of the record; one of a living style that the record
    does not hold ends the way.
    """
    record = _Record(reader, changed)
    for entry_id, profile in changed.items():
        for path, said in statements_of(profile).items():
            if said.basis == "analogue" and said.ref:
                ring = _back_to(entry_id, path, record)
                if ring:
                    yield Circle(entry_id, path, tuple(record.name(i) for i in (entry_id, *ring)))


def _back_to(start: str, path: str, record: "_Record") -> tuple[str, ...]:
    """The way from an entry by its analogues back to itself; empty if there is none."""
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
    """The stated techniques as they would be, each entry read once."""

    def __init__(self, reader: Reader, changed: Mapping[str, Profile]) -> None:
        self._reader = reader
        self._said: dict[str, Mapping[str, Statement]] = {i: statements_of(p) for i, p in changed.items()}
        self._called: dict[str, tuple[str, ...]] = {}

    def name(self, entry_id: str) -> str:
        """What an entry is called, for a message."""
        known = heads(self._reader.get(Entry, entry_id))
        own = known.get(self._reader.termbase().working_language) or next(iter(known.values()), None)
        return own.text if own else entry_id

    def rests_on(self, entry_id: str, path: str) -> tuple[str, ...]:
        """The entries that an attribute of an entry is inferred from."""
        if entry_id not in self._said:
            entry = self._reader.find(Entry, entry_id)
            self._said[entry_id] = statements_of(entry.technique if entry else None)
        said = self._said[entry_id].get(path)
        return self._of_name(said.ref) if said and said.basis == "analogue" and said.ref else ()

    def _of_name(self, name: str) -> tuple[str, ...]:
        if name not in self._called:
            term = schema.term.c
            rows = self._reader.connection.execute(
                select(term.entry_id).where(term.text == name).order_by(term.entry_id)
            )
            self._called[name] = tuple(dict.fromkeys(row[0] for row in rows))
        return self._called[name]
