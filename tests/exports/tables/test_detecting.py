"""Detecting the encoding of a table, and the delimiter between its cells."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from exports.tables.detecting import ENCODINGS, delimiter_of, encoding_of
from exports.tables.reading import read_csv

IRISH = "English;Irish;Source\nbelt;crios;Éigse 1898\nring;fáinne, “cró”;Iris – 1899\n"
WELSH = "English,Welsh\nhouse,tŷ\nwater,dŵr\nroof,to’r tŷ\n"


@pytest.mark.parametrize("name", ["utf-8", "windows-1252", "utf-16", "mac-roman"])
def test_irish_is_read_as_it_was_saved(name: str) -> None:
    assert encoding_of(IRISH.encode(ENCODINGS[name])) == name


def test_one_accented_letter_is_enough_for_the_most_common_encoding() -> None:
    assert encoding_of("Source\nÉigse\n".encode("cp1252")) == "windows-1252"


def test_letters_of_the_vernaculars_identify_the_rarer_encodings() -> None:
    assert encoding_of("house,tŷ\nwater,dŵr\n".encode("iso8859-14")) == "iso-8859-14"
    assert encoding_of("belt,créis\nring,fáinne\n".encode("cp850")) == "cp850"
    assert encoding_of(WELSH.encode()) == "utf-8"


def test_a_damaged_utf8_file_is_detected_as_utf8_so_that_the_damage_is_reported() -> None:
    assert encoding_of(("é" * 40).encode() + b"\xff") == "utf-8"


@given(content=st.binary(max_size=400))
def test_any_bytes_have_an_encoding_and_reading_them_fails_only_with_our_errors(content: bytes) -> None:
    assert encoding_of(content) in ENCODINGS


@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
def test_the_delimiter_gives_every_row_as_many_cells(sign: str) -> None:
    rows = (("a, b", "c", "d"), ("one; two", "x", "y"), ("z", "", "v"))
    text = "\n".join(sign.join(f'"{cell}"' for cell in row) for row in rows)
    assert delimiter_of(text) == sign


def test_commas_in_cells_do_not_make_them_the_delimiter() -> None:
    sheet = read_csv(b"English; Irish, spoken; Notes, all\na, b; c, d; e, f\n", "a.csv")
    assert (sheet.delimiter, len(sheet.head)) == (";", 3)
