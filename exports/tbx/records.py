"""Writes back-matter objects: every kind of record except the entry, in all outputs.

An object is a record and its items are its fields; the table gives the names of the items. A list has one
item per member. Where the whole record is written, nested parts (a clause, a parsed line) are one JSON
document in their item, with the field names of the record; the bytes of a picture are base64 (RFC 4648); and
a field with its default value is left out.
"""

import base64
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import MISSING, dataclass, fields
from enum import Enum
from functools import cache
from types import MappingProxyType
from typing import Final, Literal

import msgspec

from exports.tbx.context import Context
from exports.tbx.tags import FIELDS, Fate
from exports.tbx.xmltext import xml_id
from termbase.fields.declarations import (
    Count,
    Data,
    Field,
    Flag,
    Items,
    Lines,
    Members,
    Nested,
    Reason,
    fields_of,
)
from termbase.record.entries import Redirect
from termbase.record.pages import Line, Page
from termbase.record.people import Image, Person
from termbase.record.sources import Slip, Source
from termbase.record.trials import Trial
from termbase.rules.clauses import RuleCode
from termbase.store.bulk import records

__all__ = ["SECTIONS", "How", "ItemField", "Record", "Section", "back", "item_fields"]

Record = Person | Source | RuleCode | Image | Slip | Page | Line | Trial | Redirect
How = Literal["text", "list", "number", "flag", "json", "json list", "bytes"]


@dataclass(frozen=True, slots=True)
class Section:
    """A back-matter section, where the whole record is written.

    Attributes:
        name: the type of its `refObjectSec`.
        kind: kind of its records, as used in their ids.
        cls: their class.
        early: whether its records are needed before the entries, which refer to them.
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
"""The sections of the back matter in order, by type."""

_CLASSES: Final = {section.kind: section.cls for section in SECTIONS.values()}
_HOW: Final[Mapping[type[Field], How]] = MappingProxyType(
    {
        Lines: "list", Members: "list", Items: "json list", Nested: "json", Reason: "json", Data: "bytes",
        Count: "number", Flag: "flag",
    }
)  # fmt: skip
"""How a field is written, by its kind; every other kind is a text."""


@dataclass(frozen=True, slots=True)
class ItemField:
    """A field of an object.

    Attributes:
        name: name of the field.
        item: type of its items.
        how: how its value is written.
        default: its value in a new record; None if the value is required.
    """

    name: str
    item: str
    how: How
    default: object


@cache
def item_fields(kind: str) -> tuple[ItemField, ...]:
    """Return the fields of the objects of a kind, in order, except the id.

    This includes unsorted slips; they have no tags in the table but attributes, whose names are used.
    """
    cls = _CLASSES[kind]
    defaults = {f.name: None if f.default is MISSING else f.default for f in fields(cls)} | {"version": 1}
    item_list = []
    for field in fields_of(cls):
        row = FIELDS[f"{kind}.{field.name}"]
        if kind == "slip":
            item = (row.tag == "wh:slip" and row.attribute) or field.name.removesuffix("_id")
        else:
            item = row.tag.removeprefix("item ")
        if field.name != "id":
            how = _HOW.get(type(field.is_a), "text")
            item_list.append(ItemField(field.name, item, how, defaults[field.name]))
    return tuple(item_list)


def back(context: Context, images: Iterable[str] = ()) -> Iterator[str]:
    """Yield everything after the last entry, in pieces.

    A selection includes only the records that it refers to.

    Args:
        context: the export.
        images: ids of the pictures that the entries of a selection refer to.
    """
    yield "<back>\n"
    if context.style.whole:
        for section in SECTIONS.values():
            yield from _section(context, section.name, ((section.kind, _whole(context, section, images)),))
    else:
        people, sources = context.people, context.library.sources
        if context.selected is not None:
            people = {i: p for i, p in people.items() if i in context.cited_people}
            sources = {i: s for i, s in sources.items() if i in context.cited_sources}
        yield from _section(context, "respPerson", (("person", _in_order(people)),))
        bibliography = (("source", _in_order(sources)), ("code", context.library.codes))
        yield from _section(context, "bibl", bibliography)
    yield "</back>\n</text>\n</tbx>\n"


def _in_order(those: Mapping[str, Record]) -> list[Record]:
    """Return records in order of creation."""
    return [those[i] for i in sorted(those, key=lambda i: (len(i), i))]


def _whole(context: Context, section: Section, images: Iterable[str]) -> Iterable[Record]:
    """Return the records of a section; for a selection, those that its entries need when imported."""
    cls, reader, ids = section.cls, context.library.reader, context.ids
    if cls is Slip:
        return records(reader, Slip, term_id=None) if ids is None else ()
    if ids is None or cls in (Person, Source, RuleCode):
        return records(reader, cls)
    trials = (trial for i in ids for trial in reader.all(Trial, entry_id=i))
    if cls is Trial:
        return trials
    if cls is Image:
        wanted = sorted({*images, *(i for trial in trials for i in trial.image_ids)})
        return (image for i in wanted for image in reader.many(Image, [i]).values())
    return ()


def _section(context: Context, name: str, objects: Iterable[tuple[str, Iterable[Record]]]) -> Iterator[str]:
    opened = False
    for kind, those in objects:
        for record in those:
            if not opened:
                opened = True
                yield f'<refObjectSec type="{name}">\n'
            yield _object(context, kind, record)
    if opened:
        yield "</refObjectSec>\n"


def _object(context: Context, kind: str, record: Record) -> str:
    """Return a record as an object; its fields are counted."""
    whole, escape = context.style.whole, context.escape
    out = [f'<refObject id="{xml_id(kind, record.id)}">\n']
    context.count_record(kind, record)
    for field in item_fields(kind):
        value: object = getattr(record, field.name)
        if whole:
            if value == field.default:
                continue
        elif context.fate(f"{kind}.{field.name}") is not Fate.CARRIED:
            continue
        texts = _texts(field.how, value)
        if not whole:
            labelled = f"{kind}.{field.name}" == "code.sources"
            texts = [context.label_of(t) if labelled else t for t in texts if t]
        out += (f'<item type="{field.item}">{escape(text)}</item>\n' for text in texts)
    if len(out) == 1:
        out.append("<item/>\n" if whole else f"<item>{escape(record.id)}</item>\n")
    out.append("</refObject>\n")
    return "".join(out)


def _texts(how: How, value: object) -> list[str]:
    """Return the texts of the items of a value."""
    if isinstance(value, tuple):
        return [msgspec.json.encode(v).decode() if how == "json list" else _word(v) for v in value]
    if isinstance(value, bytes):
        return [base64.b64encode(value).decode()]
    if how == "flag":
        return ["yes" if value else "no"]
    return [msgspec.json.encode(value).decode() if how == "json" else _word(value)]


def _word(value: object) -> str:
    return str(value.value) if isinstance(value, Enum) else str(value)
