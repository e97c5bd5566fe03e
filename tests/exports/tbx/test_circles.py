"""A circle of broader entries: left out and reported on import, found by Proof, reported by the SKOS
export."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from app.cli import main
from exports.skos.writer import write_skos
from exports.tbx.reader import read_tbx
from exports.tbx.writer import write_tbx
from termbase.importing.planning import plan
from termbase.importing.records import Choice
from termbase.importing.taking import import_file
from termbase.overviews.articles import Library
from termbase.proofing.checks import proof
from termbase.record.entries import Entry, Origin, Relation, RelationKind, Term
from termbase.record.people import Termbase
from termbase.store.engine import Store

HEAD = """<tbx xmlns="urn:iso:std:iso:30042:ed-2" type="TBX-Basic" style="dca" xml:lang="en">
<tbxHeader><fileDesc><sourceDesc><p>Made.</p></sourceDesc></fileDesc></tbxHeader>
<text><body>
"""
ENTRY = (
    '<conceptEntry id="{id}"><ref type="crossReference" target="{above}">broader: it</ref>'
    '<langSec xml:lang="en"><termSec><term>{name}</term></termSec></langSec></conceptEntry>\n'
)


def file_of(path: Path, *links: tuple[str, str]) -> Path:
    entries = "".join(ENTRY.format(id=i, above=above, name=f"name {i}") for i, above in links)
    path.write_text(f"{HEAD}{entries}</body></text></tbx>\n", encoding="utf-8")
    return path


def broader(store: Store) -> set[tuple[str, str]]:
    with store.read() as reader:
        return {
            (e.id, r.target_id)
            for e in reader.all(Entry)
            for r in e.relations
            if r.kind is RelationKind.BROADER
        }


def test_a_circle_within_a_file_loses_its_closing_link_and_the_report_names_it(
    store: Store, tmp_path: Path
) -> None:
    path = file_of(tmp_path / "circle.tbx", ("c1", "c2"), ("c2", "c3"), ("c3", "c1"))
    with store.read() as reader:
        planned = plan(reader, read_tbx(path, origin=Origin.WORD_LIST))
    with store.act("Nia", "took it in") as act:
        taken = import_file(act, read_tbx(path, origin=Origin.WORD_LIST))
    assert broader(store) == {("c1", "c2"), ("c2", "c3")}
    for report in (planned, taken):
        (left_out,) = report.circled
        assert (left_out.entry_id, left_out.broader_id, left_out.place) == ("c3", "c1", "line 6")
        assert left_out.readable().startswith("line 6, c3 “name c3”: its relation to the broader entry c1 ")


def test_a_circle_between_a_file_and_the_termbase_is_not_closed(store: Store, tmp_path: Path) -> None:
    first = file_of(tmp_path / "first.tbx", ("c1", "c2"), ("c2", "c9"), ("c9", "c8"), ("c8", "c8"))
    second = file_of(tmp_path / "second.tbx", ("c1", "c2"), ("c2", "c1"))
    for path, choice in ((first, Choice()), (second, Choice(changed=True))):
        with store.act("Nia", "took it in") as act:
            taken = import_file(act, read_tbx(path, origin=Origin.WORD_LIST), choice)
    assert broader(store) == {("c1", "c2"), ("c2", "c9"), ("c9", "c8")}
    assert [(c.entry_id, c.broader_id) for c in taken.circled] == [("c2", "c1")]


def test_the_command_says_which_link_it_left_out(tmp_path: Path) -> None:
    db = str(tmp_path / "a.sqlite")
    Store.create(db, Termbase("Empty", vernaculars=("cy",)), by="Nia").close()
    path = file_of(tmp_path / "circle.tbx", ("c1", "c2"), ("c2", "c1"))
    result = CliRunner().invoke(main, ["import", "tbx", str(path), "--origin", "word-list", "--db", db])
    assert result.exit_code == 0
    assert "c2 “name c2”: its relation to the broader entry c1 was left out" in result.output


@pytest.fixture
def circle(store: Store) -> Store:
    """A termbase with a stored circle, as earlier versions could import it."""
    with store.act("Nia", "made them") as act:
        for number in (1, 2, 3):
            name = Term(act.new_id("term"), f"name {number}", "en", Origin.WORD_LIST)
            act.add(Entry(act.new_id("entry"), terms=(name,)))
    ring = {"c0001": "c0002", "c0002": "c0003", "c0003": "c0001"}
    with store.act("Nia", "closed it") as act:
        for entry_id, above in ring.items():
            entry = act.get(Entry, entry_id)
            relations = (Relation(RelationKind.BROADER, above),)
            act.put(Entry(entry_id, terms=entry.terms, relations=relations, version=entry.version))
    return store


def test_proof_finds_a_circle_that_is_stored(circle: Store) -> None:
    with circle.read() as reader:
        (found,) = (f for f in proof(Library(reader)) if f.check == "broader-circle")
    assert (found.record_id, found.other_id) == ("c0003", "c0001")
    assert "c0001 “name 1” → c0002 “name 2” → c0003 “name 3” → c0001 “name 1”" in found.what


def test_linked_data_says_which_link_it_leaves_out(circle: Store, tmp_path: Path) -> None:
    with circle.read() as reader:
        report = write_skos(Library(reader), tmp_path / "a.ttl")
    assert report.left_out_broader == (("c0003", "c0001"),)
    assert "c0003, broader: c0001" in report.warnings()[0]


def test_our_own_file_with_a_circle_is_imported_without_the_closing_link(
    circle: Store, tmp_path: Path
) -> None:
    with circle.read() as reader:
        write_tbx(Library(reader), tmp_path / "a.tbx", dialect="wordhold")
    other = Store.create(str(tmp_path / "other.db"), Termbase("Other"), by="Nia")
    with other.act("Nia", "took it in") as act:
        taken = import_file(act, read_tbx(tmp_path / "a.tbx"))
    assert [(c.entry_id, c.broader_id) for c in taken.circled] == [("c0003", "c0001")]
    other.close()
