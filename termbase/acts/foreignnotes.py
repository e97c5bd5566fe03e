"""Accepting imported notes for printing, withdrawing acceptance, and deleting a note."""

from collections.abc import Callable
from dataclasses import replace

from termbase.acts import entries as entry_acts
from termbase.errors import Conflict, NotFound
from termbase.messages import message
from termbase.record.entries import Entry
from termbase.record.foreign_notes import ForeignNote
from termbase.store.writing import Act

__all__ = ["accept", "delete", "withdraw"]

Notes = tuple[ForeignNote, ...]


def accept(act: Act, entry_id: str, term_id: str, number: int, words: str) -> Entry:
    """Accept a note for printing, in the name of the person of the act. Signed readings are reopened.

    Args:
        term_id: id of the name that it belongs to; empty for the entry.
        number: its position there, from 0.
        words: what it says (`ForeignNote.words`), so that no other is accepted by mistake.

    Raises:
        NotFound: there is no such entry, name or note.
        Conflict: there is another note in its place now.
    """

    def accepted(note: ForeignNote) -> Notes:
        return (replace(note, accepted_by=act.by, accepted_on=act.at[:10]),)

    return _changed(act, (entry_id, term_id, number, words), accepted)


def withdraw(act: Act, entry_id: str, term_id: str, number: int, words: str) -> Entry:
    """Stop printing a note, but keep it. Same arguments and errors as `accept`."""
    return _changed(
        act, (entry_id, term_id, number, words), lambda n: (replace(n, accepted_by="", accepted_on=""),)
    )


def delete(act: Act, entry_id: str, term_id: str, number: int, words: str) -> Entry:
    """Delete a note. Same arguments and errors as `accept`."""
    return _changed(act, (entry_id, term_id, number, words), lambda note: ())


def _changed(act: Act, place: tuple[str, str, int, str], change: Callable[[ForeignNote], Notes]) -> Entry:
    entry_id, term_id, number, words = place
    entry = act.get(Entry, entry_id)
    if not term_id:
        return entry_acts.save(
            act, replace(entry, foreign_notes=_with(entry.foreign_notes, number, words, change))
        )
    if all(term.id != term_id for term in entry.terms):
        raise _gone()
    terms = tuple(
        replace(t, foreign_notes=_with(t.foreign_notes, number, words, change)) if t.id == term_id else t
        for t in entry.terms
    )
    return entry_acts.save(act, replace(entry, terms=terms))


def _with(notes: Notes, number: int, words: str, change: Callable[[ForeignNote], Notes]) -> Notes:
    if not 0 <= number < len(notes):
        raise _gone()
    if notes[number].words().split() != words.split():  # a form may change line endings
        raise Conflict(
            message("There is another note in its place now."),
            where=message("notes from elsewhere"),
            fix=message("Check the entry again."),
        )
    return (*notes[:number], *change(notes[number]), *notes[number + 1 :])


def _gone() -> NotFound:
    return NotFound(
        message("This note does not exist."),
        where=message("notes from elsewhere"),
        fix=message("Check the entry's history."),
    )
