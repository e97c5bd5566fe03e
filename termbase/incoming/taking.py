"""Taking in a file, in one act: everything that was chosen, or nothing."""

from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass, replace

from termbase.entries import Entry
from termbase.fields import changed_by, fields_of
from termbase.incoming.matching import Matching
from termbase.incoming.pieces import Choice, IncomingFile, Record, State
from termbase.incoming.settling import Circled, SettledEntry, SettledRecord, settled
from termbase.people import Image
from termbase.sources import Slip
from termbase.store import Act
from termbase.store.bulk import collector_at_rest, indexes_last
from termbase.store.writing import PREFIX

__all__ = ["Taken", "take_in"]

FLUSH = 5  # batches of entries between two writes


@dataclass(frozen=True, slots=True)
class Taken:
    """What was taken in.

    Attributes:
        new, changed, left: how many of each kind were added, replaced, and left as they are though they
            differ, by kind.
        same: how many of each kind were the same.
        dropped_relations: relations that lead to nothing here or in the file.
        circled: broader relations left out since they would close a circle.
    """

    new: dict[str, int]
    changed: dict[str, int]
    same: dict[str, int]
    left: dict[str, int]
    dropped_relations: int
    circled: tuple[Circled, ...] = ()


def take_in(
    act: Act,
    file: IncomingFile,
    choice: Choice | None = None,
    on_progress: Callable[[int], None] | None = None,
) -> Taken:
    """Take in what was chosen of a file, within this act.

    Records made elsewhere keep who made them and when; what is replaced here is changed by who acts.

    Raises:
        BadInput: the file cannot be taken; the act must then be given up.
        InUse: something in it points at what is not there.
    """
    file.check_ready()
    act.relations_last = True
    choice = choice or Choice()
    matching = Matching(act, act.new_id, new_ids=choice.new_ids)
    with collector_at_rest(), _filling(act) if matching.empty else nullcontext():
        taken = _taken(act, file, choice, matching, on_progress)
        act.flush()
        return taken


@contextmanager
def _filling(act: Act) -> Iterator[None]:
    """Nothing is here yet: work that keeps what is there in order is left to the end."""
    with indexes_last(act.connection):
        act.keyed = set() if act.connection.dialect.name == "sqlite" else None
        try:
            yield
        finally:
            act.keyed = None


def _taken(
    act: Act,
    file: IncomingFile,
    choice: Choice,
    matching: Matching,
    on_progress: Callable[[int], None] | None,
) -> Taken:
    taking = _Taking(act, file)
    done = batches = 0
    for piece in settled(file, matching, choice, on_checked=lambda: _count_past(act, file)):
        if isinstance(piece, SettledRecord):
            taking.record(piece)
            continue
        for entry in piece:
            taking.entry(entry)
        done += len(piece)
        batches += 1
        if batches % FLUSH == 0:
            act.flush()
        if on_progress:
            on_progress(done)
    taking.rejoin(matching)
    return taking.report()


class _Taking:
    def __init__(self, act: Act, file: IncomingFile) -> None:
        self.act, self.file = act, file
        self.counts: dict[str, Counter[str]] = {
            name: Counter() for name in ("new", "changed", "same", "left")
        }
        self.dropped = 0
        self.circled: list[Circled] = []
        self.joined: list[tuple[str, str]] = []

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
        for slip in settled_entry.slips:
            # The choice of an entry is one for its slips as well.
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
        if isinstance(record, Slip) and record.joined_to:
            self.joined.append((record.id, record.joined_to))

    def rejoin(self, matching: Matching) -> None:
        """Lead slips that were joined to one of the file to the id it got in the end."""
        for slip_id, file_id in self.joined:
            here = matching.id_of("slip", file_id)
            if here != file_id:
                slip = self.act.get(Slip, slip_id)
                if slip.joined_to == file_id:
                    self.act.put_known(slip, replace(slip, joined_to=here))

    def report(self) -> Taken:
        """What was done."""
        new, changed, same, left = (dict(self.counts[name]) for name in ("new", "changed", "same", "left"))
        return Taken(new, changed, same, left, self.dropped, tuple(self.circled))

    def _add(self, record: Record | Entry) -> None:
        if self.file.whole:
            self.act.take(record)
        else:
            self.act.add(record)


def _count_past(act: Act, file: IncomingFile) -> None:
    """See to it that no id is given that something in the file keeps."""
    for kind, letter in PREFIX.items():
        highest = file.highest(letter)
        if highest:
            act.count_past(kind, f"{letter}{highest}")
