"""What a file provides for import, piece by piece, and what is wanted from it."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from termbase.record.entries import Entry
from termbase.record.pages import Line, Page
from termbase.record.people import Image, Person, Termbase
from termbase.record.sources import Slip, Source
from termbase.record.trials import Trial
from termbase.redirects import Redirect
from termbase.rules.clauses import RuleCode

__all__ = ["Choice", "IncomingEntry", "IncomingFile", "IncomingRecord", "Record", "State"]

Record = Termbase | Person | Source | RuleCode | Image | Slip | Page | Line | Trial | Redirect


class State(StrEnum):
    """How an incoming record relates to the record here."""

    NEW = "new"
    SAME = "same"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True)
class IncomingEntry:
    """An entry as it is in the file, with the slips of its terms; ids are the file's own."""

    entry: Entry
    slips: tuple[Slip, ...]
    place: str


@dataclass(frozen=True, slots=True)
class IncomingRecord:
    """Any other record as it is in the file; its id and references are the file's own."""

    kind: str
    record: Record
    place: str


class IncomingFile(Protocol):
    """A file to import.

    Attributes:
        name: its name, for messages and the history.
        whole: it is our own format and complete: what is not in it is not in the record. With a file from
            another system, what it cannot express is kept as it is here.
    """

    name: str
    whole: bool

    def check_ready(self) -> None:
        """Check that everything needed before the import has been stated.

        Raises:
            BadInput: something is missing, such as the origin of its names.
        """

    def early(self, known: Callable[[str], bool]) -> Iterator[IncomingRecord | IncomingEntry | str]:
        """First pass through the file, which checks all of it: the termbase, people, sources, rule codes and
        pictures; of the entries the ids, and in full those whose id is known here.

        Raises:
            BadInput: the file cannot be imported.
        """

    def highest(self, letter: str) -> int:
        """After the first pass: the highest number among the file's ids with this letter, so that no new id
        collides with one in the file."""

    def has_entry(self, file_id: str) -> bool:
        """After the first pass: whether the file has an entry with this id."""

    def later(self) -> Iterator[IncomingEntry | IncomingRecord]:
        """Second pass: every entry, then the rest: slips without a term, pages, lines, trials."""


@dataclass(frozen=True, slots=True)
class Choice:
    """What to import from a file.

    Attributes:
        changed: also import what is already here but differs.
        entries: ids of the entries to import, as in the file; None for all. Entries named here are imported
            even if they are changed ones.
        rest: also import what belongs to no entry: unsorted slips, pages, lines; and the termbase's own data,
            if nothing has been recorded here yet.
        new_ids: give every entry, slip, page, line and trial a new id, as if from another termbase.
    """

    changed: bool = False
    entries: frozenset[str] | None = None
    rest: bool = True
    new_ids: bool = False

    def wants(self, file_id: str, state: State) -> bool:
        """Whether an entry in this state is to be imported."""
        if self.entries is not None:
            return file_id in self.entries and state is not State.SAME
        return state is State.NEW or (state is State.CHANGED and self.changed)
