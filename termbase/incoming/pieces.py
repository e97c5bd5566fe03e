"""What a file hands over to be taken in, piece by piece, and what of it is wanted."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from termbase.entries import Entry
from termbase.pages import Line, Page
from termbase.people import Image, Person, Termbase
from termbase.redirects import Redirect
from termbase.rulecodes import RuleCode
from termbase.sources import Slip, Source
from termbase.trials import Trial

__all__ = ["Choice", "IncomingEntry", "IncomingFile", "IncomingRecord", "Record", "State"]

Record = Termbase | Person | Source | RuleCode | Image | Slip | Page | Line | Trial | Redirect


class State(StrEnum):
    """What something that comes in is to the record here."""

    NEW = "new"
    SAME = "same"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True)
class IncomingEntry:
    """An entry as the file has it, with the slips of its terms; ids are the file's own."""

    entry: Entry
    slips: tuple[Slip, ...]
    place: str


@dataclass(frozen=True, slots=True)
class IncomingRecord:
    """Any other record as the file has it; its ids, and those it points at, are the file's own."""

    kind: str
    record: Record
    place: str


class IncomingFile(Protocol):
    """A file to be taken in.

    Attributes:
        name: its name, for messages and the history.
        whole: it is our own and says all: what is not in it is not in the record. Of a file of another
            system, what it cannot say stays as it is here.
    """

    name: str
    whole: bool

    def check_ready(self) -> None:
        """Check that all is said that must be before the file can be taken in.

        Raises:
            BadInput: something is missing, such as the origin of its names.
        """

    def early(self, known: Callable[[str], bool]) -> Iterator[IncomingRecord | IncomingEntry | str]:
        """First way through the file, which checks all of it: the termbase, people, sources, rule codes and
        pictures; of the entries the ids, and in full those whose id is known here.

        Raises:
            BadInput: the file cannot be taken.
        """

    def highest(self, letter: str) -> int:
        """After the first way: the highest number among the file's ids of this letter, so that no new id is
        given that something in the file still keeps."""

    def has_entry(self, file_id: str) -> bool:
        """After the first way: whether the file has an entry of this id."""

    def later(self) -> Iterator[IncomingEntry | IncomingRecord]:
        """Second way through: every entry, then what is left: slips without a term, pages, lines, trials."""


@dataclass(frozen=True, slots=True)
class Choice:
    """What of a file is to be taken in.

    Attributes:
        changed: also what is here already and differs.
        entries: ids of the entries to take, as the file has them; None for all. Entries named here are taken
            even if they are changed ones.
        rest: also what hangs on no entry: unsorted slips, pages, lines; and the termbase's own data, where
            nothing was recorded here yet.
        new_ids: give every entry, slip, page, line and trial a new id, as of another termbase.
    """

    changed: bool = False
    entries: frozenset[str] | None = None
    rest: bool = True
    new_ids: bool = False

    def wants(self, file_id: str, state: State) -> bool:
        """Whether an entry in this state is to be taken."""
        if self.entries is not None:
            return file_id in self.entries and state is not State.SAME
        return state is State.NEW or (state is State.CHANGED and self.changed)
