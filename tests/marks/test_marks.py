"""Every field of every record is found in every output, or listed as left out.

A field added to a record is tested here automatically: the test fails until each output contains it or gives
a reason. It also fails for a field that is listed as left out but found, so that the tables stay correct.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from app.fieldtable import FILE, TABLES, field_table
from exports.backup.reading import restore
from exports.backup.writing import write_backup
from exports.losses import reason_for
from exports.tbx.reader import read_tbx
from exports.tbx.writer import write_tbx
from termbase.importing.taking import import_file
from termbase.record.entries import Entry, Term
from termbase.record.field_paths import FieldPath, paths_of
from termbase.record.people import Termbase
from termbase.store.engine import Store
from termbase.store.reading import Reader
from termbase.store.rows import KINDS, kind_of
from termbase.store.writing import PREFIX, Act
from tests.marks.filling import CONSTANT, Filled, filled
from tests.marks.outputs import OUTPUTS
from tests.marks.seeking import DATA, Bench

SEARCHED = [name for name, output in OUTPUTS.items() if output.searched]
CHOSEN = [name for name, output in OUTPUTS.items() if output.chosen]


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    made = Bench(tmp_path_factory.mktemp("marks"))
    yield made
    made.store.close()


def names_of(paths: set[FieldPath]) -> list[str]:
    """Return the names of fields as used in tables, in the shortest form."""
    return sorted({path.names[-1] for path in paths})


def test_every_field_of_every_record_has_a_mark_or_is_a_choice() -> None:
    marked = filled()
    every = {path for kind in KINDS.values() for path in paths_of(kind.cls)}
    without = every - {*marked.marks, *marked.choices, DATA}

    assert {path for path in without if not path.covered_by(CONSTANT)} == set()


@pytest.mark.parametrize("name", SEARCHED)
def test_every_mark_is_found_or_left_out_with_a_reason(name: str, bench: Bench) -> None:
    output = OUTPUTS[name]
    shown = bench.found(output)

    assert names_of({p for p in bench.fields - shown if not reason_for(p, output.left_out)}) == []
    assert names_of({p for p in shown if reason_for(p, output.left_out)}) == []


@pytest.mark.parametrize("name", CHOSEN)
def test_choices_that_are_left_out_make_no_difference(name: str, bench: Bench) -> None:
    output = OUTPUTS[name]
    left: dict[tuple[str, ...], set[FieldPath]] = defaultdict(set)
    for paths in bench.base.groups.values():
        if reason_for(paths[0], output.left_out):
            left[bench.emptied(output, paths)].update(paths)

    assert [names_of(paths) for paths in left.values() if bench.differing([output], paths)] == []


@pytest.mark.parametrize("group", [*filled().groups])
def test_each_choice_makes_a_difference_unless_left_out(group: str, bench: Bench) -> None:
    paths = bench.base.groups[group]
    held = [OUTPUTS[n] for n in CHOSEN if not reason_for(paths[0], OUTPUTS[n].left_out)]

    assert bench.differing(held, paths) == {output.name for output in held}


@pytest.mark.parametrize("name", OUTPUTS)
def test_each_row_of_a_table_names_a_field(name: str) -> None:
    left_out = OUTPUTS[name].left_out
    every = {path for kind in KINDS.values() for path in paths_of(kind.cls)}

    assert sorted(set(left_out) - {path.covered_by(left_out) for path in every}) == []


def test_the_documentation_has_a_column_for_each_output_and_is_up_to_date() -> None:
    kept = {id(left_out) for left_out in TABLES.values() if left_out}
    same = TABLES["BibTeX, RIS"]

    assert {id(o.left_out) for o in OUTPUTS.values() if o.left_out and o.left_out != same} == kept - {
        id(same)
    }
    assert FILE.read_text("utf-8") == field_table(), "run python -m app.fieldtable"


@pytest.mark.parametrize("other", [False, True], ids=["as filled", "other choices"])
def test_a_backup_restores_every_record_unchanged(other: bool, bench: Bench, tmp_path: Path) -> None:
    records = filled(bench.base.choices if other else ())
    with bench.library(records) as library:
        assert isinstance(library.reader, Act)
        for kind, record_id in ids_given(records):
            library.reader.count_past(kind, record_id)
        library.reader.flush()
        write_backup(library.reader, tmp_path / "kept.zip", made_on="2026-03-01")
    restore(tmp_path / "kept.zip", str(tmp_path / "again.sqlite"))
    again = Store.open(str(tmp_path / "again.sqlite"))

    with again.read() as reader:
        assert reader.termbase() == records.termbase
        assert everything(reader) == by_class(records.records)
    again.close()


@pytest.mark.parametrize("other", [False, True], ids=["as filled", "other choices"])
def test_our_own_dialect_restores_every_record_unchanged(other: bool, bench: Bench, tmp_path: Path) -> None:
    records = filled(bench.base.choices if other else ())
    with bench.library(records) as library:
        write_tbx(library, tmp_path / "whole.tbx", dialect="wordhold")
    again = Store.create(str(tmp_path / "again.sqlite"), Termbase("Another"), by="Nia")
    with again.act("Nia", "took it in") as act:
        import_file(act, read_tbx(tmp_path / "whole.tbx"))

    with again.read() as reader:
        assert everything(reader) == by_class(records.records)
    again.close()


def ids_given(records: Filled) -> Iterator[tuple[str, str]]:
    """The ids of records and names, with their kind, for the counters of the store."""
    terms = [term for record in records.records if isinstance(record, Entry) for term in record.terms]
    for record in (*records.records, *terms):
        kind = "term" if isinstance(record, Term) else kind_of(type(record))
        if kind in PREFIX:
            yield kind, str(getattr(record, "id"))  # noqa: B009


def by_class(records: Iterable[object]) -> dict[type, dict[str, object]]:
    """Return records by class and id."""
    found: dict[type, dict[str, object]] = {}
    for record in records:
        found.setdefault(type(record), {})[str(getattr(record, "id"))] = record  # noqa: B009
    return found


def everything(reader: Reader) -> dict[type, dict[str, object]]:
    """Return every record except the termbase's own."""
    kinds = (mapped.cls for kind, mapped in KINDS.items() if kind != "termbase")
    return by_class(record for cls in kinds for record in reader.all(cls))
