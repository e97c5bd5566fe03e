"""Creating, changing, signing and deleting entries, and accepting or deleting their imported notes."""

from collections.abc import Callable
from dataclasses import replace
from typing import Literal

from sqlalchemy import select

from termbase.codes.deeds import Covered, Reopened
from termbase.errors import BadInput, Conflict, InUse, NotFound
from termbase.fields.closed_lists import one_of
from termbase.fields.notes import own_words
from termbase.messages import message
from termbase.record.entries import (
    Entry,
    Origin,
    Redirect,
    Relation,
    RelationKind,
    Ruling,
    Signature,
    Status,
    Term,
)
from termbase.record.foreign_notes import ForeignNote, only_accepted
from termbase.record.pages import Line
from termbase.record.sources import Slip
from termbase.record.trials import Trial
from termbase.record.validation import clean_entry
from termbase.store import tables
from termbase.store.writing import Act

__all__ = [
    "accept",
    "blank_term",
    "delete",
    "delete_term",
    "detached",
    "move_term",
    "prefer",
    "relate",
    "relation",
    "remove",
    "reopen_reading",
    "rule",
    "save",
    "sign",
    "unrelate",
    "unsort",
    "withdraw",
]


Which = Literal["language", "practice"]


Notes = tuple[ForeignNote, ...]


def blank_term(act: Act, text: str, language: str, origin: Origin) -> Term:
    """Return a new term with its own id."""
    return Term(id=act.new_id("term"), text=text, language=language, origin=origin)


def save(act: Act, entry: Entry) -> Entry:
    """Write an entry, new (empty id) or changed; return it as stored.

    A signed reading is reopened if what it covered has changed. Slips of names that the entry no longer has
    become unsorted. Terms with an empty id get one.

    Raises:
        BadInput: a field is invalid.
        Conflict: someone else has changed the entry since it was read.
    """
    cleaned = clean_entry(entry)
    cleaned = replace(
        cleaned, terms=tuple(t if t.id else replace(t, id=act.new_id("term")) for t in cleaned.terms)
    )
    _check_relations(act, cleaned)
    if not cleaned.id:
        return act.add(replace(cleaned, id=act.new_id("entry")))
    before = act.find(Entry, cleaned.id)
    if before is not None:
        cleaned = _reopened(before, cleaned)
        unsort(act, {t.id for t in before.terms} - {t.id for t in cleaned.terms})
    return act.put(cleaned)


def sign(act: Act, entry_id: str, which: Which) -> Entry:
    """Sign a reading in the name of the person of the act, with the date of the act."""
    entry = act.get(Entry, entry_id)
    signature = Signature(by=act.by, on=act.at[:10])
    return act.put(_with_reading(entry, which, signature))


def reopen_reading(act: Act, entry_id: str, which: Which, why: str) -> Entry:
    """Reopen a reading, with the reason that a person typed; empty for none."""
    entry = act.get(Entry, entry_id)
    reason = own_words(why.strip()) or Reopened.BY_HAND(person=act.by)
    return act.put(_with_reading(entry, which, Signature(reopened=reason)))


def rule(act: Act, entry_id: str, code_id: str, verdict: str, reason: str) -> Entry:
    """Set an editor's ruling over a verdict; an empty verdict removes the ruling.

    Raises:
        BadInput: the ruling has no reason.
    """
    entry = act.get(Entry, entry_id)
    others = tuple(r for r in entry.rulings if r.code_id != code_id)
    if not verdict:
        return act.put(replace(entry, rulings=others))
    if not reason.strip():
        raise BadInput(
            message("A ruling needs a reason."),
            where=message("reason"),
            fix=message("Say why you overrule the verdict."),
        )
    ruling = Ruling(code_id, verdict, act.by, act.at[:10], reason.strip())
    return act.put(replace(entry, rulings=(*others, ruling)))


def prefer(act: Act, entry_id: str, term_id: str) -> Entry:
    """Mark a name as preferred in its language; the previously preferred name becomes admitted.

    Raises:
        NotFound: the entry has no such name.
    """
    entry = act.get(Entry, entry_id)
    chosen = _term(entry, term_id)
    return save(act, replace(entry, terms=tuple(_ranked(term, chosen) for term in entry.terms)))


def _ranked(term: Term, chosen: Term) -> Term:
    if term.id == chosen.id:
        return replace(term, status=Status.PREFERRED)
    if term.language == chosen.language and term.status is Status.PREFERRED:
        return replace(term, status=Status.ADMITTED)
    return term


def move_term(act: Act, entry_id: str, term_id: str, by: int) -> Entry:
    """Move a name before (-1) or after (1) its neighbour in the same language; at either end nothing changes.

    Raises:
        NotFound: the entry has no such name.
    """
    entry = act.get(Entry, entry_id)
    moved = _term(entry, term_id)
    places = [n for n, term in enumerate(entry.terms) if term.language == moved.language]
    position = places.index(entry.terms.index(moved))
    new_position = position + by
    if not 0 <= new_position < len(places):
        return entry
    terms = list(entry.terms)
    a, b = places[position], places[new_position]
    terms[a], terms[b] = terms[b], terms[a]
    return save(act, replace(entry, terms=tuple(terms)))


def delete_term(act: Act, entry_id: str, term_id: str) -> Entry:
    """Delete a name; its slips become unsorted.

    Raises:
        NotFound: the entry has no such name.
        BadInput: it is the entry's only name.
    """
    entry = act.get(Entry, entry_id)
    deleted = _term(entry, term_id)
    return save(act, replace(entry, terms=tuple(term for term in entry.terms if term.id != deleted.id)))


def _term(entry: Entry, term_id: str) -> Term:
    result = next((term for term in entry.terms if term.id == term_id), None)
    if result is None:
        raise NotFound(
            message("%(entry)s does not have the name %(name)s.", entry=entry.id, name=repr(term_id)),
            where=term_id,
            fix=message("Check the entry's history."),
        )
    return result


def relate(act: Act, entry_id: str, reads: str, target_id: str) -> Entry:
    """Relate an entry to another, as the relation reads from this side; returns the entry that holds it.

    `narrower` and similar relations are stored on the other entry as their inverse, so that no relation is
    stored twice.

    Raises:
        BadInput: there is no such relation or entry, it is the entry itself, or it would create a loop of
            broader entries.
    """
    target_id = act.current_id(target_id)
    if entry_id == target_id:
        raise BadInput(
            message("An entry cannot be related to itself."),
            where=message("target"),
            fix=message("Choose another entry."),
        )
    if act.find(Entry, target_id) is None:
        raise BadInput(
            message("There is no entry %(entry)s.", entry=repr(target_id)),
            where=message("target"),
            fix=message("Type a name and choose from the results."),
        )
    act.get(Entry, entry_id)
    holder, kept = _holder_of(reads, entry_id, target_id)
    entry = act.get(Entry, holder)
    return save(act, replace(entry, relations=(*entry.relations, kept)))


def unrelate(act: Act, entry_id: str, reads: str, target_id: str) -> None:
    """Remove a relation as it reads from this side; in both directions if it is symmetric."""
    target_id = act.current_id(target_id)
    for holder, kept in {_holder_of(reads, entry_id, target_id), _mirrored(reads, entry_id, target_id)}:
        entry = act.find(Entry, holder)
        if entry is not None and kept in entry.relations:
            save(act, replace(entry, relations=tuple(r for r in entry.relations if r != kept)))


def _holder_of(reads: str, entry_id: str, target_id: str) -> tuple[str, Relation]:
    """Return which entry stores a relation, and as what."""
    turned = {kind.inverse: kind for kind in RelationKind if kind.inverse != kind.value}
    if reads in turned:
        return target_id, Relation(turned[reads], entry_id)
    return entry_id, relation(reads, target_id)


def _mirrored(reads: str, entry_id: str, target_id: str) -> tuple[str, Relation]:
    """Return the other place where a symmetric relation may be stored."""
    holder, kept = _holder_of(reads, entry_id, target_id)
    if kept.kind.inverse == kept.kind.value:
        return target_id, Relation(kept.kind, entry_id)
    return holder, kept


def remove(act: Act, entry_id: str) -> None:
    """Delete an entry. Its slips become unsorted and its word-list lines new again; ids of entries merged
    into it lead nowhere.

    Raises:
        InUse: another entry is related to it, or it was tried on the mat.
    """
    entry = act.get(Entry, entry_id)
    incoming = act.incoming([entry]).get(entry_id, ())
    trials = act.all(Trial, entry_id=entry_id)
    if incoming or trials:
        users = [i for _, i in incoming] + [t.id for t in trials]
        raise InUse(
            message("Still used by %(users)s.", users=", ".join(users)),
            where=entry_id,
            fix=message("Remove those relations or trials first."),
        )
    unsort(act, {t.id for t in entry.terms})
    for line in act.lines_of([entry]).get(entry_id, ()):
        act.put(detached(line, entry_id))
    for redirect in act.all(Redirect, target_id=entry_id):
        act.remove(Redirect, redirect.id)
    act.remove(Entry, entry_id)


def detached(line: Line, entry_id: str) -> Line:
    """Return a line detached from an entry; new again if that was its only entry."""
    remaining = tuple(i for i in line.entry_ids if i != entry_id)
    return replace(line, entry_ids=remaining, state=line.state if remaining else line.open_state())


def _with_reading(entry: Entry, which: Which, signature: Signature) -> Entry:
    if which == "language":
        return replace(entry, language_reading=signature)
    return replace(entry, practice_reading=signature)


_COVERED: dict[Which, dict[str, Covered]] = {
    "language": {
        "terms": Covered.NAMES,
        "definitions": Covered.DEFINITION,
        "usage_note": Covered.USAGE_NOTE,
        "foreign_notes": Covered.ACCEPTED_NOTE,
    },
    "practice": {
        "technique": Covered.TECHNIQUE,
        "topic": Covered.TOPIC,
        "relations": Covered.RELATION,
        "definitions": Covered.DEFINITION,
    },
}
"""What each reading covers, and how a change to it is described."""


def _reopened(before: Entry, after: Entry) -> Entry:
    for which, covered in _COVERED.items():
        old, new = _reading(before, which), _reading(after, which)
        why = _first_change(before, after, covered)
        if old.signed and new == old and why is not None:
            after = _with_reading(after, which, Signature(reopened=Reopened.CHANGED(what=why())))
    return after


def _reading(entry: Entry, which: Which) -> Signature:
    return entry.language_reading if which == "language" else entry.practice_reading


def _first_change(before: Entry, after: Entry, covered: dict[str, Covered]) -> Covered | None:
    old, new = _as_printed(before), _as_printed(after)
    changed = (words for name, words in covered.items() if getattr(old, name) != getattr(new, name))
    return next(changed, None)


def _as_printed(entry: Entry) -> Entry:
    """Return the entry without imported notes that nobody has accepted: no reading covers them."""
    return replace(
        entry,
        foreign_notes=only_accepted(entry.foreign_notes),
        terms=tuple(replace(t, foreign_notes=only_accepted(t.foreign_notes)) for t in entry.terms),
    )


def unsort(act: Act, term_ids: set[str]) -> None:
    """Make the slips of these names unsorted."""
    for term_id in sorted(term_ids):
        for slip in act.all(Slip, term_id=term_id):
            act.put(replace(slip, term_id=""))


def _check_relations(act: Act, entry: Entry) -> None:
    missing = {r.target_id for r in entry.relations} - set(
        act.many(Entry, (r.target_id for r in entry.relations))
    )
    if missing:
        raise BadInput(
            message("There is no entry %(entry)s.", entry=sorted(missing)[0]),
            where=message("relations"),
            fix=message("Check the entry's id."),
        )
    _check_chain(act, entry)


def _check_chain(act: Act, entry: Entry) -> None:
    """Refuse a chain of broader entries that would form a loop."""
    table = tables.relation
    seen: set[str] = set()
    ahead = [r.target_id for r in entry.relations if r.kind is RelationKind.BROADER]
    while ahead:
        current = ahead.pop()
        if entry.id and current == entry.id:
            raise BadInput(
                message("%(entry)s would become broader than itself.", entry=entry.id),
                where=message("relations"),
                fix=message("Remove one of the broader relations."),
            )
        if current not in seen:
            seen.add(current)
            query = select(table.c.target_id).where(
                table.c.entry_id == current, table.c.kind == RelationKind.BROADER.value
            )
            ahead.extend(act.connection.scalars(query))


def relation(kind: str, target_id: str) -> Relation:
    """Return the relation with these words.

    Raises:
        BadInput: there is no such type.
    """
    wrong = message("There is no relation %(kind)s.", kind=repr(kind))
    return Relation(one_of(RelationKind, kind, wrong, where=message("relations")), target_id)


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
        return save(act, replace(entry, foreign_notes=_with(entry.foreign_notes, number, words, change)))
    if all(term.id != term_id for term in entry.terms):
        raise _gone()
    terms = tuple(
        replace(t, foreign_notes=_with(t.foreign_notes, number, words, change)) if t.id == term_id else t
        for t in entry.terms
    )
    return save(act, replace(entry, terms=terms))


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
