"""Entries exported as tables and imported again."""

import csv
import zipfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from exports.tables.cells import forms_in, forms_text, names_cell, names_in_cell
from exports.tables.columns import chosen, columns_of_entries, columns_of_names
from exports.tables.importing import TablePlan, import_table, plan_table
from exports.tables.mapping import Mapping, guess, remapped
from exports.tables.reading import Sheet, read_csv, read_xlsx
from exports.tables.writing import csv_lines, inert, restored, write_table
from termbase.acts.entries import save
from termbase.errors import BadInput
from termbase.importing.records import State
from termbase.overviews.articles import Library
from termbase.record.entries import Definition, Entry, InflectedForm, Origin, Term, Topic
from termbase.rules.files import BadRows
from termbase.store.engine import Store

TRICKY = st.text(st.sampled_from("='+-@\t\n \u00a0＝ab,\"|\\:;é"), max_size=6)


@given(text=TRICKY)
def test_inert_cells_are_restored(text: str) -> None:
    assert restored(inert(text)) == text
    assert not inert(text).lstrip(" \u00a0").startswith(("=", "+", "-", "@", "\t", "\n", "＝"))


@given(rows=st.lists(st.tuples(TRICKY, TRICKY.map(lambda t: t + "x")), max_size=4))
def test_any_rows_survive_csv(rows: list[tuple[str, str]]) -> None:
    text = "".join(csv_lines(("one", "two"), rows))
    assert [row.cells for row in read_csv(text.encode(), "a.csv").rows] == rows


@given(names=st.lists(TRICKY.map(str.strip).filter(bool), max_size=4))
def test_names_in_one_cell_round_trip(names: list[str]) -> None:
    assert list(names_in_cell(names_cell(names))) == names


@given(
    forms=st.lists(
        st.builds(InflectedForm, TRICKY.map(str.strip).filter(bool), TRICKY.map(str.strip).filter(bool)),
        max_size=3,
    ).map(tuple)
)
def test_forms_in_one_cell_round_trip(forms: tuple[InflectedForm, ...]) -> None:
    assert forms_in(forms_text(forms)) == forms


def written(store: Store, path: Path, *keys: str, rows: str = "names") -> Path:
    with store.read() as reader:
        library = Library(reader)
        every = columns_of_names(library) if rows == "names" else columns_of_entries(library)
        write_table(library, path, chosen(every, keys), rows=rows)  # type: ignore[arg-type]
    return path


def read(path: Path) -> Sheet:
    return read_xlsx(path) if path.suffix == ".xlsx" else read_csv(path.read_bytes(), path.name)


def planned(store: Store, sheet: Sheet, *asked: str, defaults: tuple[str, ...] = ()) -> TablePlan:
    with store.read() as reader:
        mapping = remapped(guess(sheet.head, ("en", "cy")), sheet.head, asked, defaults)
        return plan_table(reader, sheet, mapping)


def imported(store: Store, sheet: Sheet, *asked: str, defaults: tuple[str, ...] = ()) -> tuple[Entry, ...]:
    with store.act("Nia", "took in a table") as act:
        mapping = remapped(guess(sheet.head, ("en", "cy")), sheet.head, asked, defaults)
        return import_table(act, plan_table(act, sheet, mapping))


def table(text: str) -> Sheet:
    return read_csv(text.encode(), "a.csv")


@pytest.mark.parametrize("rows", ["names", "entries"])
@pytest.mark.parametrize("suffix", ["csv", "xlsx"])
def test_an_exported_termbase_imports_unchanged(
    filled: Store, tmp_path: Path, suffix: str, rows: str
) -> None:
    plan = planned(filled, read(written(filled, tmp_path / f"a.{suffix}", rows=rows)))
    assert [each.state for each in plan.entries] == [State.SAME, State.SAME]
    mapped = dict(plan.columns)
    assert mapped["editor's note"] == "editor_note"
    assert mapped["ready"] == ""


@pytest.mark.parametrize("rows", ["names", "entries"])
def test_languages_that_the_termbase_does_not_list_have_columns_too(
    filled: Store, tmp_path: Path, rows: str
) -> None:
    with filled.act("Nia", "created an entry") as act:
        terms = (Term("", "fall", "en", Origin.IN_USE), Term("", "leagan", "ga", Origin.IN_USE))
        made = save(act, Entry("", None, terms, definitions=(Definition("gd", "tuiteam"),)))
    sheet = read(written(filled, tmp_path / "a.csv", rows=rows))
    (row, *_) = [dict(zip(sheet.head, r.cells, strict=True)) for r in sheet.rows if r.cells[0] == made.id]
    assert row["definition (gd)"] == "tuiteam"
    assert rows == "names" or row["names (ga)"] == "leagan"
    assert {each.state for each in planned(filled, sheet).entries} == {State.SAME}


def test_every_field_of_a_name_imports_unchanged(filled: Store, tmp_path: Path) -> None:
    sheet = read(written(filled, tmp_path / "a.xlsx"))
    keys = [*sheet.head]
    rows = [
        type(row)(row.number, tuple(_blank(k, c) for k, c in zip(keys, row.cells, strict=True)))
        for row in sheet.rows
    ]
    new = Sheet(sheet.name, sheet.head, tuple(rows), sheet.place)  # as entries that do not exist here
    made = imported(filled, new)
    with filled.read() as reader:
        first = reader.get(Entry, "c0001")
    for before, after in zip(first.terms, made[0].terms, strict=True):
        assert after.id != before.id
        assert after.__dict__ | {"id": ""} == before.__dict__ | {"id": ""}
    assert (made[0].topic, made[0].definitions, made[0].editor_note) == (
        first.topic, first.definitions, first.editor_note,
    )  # fmt: skip


def test_witnesses_and_years_agree_with_the_scale_in_every_row_of_the_demo(
    demo_store: Store, tmp_path: Path
) -> None:
    path = written(demo_store, tmp_path / "a.csv", "evidence", "witnesses", "first", "last")
    rows = list(csv.DictReader(path.read_text("utf-8-sig").splitlines()))

    counts = {row["evidence of the name"]: set[bool]() for row in rows}
    for row in rows:
        number = int(row["independent witnesses"])
        used = row["evidence of the name"].startswith("in use")
        assert used == (number > 0)
        assert used or not (row["first witness"] or row["last witness"])
        counts[row["evidence of the name"]].add(number > 1)

    assert counts["in use by several witnesses"] == {True}
    assert counts["in use by one witness"] == counts["quoted"] == counts["word-list only"] == {False}


def _blank(title: str, cell: str | BadInput) -> str | BadInput:
    if title in ("version", "name id"):
        return ""
    return f"new {cell}" if title == "entry" else cell


def test_xlsx_holds_text_that_no_spreadsheet_runs(filled: Store, tmp_path: Path) -> None:
    path = written(filled, tmp_path / "a.xlsx", "name", "editor_note")
    cells = [cell for row in load_workbook(path).worksheets[0].iter_rows() for cell in row]
    formula = next(cell for cell in cells if cell.value == "=bachu+1")
    assert formula.data_type == "s"
    assert formula.quotePrefix
    with zipfile.ZipFile(path) as archive:
        assert b"<f>" not in b"".join(archive.read(n) for n in archive.namelist() if "sheet" in n)
        # ECMA-376 part 1, ST_Xstring: `_x0041_` would be read as A
        assert b"_x005F_x0041_" in b"".join(archive.read(n) for n in archive.namelist())


def test_columns_can_be_chosen_and_renamed(filled: Store, tmp_path: Path) -> None:
    path = written(filled, tmp_path / "a.csv", "name=Enw", "language", "definition:en", "witnesses")
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    assert rows[0] == ["Enw", "language", "definition (en)", "independent witnesses"]
    assert rows[1] == ["bachiad", "cy", 'A "trip", with the heel.', "0"]
    assert rows[2][0] == "'=bachu+1"


@pytest.mark.parametrize("asked", [("nothing",), ("name=a", "language=a")])
def test_invalid_columns_are_rejected(filled: Store, asked: tuple[str, ...]) -> None:
    with filled.read() as reader, pytest.raises(BadInput):
        chosen(columns_of_names(Library(reader)), asked)


@pytest.mark.parametrize(
    ("heading", "key"),
    [
        ("Term", "name"),
        ("Part of Speech", "part_of_speech"),
        ("Definition (EN)", "definition:en"),
        ("definition:cy", "definition:cy"),
        ("cy", "names:cy"),
        ("Welsh", "names:cy"),
        ("Names (ga-Latg)", "names:ga-Latg"),
        ("evidence of the name", ""),
        ("my own column", ""),
    ],
)
def test_headings_are_guessed(heading: str, key: str) -> None:
    assert guess([heading], ("en", "cy")).columns == (key,)


def test_a_list_of_two_languages_becomes_entries(filled: Store) -> None:
    sheet = table("English,Welsh,Subject\nlock,clo | cload,hold\nkick,cic,kick\n")
    made = imported(filled, sheet, defaults=("origin=word-list",))
    assert [[t.text for t in e.terms] for e in made] == [["lock", "clo", "cload"], ["kick", "cic"]]
    assert [e.id for e in made] == ["c0003", "c0004"]
    assert {t.origin for e in made for t in e.terms} == {Origin.WORD_LIST}
    assert [e.topic for e in made] == [Topic.HOLD, Topic.KICK]


def test_only_fields_with_a_column_change(filled: Store) -> None:
    sheet = table("entry,name,language,region\nc0001,bachiad,cy,upper vale\n")
    plan = planned(filled, sheet)
    assert [(d.field, d.before, d.after) for d in plan.entries[0].differences] == [
        ("name “bachiad”, region", "", "upper vale")
    ]
    (changed,) = imported(filled, sheet)
    assert len(changed.terms) == 3
    assert changed.terms[0].forms
    assert changed.definitions


def test_an_empty_cell_clears_its_field(filled: Store) -> None:
    sheet = table("entry,topic,name,language,note on the name,definition (en)\nc0001,,bachiad,cy,,\n")
    (changed,) = imported(filled, sheet)
    assert changed.topic is None
    assert changed.terms[0].usage_note == ""
    assert changed.definitions == ()


def test_rows_with_the_same_unknown_key_create_one_entry_with_a_new_id(filled: Store) -> None:
    sheet = table("id,name,language,topic\nx7,lock,en,hold\nx7,clo,cy,\nx8,hank,en,hold\n")
    made = imported(filled, sheet, defaults=("origin=coined",))
    assert [(e.id, len(e.terms), e.topic) for e in made] == [
        ("c0003", 2, Topic.HOLD),
        ("c0004", 1, Topic.HOLD),
    ]


def test_every_invalid_row_is_reported_with_line_and_column_and_none_is_imported(filled: Store) -> None:
    sheet = table(
        "entry,version,name id,name,language,origin,topic,status\n"
        "c0001,1,,fine,cy,coined,trip,\n"
        'c0001,1,,"two\nlines",cy,dreamt,trip,\n'
        "c0001,1,t99,x,cy,coined,trip,\n"
        ",,,x,,coined,trip,\n"
        ",,,,cy,coined,trip,admitted\n"
        "c0099,3,,gone,cy,coined,trip,\n"
        "c0002,7,,late,cy,coined,trip,\n"
        "n1,,,a,cy,coined,hold,\n"
        "n1,,,b,cy,coined,kick,\n"
        "n2,,,a,cy,coined,hold,preferred\n"
        "n2,,,b,cy,coined,hold,preferred\n"
    )
    with pytest.raises(BadRows) as raised:
        planned(filled, sheet)
    assert [row.where for row in raised.value.rows] == [
        "a.csv, line 3, column 6 “origin”",
        "a.csv, line 5, column 3 “name id”",
        "a.csv, line 6, column 5 “language”",
        "a.csv, line 7, column 4 “name”",
        "a.csv, line 8, column 1 “entry”",
        "a.csv, line 9, column 2 “version”",
        "a.csv, line 11, column 7 “topic”",
        "a.csv, line 13, column 8 “status”",
    ]
    assert all(row.what and row.fix for row in raised.value.rows)
    with filled.act("Nia", "took in a table") as act, pytest.raises(BadRows):
        plan_table(act, sheet, guess(sheet.head))
    with filled.read() as reader:
        assert reader.count(Entry) == 2


@pytest.mark.parametrize(
    "text",
    ["", "\n\n", 'a,"b\nc', "a\n\x00", "name,language\nx,cy,too,many\n", "colour\nred\n", "name\nx\n"],
)
def test_a_table_without_names_is_rejected(filled: Store, text: str) -> None:
    with pytest.raises(BadInput) as raised:
        planned(filled, table(text))
    assert "a.csv" in str(raised.value)


@pytest.mark.parametrize("between", [",", ";", "\t"])
def test_the_delimiter_is_found(between: str) -> None:
    sheet = table(between.join(("name", "language")) + "\n" + between.join(("lock", "en")) + "\n")
    assert sheet.head == ("name", "language")


def test_non_text_spreadsheet_cells_are_reported(filled: Store, tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (
        ("name", "language", "origin", "mine"),
        ("=1+1", "cy", "coined", "=2"),
        (1898, "cy", "coined", 2.0),
    ):
        sheet.append(row)
    book.save(tmp_path / "a.xlsx")
    with pytest.raises(BadRows) as raised:
        planned(filled, read_xlsx(tmp_path / "a.xlsx"))
    assert [row.where for row in raised.value.rows] == ["a.xlsx, cell A2 “name”"]
    assert read_xlsx(tmp_path / "a.xlsx").rows[1].cells == ("1898", "cy", "coined", "2")


@pytest.mark.parametrize("content", [b"", b"no zip", b"PK\x03\x04 cut"])
def test_a_file_that_is_not_xlsx_is_rejected(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "a.xlsx").write_bytes(content)
    with pytest.raises(BadInput):
        read_xlsx(tmp_path / "a.xlsx")


def test_a_zip_that_is_not_a_workbook_is_rejected(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "a.xlsx", "w") as archive:
        archive.writestr("[Content_Types].xml", "<a/>")
    with pytest.raises(BadInput):
        read_xlsx(tmp_path / "a.xlsx")


@pytest.mark.parametrize(
    ("asked", "defaults"),
    [
        (("colour=name",), ()),
        (("name=colour",), ()),
        (("name",), ()),
        (("language=name",), ()),
        (("name=evidence",), ()),
        ((), ("origin",)),
        ((), ("colour=red",)),
    ],
)
def test_an_invalid_mapping_is_rejected(asked: tuple[str, ...], defaults: tuple[str, ...]) -> None:
    head = ("name", "language")
    with pytest.raises(BadInput) as raised:
        remapped(guess(head), head, asked, defaults)
    assert raised.value.fix


def test_a_column_can_be_mapped_by_position_and_ignored() -> None:
    head = ("a", "name")
    assert remapped(guess(head), head, ("1=region", "name=")) == Mapping(("region", ""))


@settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
@given(text=st.text(st.sampled_from('nameltypg,;\t"\n\r= '), max_size=40))
def test_any_text_is_a_table_or_rejected(text: str) -> None:
    try:
        sheet = read_csv(text.encode(), "a.csv")
    except BadInput:
        return
    assert sheet.head
