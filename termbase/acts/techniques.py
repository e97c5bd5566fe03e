"""Save how a technique is done: one profile, one borrowed from an analogue, or many from a file.

A value based on an analogue is worth what the analogue's evidence is worth. If following the analogues leads
back to the start, there is no evidence at all, and nothing in the record shows it; so circles are refused.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from sqlalchemy import select

from termbase.acts import entries
from termbase.errors import BadInput
from termbase.messages import message
from termbase.record.entries import Entry, heads
from termbase.rules.files import BadRows
from termbase.store import tables
from termbase.store.links import References
from termbase.store.reading import Reader
from termbase.store.writing import Act
from termbase.technique.profile import NamedProfile, Profile
from termbase.technique.words import StatementText, profile_of, statements_of

__all__ = ["CIRCLE_FIX", "Circle", "borrow_profile", "circles", "import_profiles", "save_technique"]


CIRCLE_FIX: Final = message("Give one of them another basis, or leave its value unstated.")


@dataclass(frozen=True, slots=True)
class Circle:
    """Values that are based on each other in a circle.

    Attributes:
        entry_id: the entry that closes the circle.
        path: the attribute.
        names: the techniques along the circle; the first is repeated at the end.
    """

    entry_id: str
    path: str
    names: tuple[str, ...]

    @property
    def said(self) -> str:
        """The circle as a sentence."""
        return message(
            "This value is based on itself through analogues: %(names)s.", names=" → ".join(self.names)
        )


def circles(reader: Reader, changed: Mapping[str, Profile]) -> Iterator[Circle]:
    """Yield every circle that these profiles (by entry id) would close, attribute by attribute.

    An analogue is followed if its name is in the record; an analogue from a living style that is not in the
    record ends the path.
    """
    record = _Record(reader, changed)
    for entry_id, profile in changed.items():
        for path, statement in statements_of(profile).items():
            if statement.basis == "analogue" and statement.ref:
                ring = _back_to(entry_id, path, record)
                if ring:
                    yield Circle(entry_id, path, tuple(record.name(i) for i in (entry_id, *ring)))


def _back_to(start: str, path: str, record: "_Record") -> tuple[str, ...]:
    """Return the path from an entry through analogues back to itself; empty if there is none."""
    ways: list[tuple[str, ...]] = [(start,)]
    seen: set[str] = set()
    while ways:
        way = ways.pop()
        for target in record.rests_on(way[-1], path):
            if target == start:
                return (*way[1:], target)
            if target not in seen:
                seen.add(target)
                ways.append((*way, target))
    return ()


class _Record:
    """The techniques as they would be after the change; each entry is read once."""

    def __init__(self, reader: Reader, changed: Mapping[str, Profile]) -> None:
        self._reader = reader
        self._statements: dict[str, Mapping[str, StatementText]] = {
            i: statements_of(p) for i, p in changed.items()
        }
        self._ids: dict[str, tuple[str, ...]] = {}

    def name(self, entry_id: str) -> str:
        """Return the name of an entry, for a message."""
        known = heads(self._reader.get(Entry, entry_id))
        own = known.get(self._reader.termbase().working_language) or next(iter(known.values()), None)
        return own.text if own else entry_id

    def rests_on(self, entry_id: str, path: str) -> tuple[str, ...]:
        """Return the entries from which an attribute of an entry is inferred."""
        if entry_id not in self._statements:
            entry = self._reader.find(Entry, entry_id)
            self._statements[entry_id] = statements_of(entry.technique if entry else None)
        statement = self._statements[entry_id].get(path)
        return (
            self._of_name(statement.ref)
            if statement and statement.basis == "analogue" and statement.ref
            else ()
        )

    def _of_name(self, name: str) -> tuple[str, ...]:
        if name not in self._ids:
            term = tables.term.c
            rows = self._reader.connection.execute(
                select(term.entry_id).where(term.text == name).order_by(term.entry_id)
            )
            self._ids[name] = tuple(dict.fromkeys(row[0] for row in rows))
        return self._ids[name]


def save_technique(act: Act, entry_id: str, profile: Profile | None, version: int) -> Entry:
    """Save the technique of an entry that was read at a version; None removes it.

    Raises:
        BadInput: a value is based on an analogue that is in turn based on this technique.
        Conflict: somebody else changed the entry since.
        NotFound: there is no such entry.
    """
    entry = act.get(Entry, entry_id)
    stated = None if profile == Profile() else profile
    for circle in circles(act, {entry_id: stated or Profile()}):
        raise BadInput(circle.said, where=circle.path, fix=CIRCLE_FIX)
    return entries.save(act, replace(entry, technique=stated, version=version))


def borrow_profile(lender: Profile, name: str, over: Profile | None = None) -> Profile:
    """Return a profile to start from: the lender's statements, marked as based on an analogue; statements in
    `over` are kept. Values that the lender itself borrowed are left out: they add no evidence, and may have
    been borrowed from here.

    Args:
        lender: the profile to borrow from.
        name: the lender's name; it becomes the reference of each value.
        over: what is already stated.
    """
    lending = {
        path: replace(statement, basis="analogue", ref=name)
        for path, statement in statements_of(lender).items()
        if statement.basis != "analogue"
    }
    kept = over or Profile()
    return replace(profile_of(lending | statements_of(over)), names=kept.names, note=kept.note)


def import_profiles(act: Act, rows: Iterable[NamedProfile], where: str) -> tuple[Entry, ...]:
    """Import profiles from a file into their entries, all or none, and return the entries as stored.

    A row belongs to the entry with its id if that has one of the row's names, otherwise to the only entry
    that has the row's name. The row's note is kept with the profile, and so are names that the entry lacks.

    Raises:
        BadRows: rows belong to no entry or could belong to several, or are based on slips, trials or
            analogues that do not exist, or on analogues that are based on them in turn; every one is named.
    """
    bad: list[BadInput] = []
    places: dict[str, str] = {}
    matched: list[tuple[Entry, NamedProfile]] = []
    by_name = _by_name(act)
    claimed: dict[str, str] = {}
    for number, row in enumerate(rows, 1):
        at = message(
            "%(where)s, %(kind)s %(name)s",
            where=where,
            kind=message("technique"),
            name=f"{number} “{row.name}”",
        )
        ids = _entries_meant(act, row, by_name)
        if len(ids) != 1:
            bad.append(_not_one_entry(ids, at))
        elif ids[0] in claimed:
            bad.append(
                BadInput(
                    message("%(other)s also refers to %(entry)s.", entry=ids[0], other=claimed[ids[0]]),
                    where=at,
                    fix=message("Keep one of them."),
                )
            )
        else:
            claimed[ids[0]] = f"“{row.name}”"
            places[ids[0]] = at
            matched.append((act.get(Entry, ids[0]), row))
    references = References(act)
    for entry, row in matched:
        for fault in references.missing(entry, row.profile):
            place = message("%(where)s, field %(field)s", where=places[entry.id], field=fault.path)
            bad.append(BadInput(fault.what, where=place, fix=fault.fix))
    for circle in circles(act, {entry.id: row.profile for entry, row in matched}):
        place = message("%(where)s, field %(field)s", where=places[circle.entry_id], field=circle.path)
        bad.append(BadInput(circle.said, where=place, fix=CIRCLE_FIX))
    if bad:
        raise BadRows(bad, where=where)
    return tuple(entries.save(act, replace(entry, technique=_kept(entry, row))) for entry, row in matched)


def _kept(entry: Entry, row: NamedProfile) -> Profile:
    """Return the profile of a row with its note and those of its names that the entry does not have."""
    own = {t.text for t in entry.terms}
    names = dict.fromkeys(name for name in (row.name, *row.names) if name not in own)
    return replace(row.profile, names=tuple(names), note=row.note)


def _by_name(reader: Reader) -> dict[str, tuple[str, ...]]:
    ids_by_name: defaultdict[str, list[str]] = defaultdict(list)
    for batch in reader.entries():
        for entry in batch:
            for text in dict.fromkeys(t.text.casefold() for t in entry.terms):
                ids_by_name[text].append(entry.id)
    return {text: tuple(ids) for text, ids in ids_by_name.items()}


def _entries_meant(reader: Reader, row: NamedProfile, by_name: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    names = {name.casefold() for name in (row.name, *row.names)}
    entry = reader.find(Entry, reader.current_id(row.id))
    if entry is not None and names & {t.text.casefold() for t in entry.terms}:
        return (entry.id,)
    return by_name.get(row.name.casefold(), ())


def _not_one_entry(ids: tuple[str, ...], at: str) -> BadInput:
    if not ids:
        return BadInput(
            message("No entry has this name."),
            where=at,
            fix=message("Create the entry first, or correct the name."),
        )
    return BadInput(
        message("Several entries have this name: %(entries)s.", entries=", ".join(ids)),
        where=at,
        fix=message("Give the row the id of the right one."),
    )
