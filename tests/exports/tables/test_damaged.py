"""Damaged and hostile XLSX files: each ends in a message that says what is wrong and where."""

import zipfile
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.chart import BarChart, Reference
from openpyxl.styles import Font

from exports.tables.reading import read_xlsx, sheet_titles
from termbase.errors import BadInput


def written(folder: Path) -> Path:
    """A workbook with a name in bold, so that its styles are needed."""
    path = folder / "a.xlsx"
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(("name", "language"))
    sheet.append(("tafliad", "cy"))
    sheet["A2"].font = Font(bold=True)
    book.save(path)
    return path


def damaged(path: Path, member: str, content: bytes | None) -> None:
    """Replace the content of a file inside a zip; None removes it."""
    with zipfile.ZipFile(path) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    assert member in members
    del members[member]
    with zipfile.ZipFile(path, "w") as archive:
        for name, kept in (members if content is None else members | {member: content}).items():
            archive.writestr(name, kept)


@pytest.mark.parametrize(
    ("member", "content", "where"),
    [
        ("docProps/core.xml", b"", ", docProps/core.xml"),
        ("docProps/core.xml", b"<cp:core>", ", docProps/core.xml"),
        ("xl/styles.xml", b"<styleSheet", ", xl/styles.xml"),
        ("xl/styles.xml", b'<styleSheet xmlns="urn:x"/>', ""),
        ("xl/worksheets/sheet1.xml", b"\0", ", xl/worksheets/sheet1.xml"),
        ("xl/workbook.xml", None, ""),
        ("[Content_Types].xml", b"<a", ", [Content_Types].xml"),
    ],
)
def test_a_damaged_workbook_is_rejected_naming_the_damaged_file_inside(
    tmp_path: Path, member: str, content: bytes | None, where: str
) -> None:
    path = written(tmp_path)
    damaged(path, member, content)
    for read_in in (read_xlsx, sheet_titles):
        with pytest.raises(BadInput, match="damaged") as refused:
            read_in(path)
        assert refused.value.where == f"a.xlsx{where}"
        assert "save it again" in refused.value.fix


def test_a_chart_sheet_is_skipped(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(("name", "language"))
    sheet.append(("tafliad", "cy"))
    chart = BarChart()
    chart.add_data(Reference(sheet, min_col=1, min_row=1))
    book.create_chartsheet("Chart", 0).add_chart(chart)
    book.save(tmp_path / "a.xlsx")
    assert sheet_titles(tmp_path / "a.xlsx") == ("Sheet",)
    assert read_xlsx(tmp_path / "a.xlsx").head == ("name", "language")
    with pytest.raises(BadInput, match="The sheet 'Chart' is a chart and has no cells"):
        read_xlsx(tmp_path / "a.xlsx", sheet="Chart")
    book.remove(sheet)
    book.save(tmp_path / "a.xlsx")
    with pytest.raises(BadInput, match="no sheet that contains cells"):
        read_xlsx(tmp_path / "a.xlsx")


SHEET = (
    b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">%b<sheetData>'
    b'<row r="1"><c r="A1" t="inlineStr"><is><t>name</t></is></c></row>%b</sheetData></worksheet>'
)


def test_a_sheet_declared_too_large_is_read_by_its_actual_cells(tmp_path: Path) -> None:
    path = written(tmp_path)
    rows = b"".join(b'<row r="%d"/>' % number for number in range(2, 20_000))
    damaged(path, "xl/worksheets/sheet1.xml", SHEET % (b'<dimension ref="A1:XFD1048576"/>', rows))
    assert read_xlsx(path).rows == ()


@pytest.mark.parametrize("row", [b'<row r="999999999999"/>', b'<row r="2"><c r="XFD2"><v>1</v></c></row>'])
def test_a_sheet_with_too_many_rows_or_columns_is_rejected(tmp_path: Path, row: bytes) -> None:
    path = written(tmp_path)
    damaged(path, "xl/worksheets/sheet1.xml", SHEET % (b"", row))
    with pytest.raises(BadInput, match="more than 1,048,576 rows or 1,000 columns") as refused:
        read_xlsx(path)
    assert refused.value.where.startswith("a.xlsx, row ")
