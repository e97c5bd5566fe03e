"""A file that is taken in: what its records point at is the same thing here, whatever its id here."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import pytest

from termbase.codes.deeds import Deed
from termbase.importing.planning import plan
from termbase.importing.records import Choice, IncomingEntry, IncomingRecord
from termbase.importing.taking import Imported, import_file
from termbase.record.entries import Entry, Origin, Term
from termbase.record.sources import Slip, Source, SourceKind
from termbase.record.trials import Outcome, Trial
from termbase.store.engine import Store
from termbase.store.reading import Reader
from termbase.technique.profile import Basis, Hand, Profile, Stated

SOURCE = Source("s1", "Mail", SourceKind.NEWSPAPER, "The Upland Mail")


def resting(basis: Basis, ref: str) -> Stated[bool]:
    """A statement that rests on this."""
    return Stated(True, basis, ref)


@dataclass
class Told:
    """A file of our own that holds these records."""

    entries: tuple[IncomingEntry, ...]
    rest: tuple[IncomingRecord, ...] = ()
    name: str = "told.tbx"
    whole: bool = True

    def check_ready(self) -> None:
        """It says all."""

    def early(self, known: Callable[[str], bool]) -> Iterator[IncomingRecord | IncomingEntry | str]:
        """The source, and the entries."""
        yield IncomingRecord("source", SOURCE, "line 1")
        for entry in self.entries:
            yield entry if known(entry.entry.id) else entry.entry.id

    def highest(self, letter: str) -> int:
        """The highest number of its slips, trials, entries and terms."""
        ids = [
            i
            for e in self.entries
            for i in (e.entry.id, *(t.id for t in e.entry.terms), *(s.id for s in e.slips))
        ]
        ids += [str(r.record.id) for r in self.rest]
        return max((int(i[1:]) for i in ids if i[0] == letter), default=0)

    def has_entry(self, file_id: str) -> bool:
        """Whether it has this entry."""
        return any(e.entry.id == file_id for e in self.entries)

    def later(self) -> Iterator[IncomingEntry | IncomingRecord]:
        """Everything."""
        yield from self.entries
        yield from self.rest


def entry(number: int, technique: Profile | None, *slips: Slip) -> IncomingEntry:
    """An entry of one name, with its slips."""
    term = Term(f"t{number}", f"hold {number}", "en", Origin.IN_USE)
    own = tuple(replace(slip, term_id=term.id) for slip in slips)
    return IncomingEntry(Entry(f"c{number:04}", terms=(term,), technique=technique), own, f"line {number}")


def other_entry(number: int, *slips: Slip) -> IncomingEntry:
    """An entry that has nothing but its id in common with that of the file."""
    made = entry(number, None, *slips)
    terms = tuple(replace(term, text=f"other {term.text}") for term in made.entry.terms)
    return replace(made, entry=replace(made.entry, terms=terms))


def slip(number: int, text: str, joined_to: str = "") -> Slip:
    """A quotation."""
    return Slip(f"q{number}", "s1", text, joined_to=joined_to)


def trial(number: int, entry_id: str, done: str) -> IncomingRecord:
    """A trial of an entry."""
    return IncomingRecord(
        "trial", Trial(f"m{number}", entry_id, "2026-01-02", Outcome.WORKS, done=done), "line 9"
    )


FILE = Told(
    (
        entry(
            1,
            Profile(
                right=Hand(essential=resting("slip", "q1")),
                falls_on_him=resting("slip", "q2, q1"),
                leg_use=Stated("hook", "trial", "m1"),
                his_side=Stated("left", "analogue", "q1"),
            ),
            slip(1, "of the first hold", joined_to="q2"),
        ),
        entry(2, Profile(falls_on_him=resting("slip", "q1")), slip(2, "of the second hold")),
    ),
    (trial(1, "c0001", "tried thrice"),),
)


@pytest.fixture
def here(store: Store) -> Store:
    """A termbase that has another entry, quotation and trial of each id of the file."""
    other = Told(
        (other_entry(1, slip(1, "quite another")), other_entry(2, slip(2, "one more"))),
        (trial(1, "c0001", "tried elsewhere"),),
    )
    took(store, other)
    return store


def took(store: Store, file: Told, choice: Choice | None = None) -> Imported:
    """What is told after a file was taken in."""
    with store.act("N", Deed.FILE_TAKEN_IN(file=file.name)) as act:
        return import_file(act, file, choice)


def named(reader: Reader, name: str) -> Entry:
    """The entry of this name."""
    (found,) = (e for e in reader.all(Entry) if e.terms[0].text == name)
    return found


def texts(reader: Reader, said: Stated[bool] | None) -> list[str]:
    """The quotations that a statement rests on."""
    assert said is not None
    return [reader.get(Slip, i).text for i in said.ref.split(", ")]


@pytest.mark.parametrize("choice", [Choice(), Choice(new_ids=True)])
def test_a_statement_follows_its_slip_and_its_trial_to_their_new_ids(here: Store, choice: Choice) -> None:
    told = took(here, FILE, choice)

    with here.read() as reader:
        first, second = named(reader, "hold 1"), named(reader, "hold 2")
        assert first.technique is not None
        assert second.technique is not None
        assert texts(reader, first.technique.right.essential) == ["of the first hold"]
        assert texts(reader, first.technique.falls_on_him) == ["of the second hold", "of the first hold"]
        assert texts(reader, second.technique.falls_on_him) == ["of the first hold"]
        assert first.technique.leg_use is not None
        assert reader.get(Trial, first.technique.leg_use.ref).done == "tried thrice"
        assert first.technique.his_side == Stated("left", "analogue", "q1")
        (joined,) = (s for s in reader.all(Slip) if s.joined_to)
        assert reader.get(Slip, joined.joined_to).text == "of the second hold"
    assert told.dropped_references == 0


def test_where_every_id_is_free_nothing_changes(store: Store) -> None:
    took(store, FILE)

    with store.read() as reader:
        assert [replace(e, version=0) for e in reader.all(Entry)] == [e.entry for e in FILE.entries]
        assert [replace(s, version=0) for s in reader.all(Slip)] == [s for e in FILE.entries for s in e.slips]


def test_a_statement_never_rests_on_a_slip_that_only_has_the_id_of_its_own(here: Store) -> None:
    part = Told((replace(FILE.entries[1], slips=()),))
    with here.read() as reader:
        planned = plan(reader, part)
    told = took(here, part)

    with here.read() as reader:
        technique = named(reader, "hold 2").technique
    assert technique == Profile(falls_on_him=resting("slip", ""))
    assert (planned.dropped_references, told.dropped_references) == (1, 1)


def test_what_is_not_chosen_is_not_rested_on(here: Store) -> None:
    told = took(here, FILE, Choice(entries=frozenset({"c0002"})))

    with here.read() as reader:
        technique = named(reader, "hold 2").technique
    assert technique == Profile(falls_on_him=resting("slip", ""))
    assert told.dropped_references == 1


def test_part_of_the_record_that_comes_back_rests_on_what_it_rested_on(store: Store) -> None:
    took(store, FILE)
    changed = replace(FILE.entries[1].entry, editor_note="Looked at again.")
    told = took(store, Told((replace(FILE.entries[1], entry=changed),)), Choice(changed=True))

    with store.read() as reader:
        found = named(reader, "hold 2")
    assert (found.editor_note, found.technique) == ("Looked at again.", FILE.entries[1].entry.technique)
    assert told.dropped_references == 0


def test_no_new_slip_gets_an_id_that_a_statement_names_in_vain(store: Store) -> None:
    told = took(
        store, Told((entry(1, Profile(falls_on_him=resting("slip", "q2")), slip(1, "the only one")),))
    )
    with store.act("N", Deed.FILE_TAKEN_IN(file="x")) as act:
        new = act.new_id("slip")

    assert (new, told.dropped_references) == ("q3", 0)
    with store.read() as reader:
        assert named(reader, "hold 1").technique == Profile(falls_on_him=resting("slip", "q2"))


def test_a_slip_that_is_joined_to_one_before_it_in_its_entry_is_written_once(here: Store) -> None:
    took(here, Told((entry(1, None, slip(1, "the first"), slip(2, "the second", joined_to="q1")),)))

    with here.read() as reader:
        (joined,) = (s for s in reader.all(Slip) if s.joined_to)
        assert reader.get(Slip, joined.joined_to).text == "the first"
        assert joined.version == 0  # as in the file
