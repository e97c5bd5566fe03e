"""Objects of the back matter of TBX-Wordhold: every kind of record but the entry, written and read.

An object is a record, its items are the fields that differ from the default; what a field is called there
stands in `tags`. A list has one item for each member. What is nested in itself (a clause, what a line says)
is one JSON document in its item, in the words of the record; the bytes of a picture are base64 (RFC 4648).
"""

import base64
import binascii
from collections.abc import Callable, Mapping, Sequence
from dataclasses import MISSING, dataclass, fields
from enum import Enum
from functools import lru_cache
from types import MappingProxyType
from typing import Final, Literal

import msgspec

from exports.tbx.dialect.dating import DATES, fault_of_date
from exports.tbx.tags import FIELDS
from exports.tbx.xmltext import Escaper, xml_id
from termbase.fields import (
    Count,
    Data,
    Declared,
    Field,
    Flag,
    Items,
    Lines,
    Members,
    Nested,
    Reason,
    fields_of,
)
from termbase.messages import message
from termbase.pages import Line, Page
from termbase.people import Image, Person
from termbase.redirects import Redirect
from termbase.rulecodes import RuleCode
from termbase.sources import Slip, Source
from termbase.trials import Trial

__all__ = ["SECTIONS", "BadItem", "Section", "read_object", "write_object"]

Record = Person | Source | RuleCode | Image | Slip | Page | Line | Trial | Redirect
How = Literal["text", "list", "number", "flag", "json", "json list", "bytes"]


class BadItem(ValueError):
    """An item of an object that cannot be taken.

    Attributes:
        item: its type; empty where the object as a whole is meant.
        what: what is wrong with it, one sentence.
    """

    def __init__(self, item: str, what: str) -> None:
        super().__init__(item, what)
        self.item = item
        self.what = what


@dataclass(frozen=True, slots=True)
class Section:
    """A section of the back matter.

    Attributes:
        name: the type its `refObjectSec` says.
        kind: kind of its records, as their ids know it.
        cls: their class.
        early: its records are needed before the entries, which point at them.
    """

    name: str
    kind: str
    cls: type[Record]
    early: bool = False


SECTIONS: Final[Mapping[str, Section]] = MappingProxyType(
    {
        s.name: s
        for s in (
            Section("respPerson", "person", Person, early=True),
            Section("bibl", "source", Source, early=True),
            Section("wordhold.ruleCode", "code", RuleCode, early=True),
            Section("binaryData", "image", Image, early=True),
            Section("wordhold.slip", "slip", Slip),
            Section("wordhold.page", "page", Page),
            Section("wordhold.line", "line", Line),
            Section("wordhold.trial", "trial", Trial),
            Section("wordhold.redirect", "redirect", Redirect),
        )
    }
)
"""The sections of the back matter in their order, by type."""

_content: Final = Escaper(keeps=True).text
_HOW: Final[Mapping[type[Field], How]] = MappingProxyType(
    {
        Lines: "list", Members: "list", Items: "json list", Nested: "json", Reason: "json", Data: "bytes",
        Count: "number", Flag: "flag",
    }
)  # fmt: skip
"""How a field is written, by its kind; every other kind is a text."""


@dataclass(frozen=True, slots=True)
class _Field:
    name: str
    item: str
    how: How
    default: object


def write_object(section: Section, record: Record) -> str:
    """A record as an object of its section."""
    out = [f'<refObject id="{xml_id(section.kind, record.id)}">\n']
    for field in _fields(section):
        value = getattr(record, field.name)
        if value != field.default:
            start = f'<item type="{field.item}">'
            out += [f"{start}{text}</item>\n" for text in _texts(field.how, value)]
    if len(out) == 1:
        out.append("<item/>\n")
    out.append("</refObject>\n")
    return "".join(out)


def read_object(section: Section, record_id: str, items: Sequence[tuple[str, str]]) -> Record:
    """The record of an object from the types and texts of its items.

    Raises:
        BadItem: an item is not known, stands there twice, or holds what its field cannot.
    """
    by_item = {field.item: field for field in _fields(section)}
    values: dict[str, object] = {"id": record_id}
    lists: dict[str, list[object]] = {}
    for kind, text in items:
        if not kind and not text:
            continue
        field = by_item.get(kind)
        if field is None:
            raise BadItem(kind, message("There is no such field."))
        value = _value(field, text)
        if f"{section.kind}.{field.name}" in DATES and (wrong := fault_of_date(text)):
            raise BadItem(kind, wrong)
        if field.how in ("list", "json list"):
            lists.setdefault(field.name, []).append(value)
        elif field.name in values:
            raise BadItem(kind, message("It stands there twice."))
        else:
            values[field.name] = value
    if "version" in section.cls.__dataclass_fields__:
        values.setdefault("version", 1)
    try:
        return msgspec.convert({**values, **lists}, section.cls)
    except msgspec.ValidationError as error:
        what, _, path = str(error).partition(" - at `$.")
        name = path.partition("`")[0].partition("[")[0]
        found = next((f.item for f in _fields(section) if f.name == name), "")
        raise BadItem(found, f"{what}.") from error


@lru_cache
def _fields(section: Section) -> tuple[_Field, ...]:
    defaults = {f.name: None if f.default is MISSING else f.default for f in fields(section.cls)}
    return tuple(
        _Field(
            name=field.name,
            item=_item(section, field),
            how=_HOW.get(type(field.is_a), "text"),
            default=1 if field.name == "version" else defaults[field.name],
        )
        for field in fields_of(section.cls)
        if field.name != "id"
    )


def _item(section: Section, field: Declared) -> str:
    """What a field is called in an object; a slip that waits for a term has no tag but its attributes."""
    place = FIELDS[f"{section.kind}.{field.name}"]
    if section.kind != "slip":
        return place.tag.removeprefix("item ")
    return (place.tag == "wh:slip" and place.attribute) or field.name.removesuffix("_id")


def _texts(how: How, value: object) -> list[str]:
    if isinstance(value, tuple):
        members = value if how == "list" else [msgspec.json.encode(v).decode() for v in value]
        return [_content(_word(member)) for member in members]
    if isinstance(value, bytes):
        return [base64.b64encode(value).decode()]
    if how == "flag":
        return ["yes" if value else "no"]
    if how == "json":
        return [_content(msgspec.json.encode(value).decode())]
    return [_content(_word(value))]


def _word(value: object) -> str:
    return str(value.value) if isinstance(value, Enum) else str(value)


def _value(field: _Field, text: str) -> object:
    try:
        return _READ[field.how](text)
    except (ValueError, msgspec.DecodeError, binascii.Error) as error:
        raise BadItem(field.item, message("It cannot be read: %(error)s.", error=str(error)[:200])) from error


def _flag(text: str) -> bool:
    if text not in ("yes", "no"):
        raise ValueError(f"{text!r} is neither yes nor no")
    return text == "yes"


def _bytes(text: str) -> bytes:
    return base64.b64decode("".join(text.split()), validate=True)


_READ: Mapping[How, Callable[[str], object]] = {
    "text": str,
    "list": str,
    "number": int,
    "flag": _flag,
    "json": msgspec.json.decode,
    "json list": msgspec.json.decode,
    "bytes": _bytes,
}
