"""Importing a table in the browser: mapping columns, preview, choosing, importing."""

import re
import zipfile
from dataclasses import replace
from io import BytesIO

import pytest
from flask.testing import FlaskClient
from openpyxl import Workbook
from werkzeug.test import TestResponse

from termbase.acts import entries as entry_acts
from termbase.record.entries import Entry, Origin, Status, Term
from termbase.store.engine import Store

CSV = "English,Welsh,Remark,topic\nbelt,gwregys,x,stance\nback heel,sawdl ôl,y,trip\n"
DEFAULTS = {"default-origin": "word-list", "default-language": "", "default-topic": ""}
COLUMNS = {"column-0": "names:en", "column-1": "names:cy", "column-2": "", "column-3": "topic"}


def upload(client: FlaskClient, content: bytes, name: str = "list.csv", **more: str) -> TestResponse:
    return client.post("/exchange", data={"file": (BytesIO(content), name), **more})


def workbook(*rows: tuple[object, ...], second: tuple[object, ...] = ()) -> bytes:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Names"
    for row in rows:
        sheet.append(row)
    if second:
        book.create_sheet("Others").append(second)
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def mapped(client: FlaskClient, content: str = CSV, **more: str) -> TestResponse:
    place = upload(client, content.encode()).location
    return client.post(place, data={**COLUMNS, **DEFAULTS, **more})


def names(store: Store) -> list[tuple[str, str]]:
    with store.read() as reader:
        return [(t.text, t.language) for e in reader.all(Entry) for t in e.terms]


def made(store: Store, *terms: Term) -> Entry:
    with store.act("Gwen", "made it") as act:
        return entry_acts.save(act, Entry("", terms=terms))


def test_the_columns_are_guessed_and_shown_with_their_first_rows(client: FlaskClient, store: Store) -> None:
    answer = upload(client, CSV.encode())
    assert answer.status_code == 303
    page = client.get(answer.location).text
    assert re.search(r'value="names:en" selected', page)
    assert re.search(r'value="topic" selected', page)
    assert "gwregys" in page
    assert "sawdl ôl" in page
    assert names(store) == []


def test_a_table_is_previewed_then_imported_in_one_act_and_can_be_undone(
    client: FlaskClient, store: Store
) -> None:
    answer = mapped(client)
    assert answer.status_code == 303
    page = client.get(answer.location).text
    assert "belt" in page
    assert "Ignored columns: Remark." in page
    assert names(store) == []
    done = client.post(answer.location, data={"take": "new"})
    assert done.status_code == 303
    assert names(store) == [("belt", "en"), ("gwregys", "cy"), ("back heel", "en"), ("sawdl ôl", "cy")]
    with store.read() as reader:
        (act,) = reader.last_acts(1)
    assert act.words == "imported list.csv"
    undo = re.search(r'action="(/undo/\d+)"', client.get(done.location).text)
    assert undo
    client.post(undo[1], data={"back": "/"})
    assert names(store) == []


def test_only_ticked_entries_are_imported(client: FlaskClient, store: Store) -> None:
    place = mapped(client).location
    keys = re.findall(r'name="entry" value="(\d+)"', client.get(place).text)
    client.post(place, data={"take": "ticked", "entry": keys[1]})
    assert names(store) == [("back heel", "en"), ("sawdl ôl", "cy")]


def test_ticking_nothing_is_reported_and_the_choice_stays(client: FlaskClient, store: Store) -> None:
    place = mapped(client).location
    answer = client.post(place, data={"take": "ticked"})
    assert answer.status_code == 400
    assert "No entries are ticked" in answer.text
    assert re.search(r'value="ticked" checked', answer.text)
    assert names(store) == []


def test_differences_are_shown_field_by_field_and_skipped_unless_requested(
    client: FlaskClient, store: Store
) -> None:
    entry = made(store, Term("", "belt", "en", Origin.COINED, status=Status.PREFERRED))
    table = f"entry,names (en),names (cy)\n{entry.id},belt,gwregys\nnew,strap,strapen\n"
    place = upload(client, table.encode()).location
    columns = {"column-0": "entry", "column-1": "names:en", "column-2": "names:cy"}
    place = client.post(place, data={**columns, **DEFAULTS}).location
    page = client.get(place).text
    assert re.search(r"<dt>name “gwregys”</dt>.*<ins>.*gwregys", page)
    client.post(place, data={"take": "new"})
    assert ("gwregys", "cy") not in names(store)
    assert ("strapen", "cy") in names(store)


def test_changed_records_replace_existing_ones_on_request(client: FlaskClient, store: Store) -> None:
    entry = made(store, Term("", "belt", "en", Origin.COINED))
    place = upload(client, f"entry,names (cy)\n{entry.id},gwregys\n".encode()).location
    place = client.post(place, data={"column-0": "entry", "column-1": "names:cy", **DEFAULTS}).location
    client.post(place, data={"take": "all"})
    assert names(store) == [("belt", "en"), ("gwregys", "cy")]


def test_an_entry_changed_in_the_meantime_is_shown_again_and_nothing_is_imported(
    client: FlaskClient, store: Store
) -> None:
    entry = made(store, Term("", "belt", "en", Origin.COINED))
    place = upload(client, f"entry,editor_note\n{entry.id},mine\n".encode()).location
    place = client.post(place, data={"column-0": "entry", "column-1": "editor_note", **DEFAULTS}).location
    with store.act("Owain", "changed it") as act:
        entry_acts.save(act, replace(entry, editor_note="theirs"))
    answer = client.post(place, data={"take": "all"})
    assert answer.status_code == 409
    assert "changed in the meantime" in answer.text
    assert "<del>theirs</del> <ins>mine</ins>" in answer.text
    with store.read() as reader:
        assert reader.get(Entry, entry.id).editor_note == "theirs"
    client.post(place, data={"take": "all"})
    with store.read() as reader:
        assert reader.get(Entry, entry.id).editor_note == "mine"


def test_names_without_an_origin_are_not_stated(client: FlaskClient, store: Store) -> None:
    place = mapped(client, **{"default-origin": ""}).location
    client.post(place, data={"take": "new"})
    with store.read() as reader:
        origins = {term.origin for entry in reader.all(Entry) for term in entry.terms}
    assert origins == {Origin.NOT_STATED}


def test_two_columns_for_one_field_are_reported_beside_the_second(client: FlaskClient) -> None:
    place = upload(client, CSV.encode()).location
    answer = client.post(place, data={**COLUMNS, **DEFAULTS, "column-2": "names:cy"})
    assert answer.status_code == 400
    assert 'id="column-2-error"' in answer.text


def test_a_table_without_a_name_column_is_rejected(client: FlaskClient) -> None:
    place = upload(client, CSV.encode()).location
    answer = client.post(place, data={"column-3": "topic", **DEFAULTS})
    assert answer.status_code == 400
    assert "No column contains names" in answer.text


def test_columns_for_another_language_can_be_added(client: FlaskClient) -> None:
    place = upload(client, CSV.encode()).location
    answer = client.post(place, data={**COLUMNS, **DEFAULTS, "more": "de", "do": "more"})
    assert answer.status_code == 200
    assert 'value="names:de"' in answer.text
    assert re.search(r'value="names:cy" selected', answer.text)


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (b"", "file is empty"),
        (b'name\n"not closed\n', "line 2"),
        (b"\xff\xfe\x00", "bad.csv"),
        (b"\n\n", "no heading"),
    ],
)
def test_an_invalid_csv_is_reported_beside_the_file_field(
    client: FlaskClient, content: bytes, reason: str
) -> None:
    answer = upload(client, content, "bad.csv")
    assert answer.status_code == 400
    assert 'id="file-error"' in answer.text
    assert reason in answer.text


def test_any_kind_of_line_ending_separates_rows(client: FlaskClient, store: Store) -> None:
    place = upload(client, b"English,Welsh\r\nbelt,gwregys\rarm,braich\nleg,coes").location
    place = client.post(place, data={"column-0": "names:en", "column-1": "names:cy", **DEFAULTS}).location
    client.post(place, data={"take": "new"})
    assert len(names(store)) == 6


def test_windows_characters_are_read_if_that_encoding_is_chosen(client: FlaskClient) -> None:
    answer = upload(client, "English,Welsh\nback heel,sawdl ôl\n".encode("cp1252"), encoding="windows-1252")
    assert "sawdl ôl" in client.get(answer.location).text


def test_a_sheet_of_a_workbook_can_be_chosen(client: FlaskClient) -> None:
    book = workbook(("English",), ("belt",), second=("Welsh",))
    place = upload(client, book, "list.xlsx").location
    assert ">belt<" in client.get(place).text
    client.post(place, data={"do": "sheet", "sheet": "Others"})
    page = client.get(place).text
    assert ">belt<" not in page
    assert re.search(r'value="names:cy" selected', page)


def test_a_formula_is_rejected_with_its_cell(client: FlaskClient, store: Store) -> None:
    place = upload(client, workbook(("English", "Welsh"), ("belt", "=1+2")), "list.xlsx").location
    answer = client.post(place, data={"column-0": "names:en", "column-1": "names:cy", **DEFAULTS})
    assert answer.status_code == 400
    assert "list.xlsx, cell B2 “Welsh”" in answer.text
    assert "formula" in answer.text
    assert names(store) == []


def test_a_workbook_that_would_fill_the_disk_is_rejected(client: FlaskClient) -> None:
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b" " * 40_000_000)
    answer = upload(client, out.getvalue(), "list.xlsx")
    assert answer.status_code == 400
    assert "which no genuine file would do" in answer.text
    assert "list.xlsx" in answer.text


def test_a_file_with_an_unknown_extension_needs_a_chosen_type(client: FlaskClient) -> None:
    answer = upload(client, CSV.encode(), "list.dat")
    assert answer.status_code == 400
    assert "does not show what kind of file it is" in answer.text
    assert upload(client, CSV.encode(), "list.dat", kind="csv").status_code == 303


def test_an_expired_table_is_not_found(client: FlaskClient) -> None:
    assert client.get("/exchange/table/none").status_code == 404
    assert client.post("/exchange/table/none/preview").status_code == 404


def test_markup_in_a_table_is_shown_as_text(client: FlaskClient) -> None:
    place = mapped(client, CSV.replace("belt", "<b>belt</b>").replace("Remark", "<i>R</i>")).location
    page = client.get(place).text
    assert "&lt;b&gt;belt" in page
    assert "<i>R</i>" not in page
