"""A file that still has two entries which are merged here: its data goes to the remaining one."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from exports.tbx.reader import read_tbx
from exports.tbx.writer import write_tbx
from termbase.acts import entries, merging
from termbase.acts.sources import save_slip, save_source
from termbase.errors import BadInput
from termbase.importing.planning import plan
from termbase.importing.records import Choice, State
from termbase.importing.taking import import_file
from termbase.overviews.articles import Library
from termbase.record.entries import Entry, Origin, Relation, RelationKind, Term
from termbase.record.people import Termbase
from termbase.record.sources import Slip, Source, SourceKind
from termbase.store.engine import Store

FIRST, OTHER, NEXT = "c0001", "c0002", "c0003"


@pytest.fixture
def store(tmp_path: Path) -> Store:
    """Two entries with a slip each, and one related to the second."""
    made = Store.create(str(tmp_path / "made.wordhold"), Termbase("Names", vernaculars=("cy",)), by="Nia")
    with made.act("Nia", "filled") as act:
        source = save_source(act, Source("", "Mail", SourceKind.NEWSPAPER, "The Upland Mail"))
        for texts in (("gafael", "hafael"), ("gafael", "bachiad")):
            names = tuple(Term("", text, "cy", Origin.IN_USE) for text in texts)
            entry = entries.save(act, Entry("", terms=names))
            for term in entry.terms:
                save_slip(act, Slip("", source.id, f"took {term.text}", term_id=term.id))
        cic = Term("", "cic", "cy", Origin.IN_USE)
        entries.save(act, Entry("", terms=(cic,), relations=(Relation(RelationKind.COUNTER_TO, OTHER),)))
    return made


def written(store: Store, path: Path, ids: tuple[str, ...] | None = None) -> Path:
    with store.read() as reader:
        write_tbx(Library(reader), path, dialect="wordhold", ids=ids)
    return path


def merge(store: Store) -> None:
    with store.act("Nia", "merged") as act:
        merging.merge(act, FIRST, OTHER)


@pytest.mark.parametrize("ids", [None, (OTHER,), (NEXT,)], ids=["all", "merged", "related"])
def test_an_older_file_changes_only_its_relations(
    store: Store, tmp_path: Path, ids: tuple[str, ...] | None
) -> None:
    old = written(store, tmp_path / "old.tbx", ids)
    merge(store)
    with store.read() as reader:
        before = reader.get(Entry, FIRST)
    with store.act("Nia", "took in") as act:
        import_file(act, read_tbx(old), Choice(changed=True))

    with store.read() as reader:
        now = reader.get(Entry, FIRST)
        assert {t.text for t in now.terms} == {t.text for t in before.terms}
        assert reader.find(Entry, OTHER) is None
        assert reader.count(Entry) == 2
        assert {r.target_id for r in reader.get(Entry, NEXT).relations} == {FIRST}
        assert len(reader.all(Slip)) == 4


def test_new_data_of_a_merged_entry_is_added_to_the_remaining_entry(store: Store, tmp_path: Path) -> None:
    with store.act("Nia", "another name") as act:
        other = act.get(Entry, OTHER)
        act.put(replace(other, terms=(*other.terms, Term("t99", "clo", "cy", Origin.IN_USE))))
    old = written(store, tmp_path / "old.tbx", (OTHER,))
    with store.act("Nia", "took it away") as act:
        entries.delete_term(act, OTHER, "t99")
    merge(store)
    with store.read() as reader:
        assert State.CHANGED.value in plan(reader, read_tbx(old)).counts["entry"]
    with store.act("Nia", "took in") as act:
        import_file(act, read_tbx(old), Choice(changed=True))

    with store.read() as reader:
        assert [t.text for t in reader.get(Entry, FIRST).terms] == ["gafael", "hafael", "bachiad", "clo"]


def test_an_invalid_merge_date_is_refused_and_nothing_is_imported(store: Store, tmp_path: Path) -> None:
    merge(store)
    path = written(store, tmp_path / "merged.tbx")
    text, number = re.subn(r'(<item type="on">)[^<]*<', r"\1soon<", path.read_text("utf-8"))
    assert number == 1
    path.write_text(text, encoding="utf-8")
    line = text[: text.index("soon")].count("\n") + 1
    empty = Store.create(str(tmp_path / "empty.wordhold"), Termbase("Empty"), by="Nia")
    with pytest.raises(BadInput, match="soon") as caught, empty.act("Nia", "took in") as act:
        import_file(act, read_tbx(path))
    assert caught.value.where == f"merged.tbx, line {line}, item, in refObject redirect.{OTHER}, on"
    with empty.read() as reader:
        assert (reader.count(Entry), reader.count(Source)) == (0, 0)
    empty.close()
