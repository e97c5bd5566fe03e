"""Importing a file in one act: everything that was chosen, or nothing."""

from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass, replace
from typing import TypeVar

from termbase.fields.declarations import changed_by, fields_of
from termbase.importing.ids import Circled, SettledEntry, SettledRecord, settled
from termbase.importing.matching import Matching, is_ours
from termbase.importing.records import Choice, IncomingFile, Late, Pointer, Record, State, pointed
from termbase.record.entries import Entry
from termbase.record.people import Image
from termbase.record.sources import Slip
from termbase.store.batches import BATCH, batched
from termbase.store.bulk import collector_at_rest, indexes_last
from termbase.store.writing import PREFIX, Act

__all__ = ["Imported", "import_file"]

Pointing = TypeVar("Pointing", bound=Entry | Slip)

FLUSH = 5  # batches of entries per write


@dataclass(frozen=True, slots=True)
class Imported:
    """What was imported.

    Attributes:
        new, changed, left: how many were added, replaced, and kept although they differ, by kind.
        same: how many of each kind were the same.
        dropped_relations: relations whose target is neither here nor in the file.
        dropped_references: slips and trials that a technique is based on, or that a slip is joined to, which
            are not in the file and whose id belongs to another record here.
        circled: broader relations left out because they would create a loop.
    """

    new: dict[str, int]
    changed: dict[str, int]
    same: dict[str, int]
    left: dict[str, int]
    dropped_relations: int
    circled: tuple[Circled, ...] = ()
    dropped_references: int = 0


def import_file(
    act: Act,
    file: IncomingFile,
    choice: Choice | None = None,
    on_progress: Callable[[int], None] | None = None,
) -> Imported:
    """Import what was chosen from a file, within this act.

    Records made elsewhere keep their creator and date; records replaced here are changed by the person of the
    act.

    Raises:
        BadInput: the file cannot be imported; the act must then be abandoned.
        InUse: something in it refers to a record that does not exist.
    """
    file.check_ready()
    act.relations_last = True
    choice = choice or Choice()
    matching = Matching(act, act.new_id, new_ids=choice.new_ids)
    with collector_at_rest(), _deferring_upkeep(act) if matching.empty else nullcontext():
        imported = _run_import(act, file, choice, matching, on_progress)
        act.flush()
        return imported


@contextmanager
def _deferring_upkeep(act: Act) -> Iterator[None]:
    """Defer the upkeep of indexes and keys to the end; for filling an empty termbase."""
    with indexes_last(act.connection):
        act.keyed = set() if act.connection.dialect.name == "sqlite" else None
        try:
            yield
        finally:
            act.keyed = None


def _run_import(
    act: Act,
    file: IncomingFile,
    choice: Choice,
    matching: Matching,
    on_progress: Callable[[int], None] | None,
) -> Imported:
    run = _Import(act, file)
    done = batches = 0
    for piece in settled(file, matching, choice, on_checked=lambda: _reserve_ids(act, file)):
        if isinstance(piece, SettledRecord):
            run.record(piece)
            continue
        for entry in piece:
            run.entry(entry)
        done += len(piece)
        batches += 1
        if batches % FLUSH == 0:
            act.flush()
        if on_progress:
            on_progress(done)
    run.update_late(matching)
    return run.report()


class _Import:
    def __init__(self, act: Act, file: IncomingFile) -> None:
        self.act, self.file = act, file
        self.counts: dict[str, Counter[str]] = {
            name: Counter() for name in ("new", "changed", "same", "left")
        }
        self.dropped = 0
        self.circled: list[Circled] = []
        self.dropped_references = 0
        self.late: dict[type[Entry | Slip], list[tuple[str, Late]]] = {Entry: [], Slip: []}

    def entry(self, settled_entry: SettledEntry) -> None:
        """Write an entry with its slips if it was chosen."""
        state, stored = settled_entry.state, settled_entry.stored
        if settled_entry.wanted or state is State.SAME:
            self.circled += settled_entry.circled
        if not settled_entry.wanted:
            self.counts["same" if state is State.SAME else "left"]["entry"] += 1
            return
        self.dropped += settled_entry.dropped
        entry = settled_entry.entry
        if stored is None:
            self.counts["new"]["entry"] += 1
            self._add(entry)
        else:
            self.counts["changed"]["entry"] += 1
            kept = {f.name: getattr(stored, f.name) for f in fields_of(Entry) if f.counted}
            self.act.put_known(stored, changed_by(entry, kept))
        if settled_entry.late:
            self.late[Entry].append((entry.id, settled_entry.late))
        for slip in settled_entry.slips:
            # Choosing an entry also chooses its slips.
            wanted = slip.state is not State.SAME
            self.record(slip if slip.wanted is wanted else replace(slip, wanted=wanted))

    def record(self, piece: SettledRecord[Record]) -> None:
        """Write any other record if it was chosen."""
        record, stored = piece.record, piece.stored
        if not piece.wanted:
            self.counts["same" if piece.state is State.SAME else "left"][piece.kind] += 1
            return
        self.counts["new" if stored is None else "changed"][piece.kind] += 1
        if isinstance(record, Image):
            self.act.add_image(record)
        elif stored is None:
            self._add(record)
        else:
            self.act.put_known(stored, record)
        if isinstance(record, Slip) and piece.late:
            self.late[Slip].append((record.id, piece.late))

    def update_late(self, matching: Matching) -> None:
        """Update references to slips and trials that came later with their final ids.

        A reference to a missing record stays dangling: its id is never given to a new record.
        """
        for cls, records in self.late.items():
            pending: dict[str, dict[Pointer, str]] = {}
            for record_id, late in records:
                ids = matching.late_ids(late)
                self.dropped_references += sum(not local_id for local_id in ids.values())
                if any(local_id != file_id for (_, file_id), local_id in ids.items()):
                    pending[record_id] = ids
                for kind, file_id in ids:
                    if is_ours(kind, file_id):
                        self.act.count_past(kind, file_id)
            for batch in batched(pending, FLUSH * BATCH):
                for record_id, record in self.act.many(cls, batch).items():
                    self.act.put_known(record, _with_final_ids(record, pending[record_id]))
                self.act.flush()

    def report(self) -> Imported:
        """Return what was done."""
        new, changed, same, left = (dict(self.counts[name]) for name in ("new", "changed", "same", "left"))
        return Imported(new, changed, same, left, self.dropped, tuple(self.circled), self.dropped_references)

    def _add(self, record: Record | Entry) -> None:
        if self.file.whole:
            self.act.take(record)
        else:
            self.act.add(record)


def _with_final_ids(record: Pointing, ids: dict[Pointer, str]) -> Pointing:
    return pointed(record, lambda kind, there: ids.get((kind, there), there))


def _reserve_ids(act: Act, file: IncomingFile) -> None:
    """Ensure that no new id equals one that a record in the file keeps."""
    for kind, letter in PREFIX.items():
        highest = file.highest(letter)
        if highest:
            act.count_past(kind, f"{letter}{highest}")
