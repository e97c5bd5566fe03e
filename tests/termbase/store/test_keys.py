"""Keys are stored with the names, and can be rebuilt."""

from pathlib import Path

import pytest
from sqlalchemy import delete, select

from termbase.languages import files
from termbase.languages.keys import KeyKind
from termbase.record.entries import Entry, InflectedForm, Origin, Term
from termbase.search.finding import find
from termbase.store import tables
from termbase.store.engine import Store
from termbase.store.keys import LONGEST_KEY, keys_of, reindex, stale, stale_languages

WELSH = Path(files.__file__).with_name("cy.toml")


@pytest.fixture
def glossary(store: Store) -> Store:
    with store.act("Nia", "entered names") as act:
        for english, welsh in (("back-heel", "sawdl ôl"), ("trip", "baglu"), ("cross-buttock", "clun groes")):
            terms = (
                Term(act.new_id("term"), english, "en", Origin.IN_USE, printed=english.replace("ss", "ſſ")),
                Term(
                    act.new_id("term"),
                    welsh,
                    "cy",
                    Origin.IN_USE,
                    forms=(InflectedForm("plural", welsh + "au"),),
                ),
            )
            act.add(Entry(act.new_id("entry"), terms=terms))
    return store


def _contents(store: Store) -> dict[str, list[tuple[object, ...]]]:
    with store.read() as reader:
        return {
            table.name: sorted(tuple(row) for row in reader.connection.execute(select(table)))
            for table in (tables.key, tables.segment, tables.key_build)
        }


def test_inflected_and_printed_forms_have_their_own_kinds_of_keys() -> None:
    term = Term(
        "t1", "corff", "cy", Origin.IN_USE, printed="corph", forms=(InflectedForm("plural", "cyrff"),)
    )
    kinds = keys_of(term)
    assert kinds["corff"] == KeyKind.FORM.rank
    assert kinds["cyrff"] == KeyKind.INFLECTED.rank
    assert kinds["corph"] == KeyKind.OLD.rank


def test_rebuilt_keys_equal_those_made_on_writing(glossary: Store) -> None:
    before = _contents(glossary)
    seen: list[tuple[int, int]] = []
    assert reindex(glossary, lambda done, total: seen.append((done, total))) == 6
    assert _contents(glossary) == before
    assert seen[-1] == (6, 6)


def test_lost_keys_are_rebuilt_and_outdated_segments_removed(glossary: Store) -> None:
    before = _contents(glossary)
    with glossary.act("Nia", "removed an entry") as act:
        act.remove(Entry, "c0003")
    after_removal = _contents(glossary)
    assert after_removal["segment"] == before["segment"]
    with glossary.engine.begin() as connection:
        connection.execute(delete(tables.key))
    reindex(glossary)
    swept = _contents(glossary)
    assert swept["key"] == after_removal["key"]
    assert len(swept["segment"]) < len(before["segment"])
    assert not any("crossbuttock" in str(row) for row in swept["segment"])


def test_rebuilding_adds_no_act_to_the_history(glossary: Store) -> None:
    with glossary.read() as reader:
        before = reader.last_acts()
    reindex(glossary)
    with glossary.read() as reader:
        assert reader.last_acts() == before


def test_keys_are_stale_when_the_language_file_changed_and_fresh_after_a_rebuild(
    glossary: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with glossary.read() as reader:
        assert not stale(reader)
    own = tmp_path / "cy.toml"
    own.write_bytes(WELSH.read_bytes().replace(b'and_word = "a"', b'and_word = "ac"'))
    monkeypatch.setattr(files, "_added", {})
    files.add_file(own)
    try:
        with glossary.read() as reader:
            assert stale_languages(reader) == ("cy",)
        with glossary.act("Nia", "entered a name") as act:
            act.add(
                Entry(act.new_id("entry"), terms=(Term(act.new_id("term"), "gwib", "cy", Origin.COINED),))
            )
        with glossary.read() as reader:
            assert stale(reader), "older keys of the language are still of the old file"
        reindex(glossary)
        with glossary.read() as reader:
            assert not stale(reader)
    finally:
        monkeypatch.undo()
        files.add_file(WELSH)
        files._added.clear()


def test_a_name_longer_than_a_key_is_kept_and_found(store: Store) -> None:
    long = "hir a " * 2000
    with store.act("Nia", "entered a name") as act:
        act.add(
            Entry(act.new_id("entry"), terms=(Term(act.new_id("term"), long.strip(), "cy", Origin.COINED),))
        )
    with store.read() as reader:
        assert find(reader, long, language="cy")[0].entry_id == "c0001"
        longest = max(len(text) for text in reader.connection.scalars(select(tables.key.c.text)))
    assert longest <= LONGEST_KEY
