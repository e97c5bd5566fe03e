"""Fields of TBX-Wordhold that stand as plain text: an element or an attribute each, written and read alike.

A field of a record that is a text, a number or a yes needs no rule of its own here: where it stands is in
`exports.tbx.dialect.table`.
"""

from collections.abc import Mapping
from enum import StrEnum
from functools import cache
from typing import Final

from exports.tbx.categories import CATEGORIES
from exports.tbx.dialect.table import OWN, PLACES, PREFIX
from exports.tbx.xmltext import record_id, xml_id
from termbase.fields import Count, Declared, Flag, Id, Reference, Text, fields_of

__all__ = ["attributes_of", "free_fields", "value_of", "word_of"]

YES: Final = "yes"
_WITH_A_RULE: Final = frozenset({"term.text", "term.language", "term.printed", "term.printed_language"})


@cache
def free_fields(record: str, cls: type) -> tuple[str, ...]:
    """The fields of a name or an entry that are an element each with their value as its text.

    Those that are notes on a term come first, as the standard wants them.
    """
    found = [
        field.name
        for field in fields_of(cls)
        if isinstance(field.is_a, Text | Count | Flag)
        and not isinstance(field.is_a, Id)
        and f"{record}.{field.name}" not in _WITH_A_RULE
        and not (record == "entry" and field.is_a.bookkeeping)
    ]
    return tuple(sorted(found, key=lambda name: _element(f"{record}.{name}") != "termNote"))


@cache
def attributes_of(record: str) -> Mapping[str, str]:
    """The fields of a record that are attributes of its one element, with the names of those attributes."""
    return {
        path.removeprefix(f"{record}."): place.attribute
        for path, place in PLACES.items()
        if path.startswith(f"{record}.")
        and place.attribute
        and place.tag.removeprefix(f"{PREFIX}:") in OWN
        and place.tag != f"{PREFIX}:source"
    }


def word_of(field: Declared, value: object) -> str:
    """A value of a column as the text of an element or attribute; empty for none and for no."""
    if isinstance(field.is_a, Flag):  # SQLite gives 1 and 0
        return YES if value else ""
    if isinstance(field.is_a, Reference) and field.is_a.to == "image" and value:
        return xml_id("image", str(value))
    return "" if value is None else str(value)


def value_of(field: Declared, text: str) -> str | int | bool | StrEnum:
    """The value of a field from its text.

    Raises:
        ValueError: it is no number, or no word of the closed list.
    """
    if isinstance(field.is_a, Flag):
        return text == YES
    if isinstance(field.is_a, Count):
        if not (text.isascii() and text.isdigit()):
            raise ValueError(text)
        return int(text)
    if isinstance(field.is_a, Reference) and field.is_a.to == "image":
        return record_id("image", text)
    return field.members(text) if field.members else text


def _element(path: str) -> str:
    """The element of the standard that a field is."""
    tag = PLACES[path].tag
    name = tag.rpartition(":")[2]
    return OWN[name].element if tag.startswith(f"{PREFIX}:") else CATEGORIES[name].element
