"""Lists as CSV."""

import csv
import io

import pytest

from exports.tables.writing import BYTE_ORDER_MARK, csv_lines, inert


@pytest.mark.parametrize(
    ("cell", "written"),
    [
        # OWASP, "CSV Injection": cells that begin with = + - @, tab or line end
        ("=2+3", "'=2+3"),
        ("+44", "'+44"),
        ("-hold", "'-hold"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("\t=1", "'\t=1"),
        (" =1", "' =1"),
        ("＝1", "'＝1"),
        ("ŵyn", "ŵyn"),
        ("a=b", "a=b"),
        (12, "12"),
        (-3, "-3"),
        (None, ""),
    ],
)
def test_text_that_looks_like_a_formula_stays_text(cell: object, written: str) -> None:
    assert inert(cell) == written


def test_quotes_commas_and_line_endings_round_trip() -> None:
    rows = [('a "b", c', "two\nlines"), ("", "ŷ")]

    text = "".join(csv_lines(("one", "two"), rows))

    assert text.startswith(BYTE_ORDER_MARK)
    read = list(csv.reader(io.StringIO(text.removeprefix(BYTE_ORDER_MARK), newline="")))
    assert read == [["one", "two"], *map(list, rows)]
