"""An empty termbase is filled from a file without its indexes; afterwards it is like any other."""

from pathlib import Path

import pytest
from sqlalchemy import inspect

from exports.tbx.reader import read_tbx
from exports.tbx.writer import write_tbx
from termbase.demo.loading import fill, load
from termbase.errors import BadInput
from termbase.importing.taking import import_file
from termbase.overviews.articles import Library
from termbase.record.entries import Entry
from termbase.search.finding import find
from termbase.store.engine import Store


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("own")
    store = fill(str(folder / "demo.db"), load())
    with store.read() as reader:
        write_tbx(Library(reader), folder / "own.tbx", dialect="wordhold")
    store.close()
    return folder / "own.tbx"


def indexes(store: Store) -> set[tuple[str, str]]:
    found = inspect(store.engine)
    return {(t, str(i["name"])) for t in found.get_table_names() for i in found.get_indexes(t)}


def test_an_imported_database_has_all_indexes_finds_names_and_can_be_emptied(store: Store, own: Path) -> None:
    before = indexes(store)
    with store.act("Nia", "took it in") as act:
        import_file(act, read_tbx(own))
    assert indexes(store) == before
    with store.read() as reader:
        entries = reader.all(Entry)
        term = entries[0].terms[0]
        assert entries[0].id in {hit.entry_id for hit in find(reader, term.text)}
        write_tbx(Library(reader), own.with_name("again.tbx"), dialect="wordhold")
    assert own.with_name("again.tbx").read_bytes() == own.read_bytes()


def test_an_error_far_down_leaves_all_indexes_and_no_data(store: Store, own: Path, tmp_path: Path) -> None:
    before = indexes(store)
    text = own.read_text("utf-8")
    place = text.rindex("<wh:origin>")
    (tmp_path / "bad.tbx").write_text(
        text[:place] + "<wh:origin>hearsay, " + text[place + 11 :], encoding="utf-8"
    )
    with pytest.raises(BadInput, match="hearsay"), store.act("Nia", "tried") as act:
        import_file(act, read_tbx(tmp_path / "bad.tbx"))
    assert indexes(store) == before
    with store.read() as reader:
        assert reader.count(Entry) == 0
