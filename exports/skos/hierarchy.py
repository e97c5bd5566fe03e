"""Which entry is above which, for a whole termbase or a choice of its entries; a few bytes for each."""

from collections import defaultdict
from collections.abc import Collection

from sqlalchemy import select

from termbase.entries import RelationKind
from termbase.store import Reader, schema

__all__ = ["Hierarchy"]


class Hierarchy:
    """The broader entries of each entry.

    A relation that would close a chain is left out, so that the hierarchy is one whatever the record holds.

    Args:
        broader: ids of the entries directly above each.
        ids: the entries there are; what points at any other is left out.
    """

    def __init__(self, broader: dict[str, tuple[str, ...]], ids: Collection[str]) -> None:
        self._ids = frozenset(ids)
        self._broader: dict[str, tuple[str, ...]] = {}
        for entry_id, above in broader.items():
            if entry_id not in self._ids:
                continue
            for other in dict.fromkeys(above):
                if other in self._ids and other != entry_id and not self._is_above(entry_id, other):
                    self._broader[entry_id] = (*self._broader.get(entry_id, ()), other)

    @classmethod
    def read(cls, reader: Reader, ids: Collection[str]) -> "Hierarchy":
        """The hierarchy of these entries."""
        table = schema.relation
        query = (
            select(table.c.entry_id, table.c.target_id)
            .where(table.c.kind == RelationKind.BROADER.value)
            .order_by(table.c.entry_id, table.c.position)
        )
        found: defaultdict[str, list[str]] = defaultdict(list)
        for entry_id, target_id in reader.connection.execute(query):
            found[entry_id].append(target_id)
        return cls({entry_id: tuple(above) for entry_id, above in found.items()}, ids)

    def has(self, entry_id: str) -> bool:
        """Whether the entry is among those there are."""
        return entry_id in self._ids

    def broader(self, entry_id: str) -> tuple[str, ...]:
        """The entries directly above."""
        return self._broader.get(entry_id, ())

    def one_above_other(self, one: str, other: str) -> bool:
        """Whether one of two entries is above the other, at any distance."""
        return self._is_above(one, other) or self._is_above(other, one)

    def _is_above(self, upper: str, lower: str) -> bool:
        seen: set[str] = set()
        to_see = [lower]
        while to_see:
            entry_id = to_see.pop()
            if entry_id == upper:
                return True
            if entry_id not in seen:
                seen.add(entry_id)
                to_see.extend(self._broader.get(entry_id, ()))
        return False
