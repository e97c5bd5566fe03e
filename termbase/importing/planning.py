"""Planning an import: what is new, the same or changed, and how. Nothing is written."""

from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import dataclass

from termbase.fields.declarations import fields_of
from termbase.importing.ids import Circled, SettledEntry, SettledRecord, settled
from termbase.importing.matching import Matching
from termbase.importing.records import Choice, IncomingFile, Late, Record, State
from termbase.messages import message
from termbase.record.differences import Difference, differences
from termbase.record.entries import Entry, heads
from termbase.record.people import Image
from termbase.store.reading import Reader, as_json

__all__ = ["MOST_TOLD", "Plan", "Planned", "plan"]

MOST_TOLD = 5000
"""Number of entries and records that a plan lists one by one; beyond it, it only counts."""


@dataclass(frozen=True, slots=True)
class Planned:
    """One entry or record of the file.

    Attributes:
        kind: kind of record.
        file_id: its id in the file.
        id: its id here; empty if it gets a new one.
        name: its display name; for an entry, its names.
        state: how it relates to the record here.
        differences: for a changed record, the fields that differ, before and after.
        place: line in the file.
    """

    kind: str
    file_id: str
    id: str
    name: str
    state: State
    differences: tuple[Difference, ...]
    place: str


@dataclass(frozen=True, slots=True)
class Plan:
    """What importing a file would do; plain data, serialisable as JSON.

    Attributes:
        counts: how many records are new, the same or changed, by kind and state.
        entries: the new and changed entries, the changed ones first.
        records: the new and changed records of other kinds except slips, which are listed with their entry.
        untold: how many new and changed ones are not listed, because there are more than MOST_TOLD.
        dropped_relations: relations whose target is neither here nor in the file.
        circled: broader relations that would be left out because they create a loop.
        dropped_references: slips and trials that a technique is based on, or that a slip is joined to, which
            are not in the file and whose id belongs to another record here.
    """

    counts: dict[str, dict[str, int]]
    entries: tuple[Planned, ...]
    records: tuple[Planned, ...]
    untold: int
    dropped_relations: int
    circled: tuple[Circled, ...] = ()
    dropped_references: int = 0


def plan(
    reader: Reader,
    file: IncomingFile,
    choice: Choice | None = None,
    on_progress: Callable[[int], None] | None = None,
) -> Plan:
    """Read a file through and compare it with the record.

    Raises:
        BadInput: the file cannot be imported.
    """
    numbers: Counter[str] = Counter()

    def new_id(kind: str) -> str:
        numbers[kind] += 1
        return f"+{numbers[kind]}"

    counts: defaultdict[str, Counter[str]] = defaultdict(Counter)
    listed: dict[State, list[Planned]] = {State.CHANGED: [], State.NEW: []}
    records: list[Planned] = []
    circled: list[Circled] = []
    late: list[Late] = []
    dropped = untold = 0
    choice = choice or Choice()
    matching = Matching(reader, new_id, new_ids=choice.new_ids)
    for piece in settled(file, matching, choice):
        if isinstance(piece, SettledRecord):
            late += filter(None, (piece.late,))
            counts[piece.kind][piece.state.value] += 1
            if piece.state is not State.SAME and not isinstance(piece.record, Image):
                records.append(_record(piece))
            continue
        for entry in piece:
            counts["entry"][entry.state.value] += 1
            for slip in entry.slips:
                counts["slip"][slip.state.value] += 1
            dropped += entry.dropped
            late += filter(None, (entry.late, *(slip.late for slip in entry.slips)))
            circled += entry.circled
            if entry.state is not State.SAME:
                if len(listed[entry.state]) < MOST_TOLD:
                    listed[entry.state].append(_entry(entry))
                else:
                    untold += 1
        if on_progress:
            on_progress(sum(counts["entry"].values()))
    untold += max(len(records) - MOST_TOLD, 0)
    unresolved = [p for record in late for p, local_id in matching.late_ids(record).items() if not local_id]
    totals = {kind: dict(by_state) for kind, by_state in counts.items()}
    return Plan(
        totals, (*listed[State.CHANGED], *listed[State.NEW]), tuple(records[:MOST_TOLD]), untold, dropped,
        tuple(circled), len(unresolved),
    )  # fmt: skip


def _entry(settled_entry: SettledEntry) -> Planned:
    entry, stored = settled_entry.entry, settled_entry.stored
    differences: list[Difference] = []
    if stored is not None:
        differences += _differences(stored, entry)
        for slip in settled_entry.slips:
            if slip.state is State.NEW:
                differences.append(
                    Difference(
                        message("slip %(slip)s", slip=slip.record.id.removeprefix("+")), "", slip.record.text
                    )
                )
            elif slip.state is State.CHANGED:
                differences += (
                    Difference(
                        message("slip %(slip)s, %(field)s", slip=slip.record.id, field=d.field),
                        d.before,
                        d.after,
                    )
                    for d in _differences(slip.stored, slip.record)
                )
    return Planned(
        "entry", settled_entry.file_id, "" if entry.id.startswith("+") else entry.id, _name(entry),
        settled_entry.state, tuple(differences), settled_entry.place,
    )  # fmt: skip


def _record(piece: SettledRecord[Record]) -> Planned:
    record = piece.record
    differences = _differences(piece.stored, record) if piece.stored is not None else ()
    titles = (getattr(record, f.name) for f in fields_of(type(record)) if f.is_a.title)
    name = next((str(title) for title in titles if title), "")
    record_id = str(record.id)
    return Planned(
        piece.kind,
        record_id,
        "" if record_id.startswith("+") else record_id,
        name[:200],
        piece.state,
        tuple(differences),
        piece.place,
    )


def _differences(stored: object, record: object) -> tuple[Difference, ...]:
    return differences(as_json(stored), as_json(record), type(record))


def _name(entry: Entry) -> str:
    return " · ".join(term.text for term in heads(entry).values())
