"""Stating how a technique is done: by hand, borrowed from an analogue, or from a file."""

from dataclasses import replace
from typing import Any

import pytest

from termbase.acts import entries, techniques
from termbase.acts.sources import save_slip, save_source
from termbase.errors import BadInput, Conflict
from termbase.overviews.matrix import techniques as all_techniques
from termbase.overviews.matrix import verdict_on
from termbase.record.entries import Analogue, Entry, Origin, Term
from termbase.record.sources import Slip, Source, SourceKind
from termbase.rules.clauses import NamedRule, RuleCode
from termbase.rules.files import BadRows, read_profiles, write_profiles
from termbase.store.engine import Store
from termbase.technique.profile import Hand, NamedProfile, Profile, Stated
from termbase.technique.words import statements_of

LIVING = Analogue("a hold", "", "a living style")
STATED = Profile(right=Hand(places=Stated(("collar",), "slip", "q1")), facing=Stated("front"))


@pytest.fixture
def filled(store: Store) -> Store:
    with store.act("Nia", "made entries") as act:
        for names in (("hank", "bach"), ("click",), ("click", "clic")):
            terms = tuple(Term("", name, "en", Origin.COINED) for name in names)
            entries.save(act, Entry("", terms=terms, analogues=(LIVING,)))
        save_source(act, Source("", "Lantern", SourceKind.NEWSPAPER, "The Quarry Lantern"))
        save_slip(act, Slip("", "s1", "he held the collar"))
    return store


def test_a_profile_is_stored_and_an_empty_one_becomes_none(filled: Store) -> None:
    with filled.act("Nia", "stated") as act:
        saved = techniques.save_technique(act, "c0001", STATED, 1)
    assert saved.technique == STATED
    with pytest.raises(Conflict), filled.act("Ifan", "stated") as act:
        techniques.save_technique(act, "c0001", Profile(), 1)
    with filled.act("Nia", "removed it") as act:
        assert techniques.save_technique(act, "c0001", Profile(), 2).technique is None


def test_borrowed_values_are_based_on_the_analogue_and_stated_values_are_kept() -> None:
    lent = Profile(
        right=Hand(places=Stated(("lapel",), "slip", "q9"), work=Stated("pull", "trial", "m2")),
        leg_use=Stated("hook"),
    )
    both = statements_of(techniques.borrow_profile(lent, "outside hook (a living style)", STATED))
    assert (both["right.places"].values, both["right.places"].basis) == (("collar",), "slip")
    for path in ("right.work", "leg_use"):
        assert (both[path].basis, both[path].ref) == ("analogue", "outside hook (a living style)")
    assert both["facing"].basis == "reading"


def test_entries_of_a_file_are_matched_by_id_and_name_and_exported_unchanged(filled: Store) -> None:
    rows = [
        NamedProfile("c0003", "click", profile=STATED),  # two entries have this name
        NamedProfile("x1", "bach", profile=STATED),  # an id from another termbase
    ]
    text = write_profiles(rows)
    with filled.act("Nia", "imported a file") as act:
        taken = techniques.import_profiles(act, read_profiles(text, "t.toml"), "t.toml")
    assert [(e.id, e.technique) for e in taken] == [("c0003", STATED), ("c0001", STATED)]


def test_rows_without_an_entry_are_listed_and_nothing_is_imported(filled: Store) -> None:
    rows = [
        NamedProfile("x1", "hank", profile=STATED),
        NamedProfile("x2", "nobody knows it"),
        NamedProfile("x3", "click"),
        NamedProfile("x4", "bach"),
    ]
    with pytest.raises(BadRows) as caught, filled.act("Nia", "imported a file") as act:
        techniques.import_profiles(act, rows, "t.toml")
    assert [row.where for row in caught.value.rows] == [
        "t.toml, technique 2 “nobody knows it”",
        "t.toml, technique 3 “click”",
        "t.toml, technique 4 “bach”",
    ]
    with filled.read() as reader:
        assert [e.technique for batch in reader.entries() for e in batch] == [None, None, None]


def like(name: str) -> Profile:
    return Profile(facing=Stated("front", "analogue", name))


def test_borrowed_values_are_not_borrowed_again() -> None:
    lent = Profile(facing=Stated("front", "analogue", "hank"), pressure=Stated("none", "slip", "q1"))
    assert statements_of(techniques.borrow_profile(lent, "click")).keys() == {"pressure"}


def test_circular_analogues_are_refused_and_named(filled: Store) -> None:
    with filled.act("Nia", "stated") as act:
        techniques.save_technique(act, "c0001", like("clic"), 1)
    with pytest.raises(BadInput) as caught, filled.act("Nia", "stated") as act:
        techniques.save_technique(act, "c0003", like("bach"), 1)
    assert caught.value.where == "facing"
    assert caught.value.what == "This value is based on itself through analogues: click → hank → click."
    with pytest.raises(BadInput, match="hank → hank"), filled.act("Nia", "stated") as act:
        techniques.save_technique(act, "c0001", like("bach"), 2)
    with filled.act("Nia", "stated") as act:  # another attribute has a different basis
        techniques.save_technique(act, "c0003", Profile(pressure=Stated("none", "analogue", "bach")), 1)


def test_an_import_with_circular_analogues_imports_nothing_and_lists_every_row(filled: Store) -> None:
    rows = [
        NamedProfile("", "hank", profile=like("clic")),
        NamedProfile("c0003", "click", profile=like("hank")),
        NamedProfile("c0002", "click", profile=like("a hold (a living style)")),
    ]
    with pytest.raises(BadRows) as caught, filled.act("Nia", "imported") as act:
        techniques.import_profiles(act, rows, "file.toml")
    assert [row.where for row in caught.value.rows] == [
        "file.toml, technique 1 “hank”, field facing",
        "file.toml, technique 2 “click”, field facing",
    ]
    with filled.read() as reader:
        assert all(reader.get(Entry, i).technique is None for i in ("c0001", "c0002", "c0003"))


def test_names_and_note_of_a_file_are_kept_with_the_profile_and_come_out_again(filled: Store) -> None:
    note = "Two readings.\nThe second is doubtful."
    rows = (
        NamedProfile("c0001", "hank", ("bach", "hanking", "hook, inner"), STATED, note),
        NamedProfile("c0003", "click", ("clic",), STATED),
    )
    for _ in range(2):  # the exported file is imported again unchanged
        with filled.act("Nia", "imported a file") as act:
            techniques.import_profiles(act, read_profiles(write_profiles(rows), "t.toml"), "t.toml")
        with filled.read() as reader:
            assert all_techniques(reader, "en") == (rows[1], rows[0])
            kept = reader.get(Entry, "c0001")
        assert kept.technique is not None
        assert (kept.technique.names, kept.technique.note) == (("hanking", "hook, inner"), note)
        assert [t.text for t in kept.terms] == ["hank", "bach"]


def test_a_name_kept_with_a_technique_is_one_that_rules_can_ban(filled: Store) -> None:
    ban = RuleCode("r1", "Fair", clauses=(NamedRule(id="1", stance="barred", names=("hanking",)),))
    entry = Entry("c0001", terms=(Term("t1", "hank", "en", Origin.COINED),), technique=STATED)
    assert verdict_on(entry, ban).word != "breaks the rules"
    named = replace(entry, technique=replace(STATED, names=("hanking",)))
    assert verdict_on(named, ban).word == "breaks the rules"


def test_a_row_name_that_the_entry_lacks_is_kept(filled: Store) -> None:
    row = NamedProfile("c0001", "inner hank", ("hank",), STATED)
    with filled.act("Nia", "imported a file") as act:
        (taken,) = techniques.import_profiles(act, [row], "t.toml")
    assert taken.technique is not None
    assert taken.technique.names == ("inner hank",)


def test_borrowing_adds_neither_names_nor_note() -> None:
    lent = replace(STATED, names=("hanking",), note="lent")
    made = techniques.borrow_profile(lent, "hank", replace(like("x"), names=("own",), note="own note"))
    assert (made.names, made.note) == (("own",), "own note")


@pytest.mark.parametrize(
    ("said", "what"),
    [
        (Stated("front", "slip", "q9999"), "It is based on the slip “q9999”, which does not exist."),
        (Stated("front", "trial", "m7"), "It is based on the trial “m7”, which does not exist."),
        (Stated("front", "analogue", "hype"), "It is based on the analogue “hype”, which is neither"),
    ],
)
def test_a_file_with_statements_based_on_missing_records_is_refused(
    filled: Store, said: Stated[Any], what: str
) -> None:
    rows = [NamedProfile("c0001", "hank", profile=Profile(facing=said)), NamedProfile("c0003", "click")]
    with pytest.raises(BadRows) as caught, filled.act("Nia", "imported a file") as act:
        techniques.import_profiles(act, rows, "t.toml")
    (row,) = caught.value.rows
    assert row.where == "t.toml, technique 1 “hank”, field facing"
    assert row.what.startswith(what)
    with filled.read() as reader:
        assert reader.get(Entry, "c0001").technique is None


@pytest.mark.parametrize("ref", ["a hold", "A hold (a living style)", "click", "c0002", ""])
def test_a_statement_can_be_based_on_an_analogue_or_a_name_of_the_record(filled: Store, ref: str) -> None:
    with filled.act("Nia", "imported a file") as act:
        (taken,) = techniques.import_profiles(act, [NamedProfile("c0001", "hank", profile=like(ref))], "t")
    assert taken.technique == like(ref)
