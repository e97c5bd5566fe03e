"""Every field that has a column is exported in a table and imported again unchanged."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from exports.tables.cells import from_cell, to_cell
from exports.tables.columns import Rows, columns_of
from exports.tables.fields import FIELDS, SAYS_WHICH, field_at, record_at, table_fields
from exports.tables.importing import import_table, plan_table
from exports.tables.mapping import guess, remapped
from exports.tables.reading import Sheet, read_csv, read_xlsx
from exports.tables.writing import write_table
from termbase.acts import entries
from termbase.acts.sources import save_slip, save_source
from termbase.errors import BadInput
from termbase.fields.declarations import (
    Count,
    Date,
    DeclaredField,
    Flag,
    Language,
    Line,
    Lines,
    Member,
    Members,
    changed_by,
    field_of,
    fields_of,
)
from termbase.overviews.articles import Library
from termbase.record.entries import Entry, InflectedForm, Origin, Term
from termbase.record.sources import Slip, Source, SourceKind
from termbase.rules.files import BadRows
from termbase.store.engine import Store

TEXT = st.text(st.sampled_from("='+-@#\n \u00a0ab,;|:\\\"_x0041é́"), max_size=8)
FORMS = st.builds(InflectedForm, st.sampled_from(["plural", "a; b: c"]), st.sampled_from(["x", "y\\z"]))
ALL = [(record, field) for record in (Entry, Term, Slip) for field in table_fields(record)]


def any_value(field: DeclaredField) -> st.SearchStrategy[object]:
    """Any value of a field, as a person could enter it."""
    kind = field.is_a
    if field.of is InflectedForm:
        return st.lists(FORMS, max_size=2, unique=True).map(tuple)
    if isinstance(kind, Member):
        words = tuple(field.members) if field.members else field.words
        return st.sampled_from((None, *words) if field.optional else words)
    if isinstance(kind, Flag):
        return st.booleans()
    if isinstance(kind, Language):
        return st.sampled_from(["cy", "ga-Latg", "EN"])
    if isinstance(kind, Date):
        return st.sampled_from(["", "1889-05-12", "189X", "1897~"])
    return TEXT.map(lambda text: text + "w") if kind.needed else TEXT


def any_values(record: type) -> st.SearchStrategy[Mapping[str, object]]:
    return st.fixed_dictionaries({field.name: any_value(field) for field in table_fields(record)})


def out_and_in(store: Store, entry_id: str, folder: Path, suffix: str, rows: Rows) -> Entry:
    """Export a table of one entry and import it without its ids, as a new entry."""
    path = folder / f"a.{suffix}"
    with store.read() as reader:
        library = Library(reader)
        write_table(library, path, columns_of(library, rows), rows=rows, ids=[entry_id])
    sheet = read_xlsx(path) if suffix == "xlsx" else read_csv(path.read_bytes(), path.name)
    keys = guess(sheet.head).columns
    which = {n for n, key in enumerate(keys) if key in ("entry", "version", "name_id")}
    cells = [tuple("" if n in which else c for n, c in enumerate(row.cells)) for row in sheet.rows]
    without_ids = replace(
        sheet, rows=tuple(replace(row, cells=c) for row, c in zip(sheet.rows, cells, strict=True))
    )
    path.unlink()
    with store.act("Nia", "took in a table") as act:
        (made,) = import_table(act, plan_table(act, without_ids, guess(sheet.head)))
    return made


def flat(record: type, of: object) -> dict[str, object]:
    return {field.name: getattr(of, field.name) for field in table_fields(record)}


@pytest.mark.parametrize("suffix", ["csv", "xlsx"])
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(of_entry=any_values(Entry), of_name=any_values(Term))
def test_exported_entries_and_names_import_unchanged(
    store: Store, tmp_path: Path, suffix: str, of_entry: Mapping[str, object], of_name: Mapping[str, object]
) -> None:
    name = changed_by(Term("", "", "", Origin.COINED), of_name)
    with store.act("Nia", "created an entry") as act:
        before = entries.save(act, changed_by(Entry("", terms=(name,)), of_entry))
    after = out_and_in(store, before.id, tmp_path, suffix, "names")
    assert after.id != before.id
    assert flat(Entry, after) == flat(Entry, before)
    assert flat(Term, after.terms[0]) == flat(Term, before.terms[0])


@pytest.mark.parametrize("suffix", ["csv", "xlsx"])
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(of_slip=any_values(Slip))
def test_exported_slips_import_unchanged(
    store: Store, tmp_path: Path, suffix: str, of_slip: Mapping[str, object]
) -> None:
    with store.act("Nia", "made a slip") as act:
        entry = entries.save(act, Entry("", terms=(Term("", "bachiad", "cy", Origin.COINED),)))
        source = act.all(Source)[0] if act.count(Source) else save_source(act, source_of("Éigse 1898"))
        slip = changed_by(Slip("", source.id, "", term_id=entry.terms[0].id), of_slip)
        before = save_slip(act, slip)
    after = out_and_in(store, entry.id, tmp_path, suffix, "slips")
    with store.read() as reader:
        ((made,),) = reader.slips_of((after,)).values()
    assert made.source_id == source.id
    assert flat(Slip, made) == flat(Slip, before)


def source_of(label: str) -> Source:
    return Source("", label, SourceKind.OTHER, label)


@pytest.mark.parametrize("key", FIELDS)
def test_key_and_heading_of_a_field_are_found(key: str) -> None:
    assert guess([key]).columns == (key,)
    assert guess([field_at(key).heading.title()]).columns == (key,)


@pytest.mark.parametrize("record", [Entry, Term, Slip])
def test_every_field_that_fits_in_a_cell_has_a_column(record: type) -> None:
    """Fields without one are internal, refer to another record, or are lists of records."""
    without = {f.name for f in fields_of(record)} - {f.name for f in table_fields(record)}
    without -= {field_at(key).name for key in SAYS_WHICH if record_at(key) is record}
    assert (
        without
        == {
            Entry: {
                *("terms", "definitions", "technique", "relations", "analogues", "figures", "rulings"),
                *("foreign_notes", "language_reading", "practice_reading"),
                *("created_by", "created_on", "changed_by", "changed_on"),
            },
            Term: {"foreign_notes"},
            Slip: {"id", "image_id", "term_id", "joined_to", "version"},
        }[record]
    )


CLOSED = [(record, field) for record, field in ALL if isinstance(field.is_a, Member | Flag)]


@pytest.mark.parametrize("field", [pytest.param(f, id=f"{r.__name__}.{f.name}") for r, f in CLOSED])
def test_a_value_outside_its_closed_list_is_reported_at_its_cell(store: Store, field: DeclaredField) -> None:
    head = ["name", "language", "source", "quotation", field.column]
    text = f"{','.join(head)}\na,cy,,,\nb,cy,A,b,dreamt\n"
    sheet = read_csv(text.encode(), "a.csv")
    with store.read() as reader, pytest.raises(BadRows) as raised:
        plan_table(reader, sheet, guess(sheet.head))
    (row,) = raised.value.rows
    assert row.where == f"a.csv, line 3, column 5 “{field.column}”"
    assert "'dreamt'" in row.what
    for word in filter(None, field.words or ("yes", "no")):
        assert word in row.fix


@pytest.mark.parametrize(("key", "value"), [("origin", "dreamt"), ("certainty", "sure"), ("language", "e!")])
def test_an_invalid_default_value_is_reported_once(store: Store, key: str, value: str) -> None:
    sheet = read_csv(b"name,language\na,cy\nb,cy\n", "a.csv")
    mapping = remapped(guess(sheet.head), sheet.head, (), (f"{key}={value}",))
    with store.read() as reader, pytest.raises(BadInput) as raised:
        plan_table(reader, sheet, mapping)
    assert not isinstance(raised.value, BadRows)
    assert raised.value.where.startswith("for all rows")


def test_an_invalid_value_is_reported_at_the_row_and_column_of_the_name(store: Store) -> None:
    text = f"entry,name,language,region,page,source,quotation\nx,a,cy,,,,\nx,b,cy,{'r' * 2_001},,,\n"
    text += f"y,c,cy,,{'p' * 2_001},A,c\n"
    sheet = read_csv(text.encode(), "a.csv")
    with store.read() as reader, pytest.raises(BadRows) as raised:
        plan_table(reader, sheet, guess(sheet.head))
    assert [row.where for row in raised.value.rows] == [
        "a.csv, line 3, column 4 “region”",
        "a.csv, line 4, column 5 “page”",
    ]


def test_an_invalid_definition_is_reported_in_its_own_column(store: Store) -> None:
    sheet = read_csv(f"name,language,definition (cy)\nx,en,{'d' * 50_001}\n".encode(), "a.csv")
    with store.read() as reader, pytest.raises(BadRows) as raised:
        plan_table(reader, sheet, guess(sheet.head))
    assert [row.where for row in raised.value.rows] == ["a.csv, line 2, column 3 “definition (cy)”"]


def imported(store: Store, sheet: Sheet) -> tuple[Entry, ...]:
    with store.act("Nia", "took in a table") as act:
        return import_table(act, plan_table(act, sheet, guess(sheet.head, ("cy", "en"))))


def test_a_value_for_the_only_name_of_a_row_is_imported(store: Store) -> None:
    (made,) = imported(store, read_csv(b"Welsh,Gender,Region\nbachiad,masculine,upper vale\n", "a.csv"))
    assert (str(made.terms[0].gender), made.terms[0].region) == ("masculine", "upper vale")


def test_a_value_for_one_of_several_names_is_an_error_of_the_row(store: Store) -> None:
    sheet = read_csv(b"Welsh,English,Gender\nclo,lock,\nbachiad,hook,masculine\n", "a.csv")
    with pytest.raises(BadRows) as raised:
        imported(store, sheet)
    assert [row.where for row in raised.value.rows] == ["a.csv, line 3, column 3 “Gender”"]


def test_a_declared_field_gets_a_column_automatically() -> None:
    @dataclass(frozen=True)
    class More(Term):
        speech: Annotated[str, Line("manner of speech")] = ""
        seen: Annotated[int | None, Count(heading="times seen")] = None
        tongues: Annotated[tuple[str, ...], Lines(language=True)] = ()
        ages: Annotated[tuple[Origin, ...], Members()] = ()

    new = [field for field in table_fields(More) if field not in table_fields(Term)]
    assert [field.heading for field in new] == ["speech", "times seen", "tongues", "ages"]
    held = ("a | b", 12, ("cy", "ga-Latg"), (Origin.COINED, Origin.IN_USE))
    for field, value in zip(new, held, strict=True):
        assert from_cell(field, str(to_cell(field, value))) == value
    for name, text in (("seen", "many"), ("ages", "coined | dreamt"), ("tongues", "cy | e!")):
        with pytest.raises(BadInput):
            from_cell(field_of(More, name), text)
