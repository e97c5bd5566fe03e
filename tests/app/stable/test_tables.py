"""Tables for spreadsheets keep their headings and column keys, and imports still accept every old heading."""

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from openpyxl import load_workbook

from exports.tables.columns import ROWS, columns_of
from exports.tables.mapping import guess
from termbase.overviews.articles import Library
from termbase.store.engine import Store
from tests.app.stable.held import check

Run = Callable[[str], tuple[int, str]]
DOWNLOADS = (
    "/entries/export.csv", "/proof/findings.csv", "/rules/matrix.csv", "/sources/list.csv",
    "/sources/slips.csv", "/trials/trials.csv",
)  # fmt: skip
"""Every table that can be downloaded from a page."""
HEADINGS: dict[str, str] = json.loads((Path(__file__).parent / "headings.json").read_text("utf-8"))
"""Headings that a table can have, with their fields. Add a new one by hand."""


def head_of(content: bytes) -> list[str]:
    """Return the first row of a CSV file."""
    return next(csv.reader(io.StringIO(content.decode("utf-8-sig"))))


def columns(store: Store) -> dict[str, dict[str, str]]:
    """Return the titles of all columns by key, for every kind of table."""
    with store.read() as reader:
        library = Library(reader)
        return {rows: {each.key: each.title for each in columns_of(library, rows)} for rows in ROWS}


def test_keys_and_titles_of_columns_stay(demo_store: Store) -> None:
    check("columns", columns(demo_store))


@pytest.mark.parametrize("rows", ROWS)
def test_every_column_is_exported_and_can_be_chosen(
    run: Run, demo_store: Store, tmp_path: Path, rows: str
) -> None:
    titles = columns(demo_store)[rows]
    options = f"--rows {rows} " + " ".join(f"--column {key}" for key in titles)

    for line in (f"csv -o {{tmp}}/all.csv --rows {rows}", f"csv -o {{tmp}}/chosen.csv {options}",
                 f"xlsx -o {{tmp}}/all.xlsx --rows {rows}"):  # fmt: skip
        assert run(f"export {line}")[0] == 0
    sheet = load_workbook(tmp_path / "all.xlsx", read_only=True).worksheets[0]
    rows_of_sheet = sheet.iter_rows(max_row=1, values_only=True)

    assert head_of((tmp_path / "all.csv").read_bytes()) == list(titles.values())
    assert head_of((tmp_path / "chosen.csv").read_bytes()) == list(titles.values())
    assert list(next(rows_of_sheet)) == list(titles.values())


def test_downloads_keep_their_headings(demo_client: FlaskClient) -> None:
    check("downloads", {address: head_of(demo_client.get(address).data) for address in DOWNLOADS})


def test_every_download_is_recorded(demo_client: FlaskClient) -> None:
    rules = {str(rule) for rule in demo_client.application.url_map.iter_rules()}

    assert {rule for rule in rules if rule.endswith(".csv")} == set(DOWNLOADS)


def test_known_headings_are_still_recognised() -> None:
    result = {heading: guess([heading], ["en", "cy", "ga"]).columns[0] for heading in HEADINGS}

    assert result == HEADINGS
