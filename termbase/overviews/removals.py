"""Deleted entries: the notice shown at their old address, and the deed of a deletion.

Links from elsewhere must still work. The old address shows the day and the reason, never the entry.
"""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from termbase.codes.deeds import Deed
from termbase.codes.wording import statement_text
from termbase.fields.notes import CodedText
from termbase.messages import message
from termbase.record.entries import Entry, Redirect
from termbase.store.reading import Reader

__all__ = ["DeletedEntry", "deleted_entries", "removal_deed"]

UNDONE: Final = message("The change that created it was undone.")
NOT_HERE: Final = message("It is not part of this edition.")
NO_REASON: Final = message("No reason was recorded.")


@dataclass(frozen=True, slots=True)
class DeletedEntry:
    """An entry that no longer has a page.

    Attributes:
        id: the id it had.
        on: ISO day of its deletion; empty if not known.
        reason: why: a message, or the words of the person who deleted it.
        target_id: the entry it is part of now; empty if it was deleted.
    """

    id: str
    on: str
    reason: str
    target_id: str = ""


def removal_deed(entry_id: str, reason: str = "") -> CodedText:
    """Return the deed of deleting an entry, with the reason in the person's own words."""
    text = " ".join(reason.split())
    return Deed.ENTRY_REMOVED_FOR(id=entry_id, reason=text) if text else Deed.ENTRY_REMOVED(id=entry_id)


def deleted_entries(
    reader: Reader, shown: Collection[str], published: Collection[str] = ()
) -> tuple[DeletedEntry, ...]:
    """Return entries that are not shown but whose address may be known, in order of id.

    Args:
        reader: the record.
        shown: ids of the entries that have a page.
        published: ids that had a page in an earlier edition. Entries that were only undone, or are left out
            of this edition, get a notice only if they are among these.
    """
    deleted: dict[str, DeletedEntry] = {}
    for entry_id, act in reader.removals():
        if act.undoes is None:
            deleted[entry_id] = DeletedEntry(entry_id, act.at[:10], _reason(act.what, entry_id))
        elif entry_id in published:
            deleted[entry_id] = DeletedEntry(entry_id, act.at[:10], UNDONE)
    for redirect in reader.all(Redirect):
        deleted[redirect.id] = DeletedEntry(redirect.id, redirect.on, "", redirect.target_id)
    known = reader.many(Entry, [i for i in published if i not in shown and i not in deleted])
    for entry_id in published:
        deleted.setdefault(entry_id, DeletedEntry(entry_id, "", NOT_HERE if entry_id in known else NO_REASON))
    return tuple(deleted[i] for i in sorted(deleted, key=lambda i: (len(i), i)) if i not in shown)


def _reason(what: CodedText, entry_id: str) -> str:
    """Return the reason given for a deletion, or that none was recorded."""
    text = what.values.get("reason")
    if what.code == Deed.ENTRY_REMOVED_FOR.value and what.values.get("id") == entry_id and text:
        return statement_text(text) if isinstance(text, CodedText) else str(text)
    return NO_REASON
