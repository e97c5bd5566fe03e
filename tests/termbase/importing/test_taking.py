"""After an import, references lead to the same records, whatever their ids here."""

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


def based_on(basis: Basis, ref: str) -> Stated[bool]:
    """Return a statement based on this."""
    return Stated(True, basis, ref)


@dataclass
class OwnFile:
    """A file in our own format with these records."""

    entries: tuple[IncomingEntry, ...]
    rest: tuple[IncomingRecord, ...] = ()
    name: str = "told.tbx"
    whole: bool = True

    def check_ready(self) -> None:
        """Do nothing: everything is stated."""

    def early(self, known: Callable[[str], bool]) -> Iterator[IncomingRecord | IncomingEntry | str]:
        """Yield the source and the entries."""
        yield IncomingRecord("source", SOURCE, "line 1")
        for entry in self.entries:
            yield entry if known(entry.entry.id) else entry.entry.id

    def highest(self, letter: str) -> int:
        """Return the highest number of its slips, trials, entries and terms."""
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
        """Yield all records."""
        yield from self.entries
        yield from self.rest


def entry(number: int, technique: Profile | None, *slips: Slip) -> IncomingEntry:
    """Return an entry with one name, with its slips."""
    term = Term(f"t{number}", f"hold {number}", "en", Origin.IN_USE)
    own_slips = tuple(replace(slip, term_id=term.id) for slip in slips)
    return IncomingEntry(
        Entry(f"c{number:04}", terms=(term,), technique=technique), own_slips, f"line {number}"
    )


def other_entry(number: int, *slips: Slip) -> IncomingEntry:
    """Return an entry with only its id in common with the one in the file."""
    made = entry(number, None, *slips)
    terms = tuple(replace(term, text=f"other {term.text}") for term in made.entry.terms)
    return replace(made, entry=replace(made.entry, terms=terms))


def slip(number: int, text: str, joined_to: str = "") -> Slip:
    """Return a slip with this quotation."""
    return Slip(f"q{number}", "s1", text, joined_to=joined_to)


def trial(number: int, entry_id: str, done: str) -> IncomingRecord:
    """Return a trial of an entry."""
    return IncomingRecord(
        "trial", Trial(f"m{number}", entry_id, "2026-01-02", Outcome.WORKS, done=done), "line 9"
    )


FILE = OwnFile(
    (
        entry(
            1,
            Profile(
                right=Hand(essential=based_on("slip", "q1")),
                falls_on_him=based_on("slip", "q2, q1"),
                leg_use=Stated("hook", "trial", "m1"),
                his_side=Stated("left", "analogue", "q1"),
            ),
            slip(1, "of the first hold", joined_to="q2"),
        ),
        entry(2, Profile(falls_on_him=based_on("slip", "q1")), slip(2, "of the second hold")),
    ),
    (trial(1, "c0001", "tried thrice"),),
)


@pytest.fixture
def here(store: Store) -> Store:
    """A termbase with a different entry, slip and trial for each id in the file."""
    other = OwnFile(
        (other_entry(1, slip(1, "quite another")), other_entry(2, slip(2, "one more"))),
        (trial(1, "c0001", "tried elsewhere"),),
    )
    import_into(store, other)
    return store


def import_into(store: Store, file: OwnFile, choice: Choice | None = None) -> Imported:
    """Import a file and return the report."""
    with store.act("N", Deed.FILE_TAKEN_IN(file=file.name)) as act:
        return import_file(act, file, choice)


def entry_named(reader: Reader, name: str) -> Entry:
    """Return the entry with this name."""
    (entry,) = (e for e in reader.all(Entry) if e.terms[0].text == name)
    return entry


def texts(reader: Reader, statement: Stated[bool] | None) -> list[str]:
    """Return the quotations that a statement is based on."""
    assert statement is not None
    return [reader.get(Slip, i).text for i in statement.ref.split(", ")]


@pytest.mark.parametrize("choice", [Choice(), Choice(new_ids=True)])
def test_a_statement_follows_its_slip_and_trial_to_their_new_ids(here: Store, choice: Choice) -> None:
    report = import_into(here, FILE, choice)

    with here.read() as reader:
        first, second = entry_named(reader, "hold 1"), entry_named(reader, "hold 2")
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
    assert report.dropped_references == 0


def test_ids_that_are_free_are_kept(store: Store) -> None:
    import_into(store, FILE)

    with store.read() as reader:
        assert [replace(e, version=0) for e in reader.all(Entry)] == [e.entry for e in FILE.entries]
        assert [replace(s, version=0) for s in reader.all(Slip)] == [s for e in FILE.entries for s in e.slips]


def test_a_statement_is_never_based_on_another_slip_with_the_same_id(here: Store) -> None:
    part = OwnFile((replace(FILE.entries[1], slips=()),))
    with here.read() as reader:
        planned = plan(reader, part)
    report = import_into(here, part)

    with here.read() as reader:
        technique = entry_named(reader, "hold 2").technique
    assert technique == Profile(falls_on_him=based_on("slip", ""))
    assert (planned.dropped_references, report.dropped_references) == (1, 1)


def test_no_statement_is_based_on_a_record_that_was_not_chosen(here: Store) -> None:
    report = import_into(here, FILE, Choice(entries=frozenset({"c0002"})))

    with here.read() as reader:
        technique = entry_named(reader, "hold 2").technique
    assert technique == Profile(falls_on_him=based_on("slip", ""))
    assert report.dropped_references == 1


def test_a_reimported_part_of_the_record_keeps_its_references(store: Store) -> None:
    import_into(store, FILE)
    changed = replace(FILE.entries[1].entry, editor_note="Looked at again.")
    report = import_into(store, OwnFile((replace(FILE.entries[1], entry=changed),)), Choice(changed=True))

    with store.read() as reader:
        found = entry_named(reader, "hold 2")
    assert (found.editor_note, found.technique) == ("Looked at again.", FILE.entries[1].entry.technique)
    assert report.dropped_references == 0


def test_no_new_slip_gets_the_id_of_a_dangling_reference(store: Store) -> None:
    report = import_into(
        store, OwnFile((entry(1, Profile(falls_on_him=based_on("slip", "q2")), slip(1, "the only one")),))
    )
    with store.act("N", Deed.FILE_TAKEN_IN(file="x")) as act:
        new = act.new_id("slip")

    assert (new, report.dropped_references) == ("q3", 0)
    with store.read() as reader:
        assert entry_named(reader, "hold 1").technique == Profile(falls_on_him=based_on("slip", "q2"))


def test_a_slip_joined_to_an_earlier_slip_of_its_entry_is_written_once(here: Store) -> None:
    import_into(here, OwnFile((entry(1, None, slip(1, "the first"), slip(2, "the second", joined_to="q1")),)))

    with here.read() as reader:
        (joined,) = (s for s in reader.all(Slip) if s.joined_to)
        assert reader.get(Slip, joined.joined_to).text == "the first"
        assert joined.version == 0  # as in the file
