"""The characters of a font: fonts made here, with every kind of character map."""

import sys
from io import BytesIO
from pathlib import Path
from struct import pack

import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib.tables._c_m_a_p import CmapSubtable
from hypothesis import given, settings
from hypothesis import strategies as st

from exports.glossary.book.coverage import characters_of
from termbase.errors import BadInput

GLYPHS = [".notdef", "A", "C", "nj"]
WINDOWS_UNICODE = (3, 1)
WINDOWS_SYMBOL = (3, 0)


def face(*maps: tuple[int, tuple[int, int], dict[int, str]], flavor: str | None = None) -> bytes:
    """Return a font with these character maps: format, platform and encoding, code points to glyphs."""
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder(GLYPHS)
    builder.setupGlyf(dict.fromkeys(GLYPHS, TTGlyphPen(None).glyph()))
    builder.setupHorizontalMetrics(dict.fromkeys(GLYPHS, (500, 0)))
    builder.setupHorizontalHeader()
    builder.setupCharacterMap({})
    tables = []
    for number, (platform, encoding), characters in maps:
        table = CmapSubtable.newSubtable(number)
        table.platformID, table.platEncID, table.language = platform, encoding, 0
        table.cmap = characters
        if number >= 12:
            table.reserved, table.length, table.nGroups = 0, 0, 0
        tables.append(table)
    builder.font["cmap"].tables = tables
    builder.font.flavor = flavor
    out = BytesIO()
    builder.font.save(out)
    return out.getvalue()


def characters(folder: Path, data: bytes) -> set[str]:
    path = folder / "face.ttf"
    path.write_bytes(data)
    characters_of.cache_clear()
    return set(map(chr, characters_of(path)))


def test_a_character_mapped_to_the_missing_glyph_is_missing_from_the_font(tmp_path: Path) -> None:
    # OpenType 1.9.1, cmap: a code without a glyph in the font is mapped to glyph 0, the missing one
    data = face((4, WINDOWS_UNICODE, {ord("A"): "A", ord("B"): ".notdef", ord("C"): "C"}))
    assert characters(tmp_path, data) == {"A", "C"}


@pytest.mark.parametrize(
    ("number", "place", "characters_"),
    [
        # OpenType 1.9.1, cmap: the formats for Unicode
        (4, (3, 1), "AŊ"),
        (4, (0, 3), "AŊ"),
        (6, (0, 3), "AB"),
        (12, (3, 10), "AŊ𐌰"),
        (12, (0, 4), "AŊ𐌰"),
        (13, (0, 6), "AŊ𐌰"),
    ],
)
def test_every_format_for_unicode_is_read(
    tmp_path: Path, number: int, place: tuple[int, int], characters_: str
) -> None:
    data = face((number, place, dict.fromkeys(map(ord, characters_), "nj")))
    assert characters(tmp_path, data) == set(characters_)


def test_a_symbol_map_is_not_a_character_map(tmp_path: Path) -> None:
    # OpenType 1.9.1, cmap: encoding 0 of platform 3 is Symbol, whose codes are the font's own
    assert characters(tmp_path, face((4, WINDOWS_SYMBOL, {0xF041: "A"}))) == set()


@pytest.mark.parametrize("data", [b"no face", b"", b"ttcf\0\1\0\0\0\0\0\1\0\0\0\x10", b"OTTO\0\x09"])
def test_a_file_that_is_not_a_font_is_refused(tmp_path: Path, data: bytes) -> None:
    with pytest.raises(BadInput) as caught:
        characters(tmp_path, data)
    assert caught.value.where.endswith("face.ttf")
    assert caught.value.fix


def test_a_web_font_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput):  # the typesetter cannot read any, so its characters would not be printed
        characters(tmp_path, face((4, WINDOWS_UNICODE, {ord("A"): "A"}), flavor="woff"))


WHOLE = face((4, WINDOWS_UNICODE, {ord("A"): "A", ord("C"): "C"}))


@given(changes=st.lists(st.tuples(st.integers(0, 400), st.integers(0, 255)), min_size=1, max_size=6))
@settings(max_examples=150, deadline=None)
def test_a_damaged_font_is_read_or_refused(
    tmp_path_factory: pytest.TempPathFactory, changes: list[tuple[int, int]]
) -> None:
    data = bytearray(WHOLE)
    for at, byte in changes:
        data[at % len(data)] = byte
    try:
        found = characters(tmp_path_factory.getbasetemp(), bytes(data))
    except BadInput:
        return
    assert all(0 <= ord(character) <= 0x10FFFF for character in found)


def test_a_character_map_ends_where_unicode_ends(tmp_path: Path) -> None:
    data = face((12, (3, 10), {ord("A"): "A"}))
    group = pack(">LLL", ord("A"), ord("A"), 1)
    assert data.count(group) == 1
    found = characters(tmp_path, data.replace(group, pack(">LLL", ord("A"), 0xFFFF_FFFF, 1)))
    assert max(found) == chr(sys.maxunicode)
