"""Entries that are gone: what is said at their old address, and how a removal is kept.

A link from elsewhere must still lead somewhere. What is told is the day and the reason, never the entry.
"""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from termbase.codes import worded
from termbase.codes.deeds import Deed
from termbase.entries import Entry
from termbase.messages import message
from termbase.notes import Said
from termbase.redirects import Redirect
from termbase.store.reading import Reader

__all__ = ["Departed", "departed_entries", "removal_deed"]

UNDONE: Final = message("The change that created it was undone.")
NOT_HERE: Final = message("It is not part of this edition.")
NO_REASON: Final = message("No reason was recorded.")


@dataclass(frozen=True, slots=True)
class Departed:
    """An entry that has no page any more.

    Attributes:
        id: the id it had.
        on: ISO day on which it went; empty where that is not known.
        reason: why: a message, or the words of whoever removed it.
        target_id: the entry it is part of now; empty where it was removed.
    """

    id: str
    on: str
    reason: str
    target_id: str = ""


def removal_deed(entry_id: str, reason: str = "") -> Said:
    """What the history keeps when an entry was removed; the reason in the words of whoever removed it."""
    told = " ".join(reason.split())
    return Deed.ENTRY_REMOVED_FOR(id=entry_id, reason=told) if told else Deed.ENTRY_REMOVED(id=entry_id)


def departed_entries(
    reader: Reader, shown: Collection[str], published: Collection[str] = ()
) -> tuple[Departed, ...]:
    """Entries that are not shown and whose address may be known, in order of their ids.

    Args:
        reader: the record.
        shown: ids of the entries that have a page.
        published: ids that an earlier edition had a page for. Entries that were only undone, or are left out
            of this edition, leave a notice only where they are among these.
    """
    found: dict[str, Departed] = {}
    for entry_id, act in reader.removals():
        if act.undoes is None:
            found[entry_id] = Departed(entry_id, act.at[:10], _reason(act.what, entry_id))
        elif entry_id in published:
            found[entry_id] = Departed(entry_id, act.at[:10], UNDONE)
    for redirect in reader.all(Redirect):
        found[redirect.id] = Departed(redirect.id, redirect.on, "", redirect.target_id)
    known = reader.many(Entry, [i for i in published if i not in shown and i not in found])
    for entry_id in published:
        found.setdefault(entry_id, Departed(entry_id, "", NOT_HERE if entry_id in known else NO_REASON))
    return tuple(found[i] for i in sorted(found, key=lambda i: (len(i), i)) if i not in shown)


def _reason(what: Said, entry_id: str) -> str:
    """The reason given for a removal; that there is none, where the act did something else."""
    told = what.values.get("reason")
    if what.code == Deed.ENTRY_REMOVED_FOR.value and what.values.get("id") == entry_id and told:
        return worded(told) if isinstance(told, Said) else str(told)
    return NO_REASON
