"""Making, changing, signing and removing entries."""

from dataclasses import replace
from typing import Literal

from sqlalchemy import select

from termbase.entries import Entry, Origin, Relation, RelationKind, Ruling, Signature, Term
from termbase.errors import BadInput, InUse
from termbase.intake import take_entry
from termbase.pages import Line
from termbase.sources import Slip
from termbase.store import Act, schema
from termbase.trials import Trial

__all__ = ["blank_term", "remove", "rule", "save", "sign"]

Which = Literal["language", "practice"]


def blank_term(act: Act, text: str, language: str, origin: Origin) -> Term:
    """A new term with an id of its own."""
    return Term(id=act.new_id("term"), text=text, language=language, origin=origin)


def save(act: Act, entry: Entry) -> Entry:
    """Write an entry, new (empty id) or changed; returns it as stored.

    A reading that was signed is put back to open when what it covered has changed. Slips of names that the
    entry no longer has become unsorted. Terms with an empty id get one.

    Raises:
        BadInput: a field cannot be taken as it is.
        Conflict: somebody else changed the entry since it was read.
    """
    taken = take_entry(entry)
    taken = replace(taken, terms=tuple(t if t.id else replace(t, id=act.new_id("term")) for t in taken.terms))
    _check_relations(act, taken)
    if not taken.id:
        return act.add(replace(taken, id=act.new_id("entry")))
    before = act.find(Entry, taken.id)
    if before is not None:
        taken = _reopened(before, taken)
        _unsort(act, {t.id for t in before.terms} - {t.id for t in taken.terms})
    return act.put(taken)


def sign(act: Act, entry_id: str, which: Which) -> Entry:
    """Sign a reading, in the name of who acts, dated with the act."""
    entry = act.get(Entry, entry_id)
    signature = Signature(by=act.by, on=act.at[:10])
    return act.put(_with_reading(entry, which, signature))


def unsign(act: Act, entry_id: str, which: Which, why: str) -> Entry:
    """Put a reading back to open, with the reason."""
    entry = act.get(Entry, entry_id)
    return act.put(_with_reading(entry, which, Signature(reopened=why.strip() or f"by {act.by}")))


def rule(act: Act, entry_id: str, code_id: str, verdict: str, reason: str) -> Entry:
    """Put an editor's ruling over a verdict; an empty verdict takes the ruling away.

    Raises:
        BadInput: the ruling has no reason.
    """
    entry = act.get(Entry, entry_id)
    others = tuple(r for r in entry.rulings if r.code_id != code_id)
    if not verdict:
        return act.put(replace(entry, rulings=others))
    if not reason.strip():
        raise BadInput(
            "A ruling needs its reason.", where="reason", mend="Say why the verdict does not stand."
        )
    ruling = Ruling(code_id, verdict, act.by, act.at[:10], reason.strip())
    return act.put(replace(entry, rulings=(*others, ruling)))


def remove(act: Act, entry_id: str) -> None:
    """Take an entry away. Its slips become unsorted, its word-list lines new again.

    Raises:
        InUse: another entry is related to it, or it was tried on the mat.
    """
    entry = act.get(Entry, entry_id)
    incoming = act.incoming([entry]).get(entry_id, ())
    trials = act.all(Trial, entry_id=entry_id)
    if incoming or trials:
        users = [i for _, i in incoming] + [t.id for t in trials]
        raise InUse(
            f"{', '.join(users)} still points at it.",
            where=entry_id,
            mend="Take those relations or trials away first.",
        )
    _unsort(act, {t.id for t in entry.terms})
    for line in act.lines_of([entry]).get(entry_id, ()):
        act.put(detached(line, entry_id))
    act.remove(Entry, entry_id)


def detached(line: Line, entry_id: str) -> Line:
    """A line that no longer belongs to an entry; new again when that was its only one."""
    from_now = tuple(i for i in line.entry_ids if i != entry_id)
    return replace(line, entry_ids=from_now, state=line.state if from_now else line.open_state())


def _with_reading(entry: Entry, which: Which, signature: Signature) -> Entry:
    if which == "language":
        return replace(entry, language_reading=signature)
    return replace(entry, practice_reading=signature)


_COVERED: dict[Which, dict[str, str]] = {
    "language": {"terms": "the names", "definitions": "a definition", "usage_note": "the usage note"},
    "practice": {
        "technique": "the technique",
        "topic": "the topic",
        "relations": "a relation",
        "definitions": "a definition",
    },
}
"""What each reading covers, and how a change of it is told."""


def _reopened(before: Entry, after: Entry) -> Entry:
    for which, covered in _COVERED.items():
        old, new = _reading(before, which), _reading(after, which)
        why = _first_change(before, after, covered)
        if old.signed and new == old and why:
            after = _with_reading(after, which, Signature(reopened=f"{why} changed after it was signed"))
    return after


def _reading(entry: Entry, which: Which) -> Signature:
    return entry.language_reading if which == "language" else entry.practice_reading


def _first_change(before: Entry, after: Entry, covered: dict[str, str]) -> str:
    changed = (words for name, words in covered.items() if getattr(before, name) != getattr(after, name))
    return next(changed, "")


def _unsort(act: Act, term_ids: set[str]) -> None:
    for term_id in sorted(term_ids):
        for slip in act.all(Slip, term_id=term_id):
            act.put(replace(slip, term_id=""))


def _check_relations(act: Act, entry: Entry) -> None:
    missing = {r.target_id for r in entry.relations} - set(
        act.many(Entry, (r.target_id for r in entry.relations))
    )
    if missing:
        raise BadInput(
            f"There is no entry {sorted(missing)[0]}.", where="relations", mend="Check the entry's id."
        )
    _check_chain(act, entry)


def _check_chain(act: Act, entry: Entry) -> None:
    """A chain of broader entries never closes on itself."""
    table = schema.relation
    seen: set[str] = set()
    ahead = [r.target_id for r in entry.relations if r.kind is RelationKind.BROADER]
    while ahead:
        here = ahead.pop()
        if entry.id and here == entry.id:
            raise BadInput(
                f"{entry.id} would become broader than itself.",
                where="relations",
                mend="Take one of the broader relations away.",
            )
        if here not in seen:
            seen.add(here)
            query = select(table.c.target_id).where(
                table.c.entry_id == here, table.c.kind == RelationKind.BROADER.value
            )
            ahead.extend(act.connection.scalars(query))


def relation(kind: str, target_id: str) -> Relation:
    """A relation from its words.

    Raises:
        BadInput: there is no such kind.
    """
    try:
        return Relation(RelationKind(kind), target_id)
    except ValueError as error:
        known = ", ".join(k.value for k in RelationKind)
        raise BadInput(
            f"There is no relation {kind!r}.", where="relations", mend=f"Use one of: {known}."
        ) from error
