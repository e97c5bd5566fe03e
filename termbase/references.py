"""What the statements of a technique are based on, and whether that is in the record.

A statement names a slip or a trial by its id, and an analogue by its name: one of the entry's own analogues,
or a name of an entry of the record. A reading names the reader, and is never looked up.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from sqlalchemy import select

from termbase.messages import message
from termbase.record.entries import Entry
from termbase.store import tables
from termbase.store.reading import Reader
from termbase.technique.profile import Profile
from termbase.technique.stating import statements_of

__all__ = ["Missing", "References"]


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
