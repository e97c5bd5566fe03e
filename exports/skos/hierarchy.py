"""Which entry is above which, for a whole termbase or a selection of entries; a few bytes per entry."""

from collections.abc import Collection, Mapping, Sequence

from termbase.store.links import BroaderLinks, read_broader
from termbase.store.reading import Reader

__all__ = ["Hierarchy"]


class Hierarchy:
    """The broader entries of each entry.

    A relation that would close a circle is left out and reported, so that the result is always a hierarchy.

    Args:
        broader: ids of the entries directly above each.
        ids: the entries included; relations to any other entry are left out.

    Attributes:
        left_out: the relations that would have closed a circle: the entry, and the one named as broader.
    """

    def __init__(self, broader: Mapping[str, Sequence[str]], ids: Collection[str]) -> None:
        self._ids = frozenset(ids)
        self._links = BroaderLinks()
        self.left_out: list[tuple[str, str]] = []
        for entry_id, above in broader.items():
            if entry_id not in self._ids:
                continue
            for other in dict.fromkeys(above):
                if other not in self._ids:
                    continue
                if self._links.closes(entry_id, other):
                    self.left_out.append((entry_id, other))
                else:
                    self._links.add(entry_id, other)

    @classmethod
    def read(cls, reader: Reader, ids: Collection[str]) -> "Hierarchy":
        """Return the hierarchy of these entries."""
        return cls(read_broader(reader), ids)

    def has(self, entry_id: str) -> bool:
        """Return whether the entry is one of those included."""
        return entry_id in self._ids

    def broader(self, entry_id: str) -> tuple[str, ...]:
        """Return the entries directly above."""
        return self._links.above(entry_id)

    def one_above_other(self, one: str, other: str) -> bool:
        """Return whether one of two entries is above the other, at any distance."""
        return self._links.is_above(one, other) or self._links.is_above(other, one)
