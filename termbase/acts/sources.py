"""Adding, changing and deleting sources and slips."""

import unicodedata
from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy import Table, func, select

from termbase.acts import entries as entry_acts
from termbase.errors import BadInput, InUse, NotFound, Problems
from termbase.evidence.scales import known_origin
from termbase.messages import joined, message, message_of_number
from termbase.record.entries import Entry
from termbase.record.pages import Page
from termbase.record.sources import Slip, Source
from termbase.record.validation import clean_slip, clean_source
from termbase.rules.clauses import RuleCode
from termbase.store import tables as schema
from termbase.store.reading import Reader
from termbase.store.writing import Act
from termbase.wordlists.pattern_files import read_pattern

__all__ = [
    "by_label", "join_slips", "part_slips", "remove_slip", "remove_source", "save_slip", "save_source",
    "sort_slip", "uses_of",
]  # fmt: skip


def save_source(act: Act, source: Source) -> Source:
    """Write a source, new (empty id) or changed; return it as stored.

    Raises:
        BadInput: a field is invalid, another source has the label, or the line pattern cannot be parsed.
        Conflict: someone else has changed it since it was read.
    """
    with Problems() as problems:
        cleaned = problems.value(source, clean_source, source)
        problems.value(None, _check_label, act, cleaned)
        if cleaned.pattern.strip():
            read_pattern(cleaned.pattern, message("line pattern"))
    if not cleaned.id:
        return act.add(replace(cleaned, id=act.new_id("source")))
    return act.put(cleaned)


def _check_label(act: Act, taken: Source) -> None:
    other = act.connection.scalar(select(schema.source.c.id).where(schema.source.c.label == taken.label))
    if other is not None and other != taken.id:
        raise BadInput(
            message("%(source)s already has the label %(label)s.", source=other, label=repr(taken.label)),
            where=message("label"),
            fix=message("Choose another label."),
            path=("label",),
        )


def remove_source(act: Act, source_id: str) -> None:
    """Delete a source.

    Raises:
        InUse: slips, pages, definitions, analogues, figures or rule codes depend on it.
    """
    act.get(Source, source_id)
    uses = uses_of(act, source_id).items()
    users = joined((_count_words(kind, n) for kind, n in uses), ", ")
    if users:
        raise InUse(
            message("The source is in use: %(users)s.", users=users),
            where=source_id,
            fix=message("Move or delete those first. The source has not been deleted."),
        )
    act.remove(Source, source_id)


def _count_words(kind: str, n: int) -> str:
    return {
        "slips": message_of_number("%(n)s slip", "%(n)s slips", n),
        "pages": message_of_number("%(n)s page", "%(n)s pages", n),
        "definitions": message_of_number("%(n)s definition", "%(n)s definitions", n),
        "analogues": message_of_number("%(n)s analogue", "%(n)s analogues", n),
        "figures": message_of_number("%(n)s figure", "%(n)s figures", n),
        "rule codes": message_of_number("%(n)s rule code", "%(n)s rule codes", n),
    }[kind]


def uses_of(reader: Reader, source_id: str) -> dict[str, int]:
    """Return what depends on a source, with numbers: slips, pages, definitions, analogues, figures, codes."""
    tables = {"slips": schema.slip, "pages": schema.page, "definitions": schema.definition,
              "analogues": schema.analogue, "figures": schema.figure}  # fmt: skip
    uses = {name: _count_of(reader, table, source_id) for name, table in tables.items()}
    uses["rule codes"] = sum(1 for code in reader.all(RuleCode) if source_id in _sources_of(code))
    return {name: number for name, number in uses.items() if number}


def _count_of(reader: Reader, table: Table, source_id: str) -> int:
    query = select(func.count()).select_from(table).where(table.c.source_id == source_id)
    return reader.connection.scalar(query) or 0


def _sources_of(code: RuleCode) -> set[str]:
    return {*code.sources, *(source for clause in code.clauses for source in clause.sources)}


def by_label(reader: Reader, label: str) -> Source:
    """Return the source with this label or id.

    Raises:
        NotFound: there is none.
    """
    wanted = unicodedata.normalize("NFC", label.strip())
    table = schema.source
    result = reader.connection.scalar(
        select(table.c.id).where((table.c.label == wanted) | (table.c.id == wanted)).order_by(table.c.id)
    )
    if result is None:
        raise NotFound(
            message("There is no source %(name)s.", name=repr(label)),
            where=message("source"),
            fix=message("Add it with: wordhold source add"),
        )
    return reader.get(Source, result)


def save_slip(act: Act, slip: Slip) -> Slip:
    """Write a slip, new (empty id) or changed; return it as stored. It may stay unsorted, with no term.

    A name that is marked *word-list* or *not stated* and that the slip shows in use becomes *in use*. A slip
    whose quotation does not contain the name is still stored; it just does not count.

    Raises:
        BadInput: a field is invalid, or the source, term or slip it refers to does not exist.
        Conflict: someone else has changed it since it was read.
    """
    with Problems() as problems:
        taken = problems.value(slip, clean_slip, slip)
        problems.value(None, _check_bearing, act, taken)
        problems.value(None, _check_joined, act, taken)
    stored = act.put(taken) if taken.id else act.add(replace(taken, id=act.new_id("slip")))
    if stored.term_id:
        _derive_origin(act, stored)
    return stored


def _check_bearing(act: Act, taken: Slip) -> None:
    """Refuse a slip whose source or name does not exist."""
    if act.find(Source, taken.source_id) is None:
        raise BadInput(
            message("This source does not exist."),
            where=message("source"),
            fix=message("Choose a source, or add it first."),
            path=("source_id",),
        )
    if taken.term_id:
        act.flush()
        if not act.entry_of_term(taken.term_id):
            raise BadInput(
                message("The name that it is evidence for does not exist."),
                where=message("name"),
                fix=message("Choose it again."),
                path=("term_id",),
            )


def _check_joined(act: Act, taken: Slip) -> None:
    """Refuse a slip newly joined to one that does not exist, or to itself."""
    before = act.find(Slip, taken.id) if taken.id else None
    if not taken.joined_to or (before and before.joined_to == taken.joined_to):
        return
    if taken.joined_to == taken.id or act.find(Slip, taken.joined_to) is None:
        raise BadInput(
            message("The slip that it repeats does not exist."),
            where=message("joined to"),
            fix=message("Choose it again."),
            path=("joined_to",),
        )


def _derive_origin(act: Act, slip: Slip) -> None:
    """Update the origin of a name from what a slip shows."""
    entry = act.get(Entry, act.entry_of_term(slip.term_id))
    terms = tuple(
        replace(t, origin=known_origin(t, (slip,))) if t.id == slip.term_id else t for t in entry.terms
    )
    if terms != entry.terms:
        entry_acts.save(act, replace(entry, terms=terms))


def sort_slip(act: Act, slip_id: str, term_id: str) -> Slip:
    """Sort a slip to a name, or make it unsorted if `term_id` is empty.

    Raises:
        NotFound: there is no such slip.
        BadInput: there is no such name.
    """
    return save_slip(act, replace(act.get(Slip, slip_id), term_id=term_id))


def join_slips(act: Act, slip_ids: Sequence[str]) -> None:
    """Join slips into one witness, whatever their texts: all are joined to the first.

    Raises:
        BadInput: fewer than two slips are given.
        NotFound: one of them does not exist.
    """
    chosen = list(dict.fromkeys(slip_ids))
    if len(chosen) < 2:
        raise BadInput(
            message("A single slip cannot be joined."),
            where=message("slips"),
            fix=message("Select two or more."),
        )
    first, *others = (act.get(Slip, slip_id) for slip_id in chosen)
    act.put(replace(first, joined_to="" if first.joined_to in chosen else first.joined_to, apart=False))
    for slip in others:
        act.put(replace(slip, joined_to=first.id, apart=False))


def part_slips(act: Act, slip_ids: Sequence[str]) -> None:
    """Make each of these slips a separate witness, however similar their texts are.

    Raises:
        BadInput: no slip is given.
        NotFound: one of them does not exist.
    """
    if not slip_ids:
        raise BadInput(
            message("No slip is selected."),
            where=message("slips"),
            fix=message("Select the slips to separate."),
        )
    for slip_id in dict.fromkeys(slip_ids):
        for other in act.all(Slip, joined_to=slip_id):
            act.put(replace(other, joined_to=""))
        act.put(replace(act.get(Slip, slip_id), joined_to="", apart=True))


def remove_slip(act: Act, slip_id: str) -> None:
    """Delete a slip; slips joined to it become separate again."""
    for other in act.all(Slip, joined_to=slip_id):
        act.put(replace(other, joined_to=""))
    act.remove(Slip, slip_id)


def pages_of(reader: Reader, source_id: str) -> tuple[Page, ...]:
    """Return the pages of a source, in the order they were entered."""
    return reader.all(Page, source_id=source_id)
