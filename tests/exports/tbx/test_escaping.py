"""Escaping, compared with lxml, and ids, compared with the grammar of names."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from exports.tbx.xmltext import REPLACEMENT, Escaper, web_address, xml_id

# XML 1.0 (fifth edition), production [2] Char
ALLOWED = ((0x9, 0x9), (0xA, 0xA), (0xD, 0xD), (0x20, 0xD7FF), (0xE000, 0xFFFD), (0x10000, 0x10FFFF))
# Namespaces in XML 1.0, production [4] NCName, its ASCII part
NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_.-]*")


def test_every_allowed_character_survives_an_xml_parser() -> None:
    escaper = Escaper()
    for first, last in ALLOWED:
        for start in range(first, last + 1, 0x4000):
            text = "".join(map(chr, range(start, min(start + 0x4000, last + 1))))
            assert etree.fromstring(f"<a>{escaper.text(text)}</a>").text == text
    assert escaper.replaced == 0


def test_every_forbidden_character_is_replaced_and_counted() -> None:
    allowed = {c for first, last in ALLOWED for c in range(first, last + 1)}
    forbidden = [chr(c) for c in range(0x110000) if c not in allowed]
    escaper = Escaper()
    assert {escaper.text(c) for c in forbidden} == {REPLACEMENT}
    assert escaper.replaced == len(forbidden) == 29 + 0x800 + 2


@given(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\t\n")))
def test_attribute_text_survives_too(text: str) -> None:
    escaper = Escaper()
    written = escaper.text(text)
    expected = "".join(REPLACEMENT if c in "\ufffe\uffff" or (c < " " and c != "\r") else c for c in text)
    assert etree.fromstring(f'<a b="{written}"/>').get("b") == expected


@given(st.sampled_from(["entry", "source"]), st.text(), st.sampled_from(["entry", "source"]), st.text())
def test_two_records_never_share_a_name(kind: str, one: str, other_kind: str, other: str) -> None:
    name = xml_id(kind, one)
    assert NAME.fullmatch(name)
    assert (name == xml_id(other_kind, other)) == ((kind, one) == (other_kind, other))


@pytest.mark.parametrize(
    ("kind", "record_id", "name"),
    [
        ("entry", "c0001", "c0001"),
        ("entry", "s1", "entry.s1"),
        ("source", "s1", "s1"),
        ("entry", "1", "entry.1"),
        ("entry", "c٣", "entry.c_663_"),
        ("entry", "a_62_", "entry.a_5f_62_5f_"),
        ("person", "", "person."),
    ],
)
def test_ids_from_the_store_are_kept_and_others_become_names(kind: str, record_id: str, name: str) -> None:
    assert xml_id(kind, record_id) == name


@pytest.mark.parametrize(
    ("text", "fits"),
    [
        ("https://vale.example/a?b=1&c=%20", True),
        ("http://vale.example", True),
        ("ftp://vale.example/a", False),
        ("see https://vale.example", False),
        ("https://vale.example/a b", False),
        ("https://vale.example/%zz", False),
        ("0123456789abcdef", False),
    ],
)
def test_only_complete_web_addresses_count(text: str, fits: bool) -> None:
    assert web_address(text) == (text if fits else "")
