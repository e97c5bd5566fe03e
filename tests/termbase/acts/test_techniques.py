"""Writing how a technique is done: stated, borrowed, from a file."""

import pytest

from termbase.acts import entries, techniques
from termbase.entries import Entry, Origin, Term
from termbase.errors import BadInput, Conflict
from termbase.rulefiles import BadRows, read_profiles, write_profiles
from termbase.store import Store
from termbase.technique import Hand, NamedProfile, Profile, Said
from termbase.technique.stating import statements_of

STATED = Profile(right=Hand(places=Said(("collar",), "slip", "q1")), facing=Said("front"))


@pytest.fixture
def filled(store: Store) -> Store:
    with store.act("Nia", "made entries") as act:
        for names in (("hank", "bach"), ("click",), ("click", "clic")):
            terms = tuple(Term("", name, "en", Origin.COINED) for name in names)
            entries.save(act, Entry("", terms=terms))
    return store


def test_a_profile_is_kept_and_one_that_says_nothing_is_none(filled: Store) -> None:
    with filled.act("Nia", "stated") as act:
        saved = techniques.save_technique(act, "c0001", STATED, 1)
    assert saved.technique == STATED
    with pytest.raises(Conflict), filled.act("Ifan", "stated") as act:
        techniques.save_technique(act, "c0001", Profile(), 1)
    with filled.act("Nia", "took it away") as act:
        assert techniques.save_technique(act, "c0001", Profile(), 2).technique is None


def test_what_is_borrowed_rests_on_the_analogue_and_what_was_stated_stays() -> None:
    lent = Profile(
        right=Hand(places=Said(("lapel",), "slip", "q9"), work=Said("pull", "trial", "m2")),
        leg_use=Said("hook"),
    )
    both = statements_of(techniques.borrowed(lent, "outside hook (a living style)", STATED))
    assert (both["right.places"].values, both["right.places"].basis) == (("collar",), "slip")
    for path in ("right.work", "leg_use"):
        assert (both[path].basis, both[path].ref) == ("analogue", "outside hook (a living style)")
    assert both["facing"].basis == "reading"


def test_a_file_finds_its_entries_by_id_and_name_and_comes_back_the_same(filled: Store) -> None:
    rows = [
        NamedProfile("c0003", "click", profile=STATED),  # the name alone would be two entries'
        NamedProfile("x1", "bach", profile=STATED),  # the id is another termbase's
    ]
    text = write_profiles(rows)
    with filled.act("Nia", "took in a file") as act:
        taken = techniques.import_profiles(act, read_profiles(text, "t.toml"), "t.toml")
    assert [(e.id, e.technique) for e in taken] == [("c0003", STATED), ("c0001", STATED)]


def test_every_row_that_finds_no_entry_is_named_and_none_is_taken(filled: Store) -> None:
    rows = [
        NamedProfile("x1", "hank", profile=STATED),
        NamedProfile("x2", "nobody knows it"),
        NamedProfile("x3", "click"),
        NamedProfile("x4", "bach"),
    ]
    with pytest.raises(BadRows) as caught, filled.act("Nia", "took in a file") as act:
        techniques.import_profiles(act, rows, "t.toml")
    assert [row.where for row in caught.value.rows] == [
        "t.toml, technique 2 “nobody knows it”",
        "t.toml, technique 3 “click”",
        "t.toml, technique 4 “bach”",
    ]
    with filled.read() as reader:
        assert [e.technique for batch in reader.entries() for e in batch] == [None, None, None]


def like(name: str) -> Profile:
    return Profile(facing=Said("front", "analogue", name))


def test_what_was_borrowed_is_not_lent_on() -> None:
    lent = Profile(facing=Said("front", "analogue", "hank"), pressure=Said("none", "slip", "q1"))
    assert statements_of(techniques.borrowed(lent, "click")).keys() == {"pressure"}


def test_analogues_that_rest_on_one_another_are_refused_with_the_ring_named(filled: Store) -> None:
    with filled.act("Nia", "stated") as act:
        techniques.save_technique(act, "c0001", like("clic"), 1)
    with pytest.raises(BadInput) as caught, filled.act("Nia", "stated") as act:
        techniques.save_technique(act, "c0003", like("bach"), 1)
    assert caught.value.where == "facing"
    assert caught.value.what == "This rests on itself by way of analogues: click → hank → click."
    with pytest.raises(BadInput, match="hank → hank"), filled.act("Nia", "stated") as act:
        techniques.save_technique(act, "c0001", like("bach"), 2)
    with filled.act("Nia", "stated") as act:  # another attribute rests on something else
        techniques.save_technique(act, "c0003", Profile(pressure=Said("none", "analogue", "bach")), 1)


def test_an_import_with_a_ring_of_analogues_takes_nothing_and_names_every_row(filled: Store) -> None:
    rows = [
        NamedProfile("", "hank", profile=like("clic")),
        NamedProfile("c0003", "click", profile=like("hank")),
        NamedProfile("c0002", "click", profile=like("a hold of a living style")),
    ]
    with pytest.raises(BadRows) as caught, filled.act("Nia", "took in") as act:
        techniques.import_profiles(act, rows, "file.toml")
    assert [row.where for row in caught.value.rows] == [
        "file.toml, technique 1 “hank”, field facing",
        "file.toml, technique 2 “click”, field facing",
    ]
    with filled.read() as reader:
        assert all(reader.get(Entry, i).technique is None for i in ("c0001", "c0002", "c0003"))
