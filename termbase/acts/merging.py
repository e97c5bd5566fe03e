"""Merging two entries, and separating them again. Nothing of either is lost."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from sqlalchemy import select

from termbase.codes.deeds import Reopened
from termbase.errors import BadInput, Conflict, NotFound
from termbase.messages import message
from termbase.record.entries import (
    Entry,
    FoldedName,
    PointedAt,
    Redirect,
    Relation,
    RelationKind,
    Signature,
    Term,
)
from termbase.record.merging import Choices, Merging, merge_entries, separate_entries
from termbase.record.pages import Line
from termbase.record.sources import Slip
from termbase.record.trials import Trial
from termbase.record.validation import clean_entry
from termbase.store import tables
from termbase.store.reading import Reader
from termbase.store.writing import Act

__all__ = ["Moving", "count_moving", "merge", "merged_into", "preview", "separate"]


@dataclass(frozen=True)
class Moving:
    """What would move to the other entry.

    Attributes:
        slips: how many slips.
        trials: how many trials.
        lines: how many word-list lines.
        pointed: how many relations of other entries would lead there.
    """

    slips: int
    trials: int
    lines: int
    pointed: int


def preview(reader: Reader, this_id: str, other_id: str, choices: Choices | None = None) -> Merging:
    """Return what entry `this` would hold after `other` is merged into it; nothing is written.

    Raises:
        NotFound: one of them does not exist.
        BadInput: they are the same entry, or an answer is not possible.
    """
    if this_id == other_id:
        raise BadInput(
            message("An entry cannot be merged with itself."),
            where=message("other"),
            fix=message("Choose another entry."),
        )
    return merge_entries(reader.get(Entry, this_id), reader.get(Entry, other_id), choices)


def count_moving(reader: Reader, other_id: str) -> Moving:
    """Return what would move with an entry."""
    entry = reader.get(Entry, other_id)
    return Moving(
        slips=sum(len(slips) for slips in reader.slips_of([entry]).values()),
        trials=len(reader.all(Trial, entry_id=other_id)),
        lines=len(reader.lines_of([entry]).get(other_id, ())),
        pointed=len(reader.incoming([entry]).get(other_id, ())),
    )


def merged_into(reader: Reader, entry_id: str) -> tuple[Redirect, ...]:
    """Return the entries that were merged into this one, in order of creation."""
    return reader.all(Redirect, target_id=entry_id)


def merge(act: Act, this_id: str, other_id: str, choices: Choices | None = None) -> Entry:
    """Merge `other` into `this`: every name, slip, definition, relation, trial, ruling and line moves.

    The id of `other` leads to `this` from now on; its history stays under its own id. Signed readings are
    reopened.

    Raises:
        NotFound: one of them does not exist.
        BadInput: a conflict between them is not resolved, or it would create a loop of broader entries.
    """
    this, other = act.get(Entry, this_id), act.get(Entry, other_id)
    plan = preview(act, this_id, other_id, choices)
    if plan.unanswered:
        question = plan.unanswered[0]
        raise BadInput(
            message("No answer has been chosen for %(about)s.", about=question.about),
            where=question.key,
            fix=message("Choose: %(answers)s.", answers=", ".join(question.answers)),
        )
    _check_chain(act, plan.entry, other_id)
    redirect = _redirect(act, this, other, plan)
    for earlier in act.many(Redirect, redirect.redirect_ids).values():
        act.put(replace(earlier, target_id=this_id))
    _redirect_references(act, redirect)
    act.remove(Entry, other_id)
    merged = act.put(clean_entry(plan.entry))
    act.add(replace(redirect, made=merged))
    return merged


def _redirect(act: Act, this: Entry, other: Entry, plan: Merging) -> Redirect:
    slips = act.slips_of([other])
    return Redirect(
        id=other.id,
        target_id=this.id,
        entry=other,
        beside=this,
        made=plan.entry,
        folded=tuple(
            FoldedName(f.term_id, f.into, tuple(s.id for s in slips.get(f.term_id, ()))) for f in plan.folded
        ),
        trial_ids=tuple(t.id for t in act.all(Trial, entry_id=other.id)),
        line_ids=tuple(x.id for x in act.lines_of([other]).get(other.id, ())),
        pointed=tuple(
            PointedAt(i, kind) for kind, i in act.incoming([other]).get(other.id, ()) if i != this.id
        ),
        redirect_ids=tuple(r.id for r in merged_into(act, other.id)),
        by=act.by,
        on=act.at[:10],
    )


def _redirect_references(act: Act, redirect: Redirect) -> None:
    """Point everything that led to the entry to the one it is merged into."""
    merged_id, target_id = redirect.id, redirect.target_id
    for folded in redirect.folded:
        for slip in act.many(Slip, folded.slip_ids).values():
            act.put(replace(slip, term_id=folded.into))
    for trial in act.many(Trial, redirect.trial_ids).values():
        act.put(replace(trial, entry_id=target_id))
    for line in act.many(Line, redirect.line_ids).values():
        act.put(replace(line, entry_ids=_replaced_id(line.entry_ids, merged_id, target_id)))
    for entry in act.many(Entry, (p.entry_id for p in redirect.pointed)).values():
        updated = (
            replace(r, target_id=target_id) if r.target_id == merged_id else r for r in entry.relations
        )
        act.put(replace(entry, relations=tuple(dict.fromkeys(updated))))


def _replaced_id(ids: Iterable[str], old: str, new: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(new if i == old else i for i in ids))


def _check_chain(act: Act, merged: Entry, gone: str) -> None:
    """Check whether an entry would become broader than itself after the merge."""
    merged_ids = {merged.id, gone}
    table = tables.relation.c
    ahead = [r.target_id for r in merged.relations if r.kind is RelationKind.BROADER]
    seen: set[str] = set()
    while ahead:
        current = ahead.pop()
        if current in merged_ids:
            raise BadInput(
                message(
                    "%(entry)s would become broader than itself: one of the two is a broader "
                    "entry of the other.",
                    entry=merged.id,
                ),
                where=message("relations"),
                fix=message("Remove the broader relation between the two first."),
            )
        if current not in seen:
            seen.add(current)
            query = select(table.target_id).where(
                table.entry_id == current, table.kind == RelationKind.BROADER.value
            )
            ahead.extend(act.connection.scalars(query))


def separate(act: Act, gone_id: str) -> tuple[Entry, Entry]:
    """Separate an entry from the one it was merged into.

    It gets back what it brought, with names and slips as they are now; what was changed or added since stays
    with the other. Its id leads to itself again.

    Returns:
        The entry that comes back, and the one it was part of.

    Raises:
        NotFound: it was not merged into another entry.
        Conflict: the other entry would be left without a name.
    """
    redirect = act.find(Redirect, gone_id)
    if redirect is None:
        raise NotFound(
            message("%(entry)s is not merged into another entry.", entry=gone_id),
            where=gone_id,
            fix=message("Check its history."),
        )
    target = act.get(Entry, redirect.target_id)
    remaining = separate_entries(target, redirect.made, redirect.beside)
    terms = _returning_terms(act, redirect, target)
    if not remaining.terms or not terms:
        raise Conflict(
            message(
                "%(entry)s would be left without a name.", entry=gone_id if remaining.terms else target.id
            ),
            where=gone_id,
            fix=message("Give it a name first."),
        )
    act.remove(Redirect, gone_id)
    returned = _restored_entry(act, redirect, terms)
    kept_entry = act.put(replace(remaining, relations=_followed_relations(act, remaining.relations)))
    _restore_references(act, redirect)
    return returned, kept_entry


def _returning_terms(act: Act, redirect: Redirect, now: Entry) -> tuple[Term, ...]:
    """Return the names that move back. A name that has moved elsewhere since is left there."""
    current = {t.id: t for t in now.terms}
    made = {t.id: t for t in redirect.made.terms}
    returning = []
    for term in redirect.entry.terms:
        if term.id in current:
            returning.append(term if made.get(term.id) == current[term.id] else current[term.id])
        elif not act.entry_of_term(term.id):
            returning.append(term)
    return tuple(returning)


def _restored_entry(act: Act, redirect: Redirect, terms: tuple[Term, ...]) -> Entry:
    """Return the entry as it was, with its names as they are now."""
    reopened = Signature(reopened=Reopened.PARTED(entry=redirect.target_id))
    before = redirect.entry
    entry = replace(
        before,
        terms=terms,
        relations=_followed_relations(act, before.relations),
        language_reading=reopened if before.language_reading.signed else before.language_reading,
        practice_reading=reopened if before.practice_reading.signed else before.practice_reading,
        changed_by=act.by,
        changed_on=act.at[:10],
    )
    act.restore(entry)
    return act.get(Entry, entry.id)


def _followed_relations(act: Act, relations: tuple[Relation, ...]) -> tuple[Relation, ...]:
    """Return relations to existing entries, or to those they were merged into; the rest are left out."""
    existing = set(act.many(Entry, (r.target_id for r in relations)))
    followed = (
        r if r.target_id in existing else replace(r, target_id=act.current_id(r.target_id)) for r in relations
    )
    known = tuple(dict.fromkeys(followed))
    existing |= set(act.many(Entry, (r.target_id for r in known)))
    return tuple(r for r in known if r.target_id in existing)


def _restore_references(act: Act, redirect: Redirect) -> None:
    merged_id, target_id = redirect.id, redirect.target_id
    for folded in redirect.folded:
        for slip in act.many(Slip, folded.slip_ids).values():
            if slip.term_id == folded.into:
                act.put(replace(slip, term_id=folded.term_id))
    for trial in act.many(Trial, redirect.trial_ids).values():
        if trial.entry_id == target_id:
            act.put(replace(trial, entry_id=merged_id))
    for line in act.many(Line, redirect.line_ids).values():
        if target_id in line.entry_ids:
            act.put(replace(line, entry_ids=_replaced_id(line.entry_ids, target_id, merged_id)))
    for pointed in redirect.pointed:
        entry = act.find(Entry, pointed.entry_id)
        relation = Relation(pointed.kind, target_id)
        if entry is not None and relation in entry.relations:
            updated = (Relation(pointed.kind, merged_id) if r == relation else r for r in entry.relations)
            act.put(replace(entry, relations=tuple(updated)))
    for earlier in act.many(Redirect, redirect.redirect_ids).values():
        if earlier.target_id == target_id:
            act.put(replace(earlier, target_id=merged_id))
