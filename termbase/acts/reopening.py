"""Reopening a line that was worked, and its effects."""

from collections.abc import Iterable
from dataclasses import replace

import msgspec

from termbase.acts import entries as entry_acts
from termbase.acts.quoting import own_slips, unquote
from termbase.errors import InUse
from termbase.fields.notes import NOTHING_SAID
from termbase.messages import message
from termbase.record.entries import Entry, Origin, Term
from termbase.record.pages import Line, LineState
from termbase.store.reading import Reader
from termbase.store.writing import Act

__all__ = ["added_names", "reopen"]


def reopen(act: Act, line_id: str, *, with_names: bool = False) -> Line:
    """Reopen a line that was worked, set aside or marked as furniture.

    The slips that quote it and the entries created from it are deleted; an entry it was attached to keeps its
    names, unless `with_names` is set.

    Args:
        with_names: also delete the names that the line added to the entry it was attached to (`added_names`).

    Raises:
        InUse: an entry created from it has been edited since.
    """
    line = act.get(Line, line_id)
    made = line.state is LineState.MADE
    entries = tuple(act.many(Entry, line.entry_ids).values())
    touched = [e.id for e in entries if made and e.version > 1]
    if touched:
        raise InUse(
            message("%(record)s was created from this line and has been edited since.", record=touched[0]),
            where=line_id,
            fix=message("Open the entry, and delete it there if creating it was a mistake."),
        )
    gone = {t.id for t in added_names(act, line)} if with_names else set()
    if entries:
        unquote(act, line, entries)
    act.put(replace(line, state=line.open_state(), reason=NOTHING_SAID, entry_ids=()))
    for entry in entries:
        if made:
            entry_acts.remove(act, entry.id)
        elif gone & {t.id for t in entry.terms}:
            kept = tuple(t for t in entry.terms if t.id not in gone)
            entry_acts.save(act, replace(entry, terms=kept))
    return act.get(Line, line_id)


def added_names(reader: Reader, line: Line) -> tuple[Term, ...]:
    """Return the names that a line added to the entry it was attached to and that nothing else depends on.

    Excludes names that have been changed since, have another slip or came from elsewhere; none are returned
    if the entry would be left without a name. In the order of the entry.
    """
    if line.state is not LineState.ATTACHED or not line.entry_ids:
        return ()
    entry = reader.find(Entry, line.entry_ids[0])
    if entry is None:
        return ()
    came = _came_with(reader, line, entry)
    own = {slip.id for slip in own_slips(reader, line, (entry,))}
    slips = reader.slips_of((entry,))
    result = tuple(
        term
        for term in entry.terms
        if term == came.get(term.id)
        and term.origin is Origin.WORD_LIST
        and all(slip.id in own for slip in slips.get(term.id, ()))
    )
    return result if len(result) < len(entry.terms) else ()


def _came_with(reader: Reader, line: Line, entry: Entry) -> dict[str, Term]:
    """Return the names that the entry got in the act that attached the line, as they were then, by id."""
    attached = next(
        (
            change.act.id
            for change in reader.history(Line, line.id)
            if entry.id in _entries_of(change.after) and entry.id not in _entries_of(change.before)
        ),
        None,
    )
    change = next((c for c in reader.history(Entry, entry.id) if c.act.id == attached), None)
    if change is None or change.before is None or change.after is None:
        return {}
    before = {t.id for t in _terms(change.before)}
    return {t.id: t for t in _terms(change.after) if t.id not in before}


def _entries_of(state: str | None) -> tuple[str, ...]:
    return () if state is None else msgspec.json.decode(state, type=Line).entry_ids


def _terms(state: str) -> Iterable[Term]:
    return msgspec.json.decode(state, type=Entry).terms
