"""Objects of the back matter: every kind of record but the entry, as it is written, in all outputs.

An object is a record, its items are its fields; what a field is called there stands in the table. A list has
one item for each member. Where the whole record is written, what is nested in itself (a clause, what a line
says) is one JSON document in its item, in the words of the record, the bytes of a picture are base64 (RFC
4648), and a field that is as in a new record is left out.
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
from termbase.fields import Count, Data, Field, Flag, Items, Lines, Members, Nested, Reason, fields_of
from termbase.pages import Line, Page
from termbase.people import Image, Person
from termbase.redirects import Redirect
from termbase.rulecodes import RuleCode
from termbase.sources import Slip, Source
from termbase.store.whole import records
from termbase.trials import Trial

__all__ = ["SECTIONS", "How", "ItemField", "Record", "Section", "back", "item_fields"]

Record = Person | Source | RuleCode | Image | Slip | Page | Line | Trial | Redirect
How = Literal["text", "list", "number", "flag", "json", "json list", "bytes"]


@dataclass(frozen=True, slots=True)
class Section:
    """A section of the back matter where the whole record is written.

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
        name: of the field.
        item: the type of its items.
        how: how its value is written.
        default: what a new record has; None where that must be said.
    """

    name: str
    item: str
    how: How
    default: object


@cache
def item_fields(kind: str) -> tuple[ItemField, ...]:
    """The fields of the objects of a kind, in order, but the id.

    A slip that waits for a term stands here too; it has no tags there but attributes, whose names it takes.
    """
    cls = _CLASSES[kind]
    defaults = {f.name: None if f.default is MISSING else f.default for f in fields(cls)} | {"version": 1}
    found = []
    for field in fields_of(cls):
        row = FIELDS[f"{kind}.{field.name}"]
        if kind == "slip":
            item = (row.tag == "wh:slip" and row.attribute) or field.name.removesuffix("_id")
        else:
            item = row.tag.removeprefix("item ")
        if field.name != "id":
            how = _HOW.get(type(field.is_a), "text")
            found.append(ItemField(field.name, item, how, defaults[field.name]))
    return tuple(found)


def back(context: Context, images: Iterable[str] = ()) -> Iterator[str]:
    """Everything behind the last entry, in pieces.

    A selection takes along only what it points at.

    Args:
        context: the export.
        images: ids of the pictures that the entries of a selection point at.
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
    """Records in order of making."""
    return [those[i] for i in sorted(those, key=lambda i: (len(i), i))]


def _whole(context: Context, section: Section, images: Iterable[str]) -> Iterable[Record]:
    """The records of a section; of a selection, those that its entries need to come in elsewhere."""
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
    """A record as an object; its fields are counted."""
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
    """The texts of the items of a value."""
    if isinstance(value, tuple):
        return [msgspec.json.encode(v).decode() if how == "json list" else _word(v) for v in value]
    if isinstance(value, bytes):
        return [base64.b64encode(value).decode()]
    if how == "flag":
        return ["yes" if value else "no"]
    return [msgspec.json.encode(value).decode() if how == "json" else _word(value)]


def _word(value: object) -> str:
    return str(value.value) if isinstance(value, Enum) else str(value)
