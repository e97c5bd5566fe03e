"""Follow links between records: which entry is above which, and what a technique's statements are based on.

In a circle of broader entries every entry is broader than itself, so no arrangement is right; someone has to
delete one of its relations. A statement names a slip or a trial by its id, and an analogue by its name: one
of the entry's own analogues, or a name of an entry in the record. A reading names the reader, and is never
looked up.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from sqlalchemy import select

from termbase.messages import message
from termbase.record.entries import Entry, RelationKind
from termbase.store import tables
from termbase.store.reading import Reader
from termbase.technique.profile import Profile
from termbase.technique.words import statements_of

__all__ = ["BroaderLinks", "Missing", "References", "circles", "read_broader"]


class BroaderLinks:
    """The entries directly above each entry; links are added one by one.

    Args:
        broader: the initial links: the ids directly above each id.
    """

    def __init__(self, broader: Mapping[str, Iterable[str]] | None = None) -> None:
        self._above: dict[str, tuple[str, ...]] = {i: tuple(above) for i, above in (broader or {}).items()}

    def above(self, entry_id: str) -> tuple[str, ...]:
        """Return the entries directly above."""
        return self._above.get(entry_id, ())

    def add(self, entry_id: str, broader_id: str) -> None:
        """Add a link, whether or not it closes a circle."""
        here = self.above(entry_id)
        if broader_id not in here:
            self._above[entry_id] = (*here, broader_id)

    def closes(self, entry_id: str, broader_id: str) -> bool:
        """Return whether a link from an entry to a broader one would close a circle."""
        return entry_id == broader_id or self.is_above(entry_id, broader_id)

    def is_above(self, upper: str, lower: str) -> bool:
        """Return whether one entry is above another, or is that entry."""
        seen: set[str] = set()
        ahead = [lower]
        while ahead:
            here = ahead.pop()
            if here == upper:
                return True
            if here not in seen:
                seen.add(here)
                ahead.extend(self._above.get(here, ()))
        return False


def circles(broader: Mapping[str, Sequence[str]]) -> Iterator[tuple[str, ...]]:
    """Yield each circle in the links as the ids along it, from narrower to broader.

    Links are added in order, except that a link that closes a circle is left out. So every circle ends with a
    link that could be deleted: from its last id to its first.
    """
    above: defaultdict[str, list[str]] = defaultdict(list)
    for entry_id, others in broader.items():
        for other in others:
            path = _path(above, other, entry_id)
            if path:
                yield path
            else:
                above[entry_id].append(other)


def _path(above: Mapping[str, Sequence[str]], start: str, end: str) -> tuple[str, ...]:
    """Return the ids on a path up from one entry to another; empty if there is none."""
    came_from: dict[str, str] = {}
    ahead, seen = [start], {start}
    while ahead:
        here = ahead.pop()
        if here == end:
            path = [here]
            while path[-1] != start:
                path.append(came_from[path[-1]])
            return tuple(reversed(path))
        for other in above.get(here, ()):
            if other not in seen:
                seen.add(other)
                came_from[other] = here
                ahead.append(other)
    return ()


def read_broader(reader: Reader) -> dict[str, tuple[str, ...]]:
    """Return the entries directly above each entry that has any, in order of id and position."""
    table = tables.relation
    query = (
        select(table.c.entry_id, table.c.target_id)
        .where(table.c.kind == RelationKind.BROADER.value)
        .order_by(table.c.entry_id, table.c.position)
    )
    links: defaultdict[str, list[str]] = defaultdict(list)
    for entry_id, target_id in reader.connection.execute(query):
        links[entry_id].append(target_id)
    return {entry_id: tuple(above) for entry_id, above in links.items()}


@dataclass(frozen=True, slots=True)
class Missing:
    """A statement based on something that is not in the record.

    Attributes:
        path: the attribute.
        basis: slip, trial or analogue.
        ref: the id or name that is not found.
    """

    path: str
    basis: str
    ref: str

    @property
    def what(self) -> str:
        """What is wrong, in a sentence."""
        if self.basis == "slip":
            return message("It is based on the slip “%(id)s”, which does not exist.", id=self.ref)
        if self.basis == "trial":
            return message("It is based on the trial “%(id)s”, which does not exist.", id=self.ref)
        return message(
            "It is based on the analogue “%(name)s”, which is neither an analogue of this "
            "entry nor a name in this termbase.",
            name=self.ref,
        )

    @property
    def fix(self) -> str:
        """What to do about it."""
        if self.basis == "analogue":
            return message("Add it to the entry's analogues first, or correct its name.")
        return message("Correct the id, or say that it is based on a reading.")


class References:
    """Looks up what statements are based on; the ids in the record are read once.

    Args:
        reader: the record.
    """

    def __init__(self, reader: Reader) -> None:
        self._reader = reader

    def missing(self, entry: Entry, profile: Profile) -> Iterator[Missing]:
        """Yield the statements of a profile that are based on something not in the record.

        Args:
            entry: the entry that has, or will have, the technique.
            profile: the technique.
        """
        analogues = {name.casefold() for a in entry.analogues for name in (a.name, f"{a.name} ({a.style})")}
        for path, statement in statements_of(profile).items():
            if not statement.ref:
                continue
            if (
                (statement.basis == "slip" and statement.ref not in self._slips)
                or (statement.basis == "trial" and statement.ref not in self._trials)
                or (
                    statement.basis == "analogue"
                    and statement.ref.casefold() not in analogues
                    and statement.ref.casefold() not in self._names
                )
            ):
                yield Missing(path, statement.basis, statement.ref)

    @cached_property
    def _slips(self) -> frozenset[str]:
        return frozenset(self._reader.connection.scalars(select(tables.slip.c.id)))

    @cached_property
    def _trials(self) -> frozenset[str]:
        return frozenset(self._reader.connection.scalars(select(tables.trial.c.id)))

    @cached_property
    def _names(self) -> frozenset[str]:
        term = tables.term.c
        rows = self._reader.connection.execute(select(term.text, term.entry_id))
        return frozenset(name for text, entry_id in rows for name in (text.casefold(), entry_id))
