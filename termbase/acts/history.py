"""Undoing acts, and restoring earlier states."""

from collections import defaultdict

import msgspec
from sqlalchemy import func, select

from termbase.acts.entries import unsort
from termbase.errors import Conflict, InUse, NotFound
from termbase.messages import message
from termbase.record.entries import Entry
from termbase.store import tables
from termbase.store.reading import ChangeRecord, Reader
from termbase.store.rows import KINDS, Kept, revised
from termbase.store.writing import Act

__all__ = ["making_act", "restore_state", "state_of", "undo"]


def undo(act: Act, act_id: int) -> int:
    """Undo everything an act did; return how many records changed.

    Undoing is an act itself, so it can be undone too. Ids are not reused.

    Raises:
        NotFound: there is no such act.
        Conflict: something the act changed has been changed again since; nothing is undone.
        InUse: the termbase could not be opened afterwards; or (on writing) a newer record refers to one that
            the act created.
    """
    changes = act.changes_of(act_id)
    if not changes:
        raise NotFound(
            message("There is no change %(number)s to undo.", number=act_id),
            where=message("change %(number)s", number=act_id),
            fix=message("Check the history."),
        )
    current = _current(act, changes)
    first: dict[tuple[str, str], ChangeRecord] = {}
    last: dict[tuple[str, str], ChangeRecord] = {}
    for change in changes:  # an act may have changed a record more than once
        first.setdefault((change.kind, change.record_id), change)
        last[change.kind, change.record_id] = change
    for key, change in last.items():
        _check_untouched(change, current.get(key))
    for key, change in first.items():
        before = None if change.before is None else _decode(change.kind, change.before)
        act.restore_known(current.get(key), before)
    return len(first)


def making_act(reader: Reader) -> int:
    """Return the number of the act that created the termbase, which cannot be undone."""
    table = tables.change
    query = select(func.min(table.c.act_id)).where(table.c.kind == "termbase", table.c.before.is_(None))
    return reader.connection.scalar(query) or 0


def restore_state(act: Act, kind: str, record_id: str, act_id: int) -> Kept:
    """Restore the state that a record had right after an act; it may have been deleted since.

    Slips of names that the entry then no longer has become unsorted; the names keep their ids.

    Raises:
        NotFound: there is no such state: the act did not change the record, or deleted it.
        InUse: the entry has been merged into another; or (on writing) that state refers to a record that no
            longer exists.
    """
    record = state_of(act, kind, record_id, act_id)
    if record is None:
        raise NotFound(
            message("There is no such version."),
            where=record_id,
            fix=message("Choose another version in its history."),
        )
    if isinstance(record, Entry):
        _check_not_merged(act, record_id)
        current = act.find(Entry, record_id)
        removed_names = (
            {t.id for t in current.terms} - {t.id for t in record.terms} if current is not None else set()
        )
        unsort(act, removed_names)
    act.restore(record)
    return record


def _check_not_merged(act: Act, entry_id: str) -> None:
    current_id = act.current_id(entry_id)
    if current_id != entry_id:
        raise InUse(
            message("%(entry)s is part of %(other)s now.", entry=entry_id, other=current_id),
            where=entry_id,
            fix=message("Separate it from %(other)s first.", other=current_id),
        )


def state_of(reader: Reader, kind: str, record_id: str, act_id: int) -> Kept | None:
    """Return the state of a record right after an act; None if it did not exist.

    Raises:
        NotFound: there is no such record type.
    """
    if kind not in KINDS:
        raise NotFound(
            message("There is no record type %(kind)s.", kind=repr(kind)),
            where=kind,
            fix=message("Use a link on the history page."),
        )
    for change in reader.history(KINDS[kind].cls, record_id):
        if change.act.id <= act_id:
            return None if change.after is None else _decode(kind, change.after)
    return None


def _decode(kind: str, text: str) -> Kept:
    return msgspec.json.decode(text, type=KINDS[kind].cls)


def _current(act: Act, changes: tuple[ChangeRecord, ...]) -> dict[tuple[str, str], Kept]:
    ids: defaultdict[str, list[str]] = defaultdict(list)
    for change in changes:
        ids[change.kind].append(change.record_id)
    return {
        (kind, record_id): record
        for kind, record_ids in ids.items()
        for record_id, record in act.many(KINDS[kind].cls, record_ids).items()
    }


def _check_untouched(change: ChangeRecord, current: Kept | None) -> None:
    expected = None if change.after is None else _decode(change.kind, change.after)
    if expected is not None and current is not None:
        # a record changed and undone since has a newer version but the same content
        expected = revised(expected, version=getattr(current, "version", 0))
    if current != expected:
        raise Conflict(
            message("%(record)s has been changed since.", record=change.record_id),
            where=change.act.words,
            fix=message("Undo the later change first, or edit the record by hand."),
        )
