"""Reads the parts of a TBX-Wordhold entry that are one element with attributes.

An unknown or missing value raises an error with line, element and field.
"""

from collections.abc import Iterable, Mapping
from dataclasses import fields
from functools import lru_cache
from typing import Final, cast, get_args, get_origin, get_type_hints

import msgspec

from exports.tbx.elements import Element
from exports.tbx.faults import Fault, fault
from exports.tbx.tags import attributes_of
from exports.tbx.xmltext import record_id, text_of, unescape
from termbase.dates import edtf
from termbase.errors import BadInput
from termbase.fields.declarations import Count, Date, DeclaredField, Flag, Reference, changed_by, field_of
from termbase.fields.notes import NOTHING_SAID
from termbase.fields.notes import CodedText as Reason
from termbase.messages import message
from termbase.record.entries import Analogue, Figure, Ruling, Signature
from termbase.record.foreign_notes import ForeignNote
from termbase.record.sources import Slip
from termbase.technique.profile import Hand, Profile, Stated

__all__ = [
    "NAME", "NOTE", "date_problem", "not_in_list", "plain_value", "read_note", "read_part", "read_profile",
    "read_signature", "read_slip_fields", "value_of",
]  # fmt: skip

_PARTS: Final[Mapping[str, tuple[type[Analogue | Figure | Ruling], str]]] = {
    "analogue": (Analogue, "name"), "figure": (Figure, "caption"), "ruling": (Ruling, "reason"),
}  # fmt: skip
"""Class of each part of an entry, and the field that is its text."""
_FLAGS: Final = {"yes": True, "no": False}
_MOST_DIGITS: Final = 4000  # Python does not parse longer numbers
NAME: Final = "name"
"""The point of an additional name of the technique; each name has its own element."""
NOTE: Final = "note"
_SLIP: Final = {attribute: field_of(Slip, name) for name, attribute in attributes_of("slip").items()}
_OF_NOTE: Final = attributes_of("note")
_reason: Final = msgspec.json.Decoder(Reason).decode


def not_in_list(text: str, field: str, element: Element, name: str, known: Iterable[str] = ()) -> Fault:
    """Return the error for a text that is not in a closed list.

    Args:
        field: what the list contains, in words.
        name: name of the field.
        known: the list, if the message should give it.
    """
    none = message("“%(text)s” is not a valid %(field)s.", text=text, field=field)
    what = none if text else message("The %(field)s is missing.", field=field)
    listed = ", ".join(filter(None, known))
    return fault(what, element, name, fix=message("Use one of: %(known)s.", known=listed) if listed else "")


def value_of(field: DeclaredField, text: str) -> object | None:
    """Return the value of a plain-text field; None if it is invalid, as is an empty word of a closed list."""
    if field.members:
        return field.members(text) if text and text in field.words else None
    if isinstance(field.is_a, Flag):
        return _FLAGS.get(text)
    if isinstance(field.is_a, Count):
        return int(text) if text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS else None
    pictured = isinstance(field.is_a, Reference) and field.is_a.to == "image"
    return record_id("image", text) if pictured else text


def plain_value(field: DeclaredField, text: str, element: Element) -> object:
    """Return the value of a plain-text field.

    Raises:
        BadInput: the text is not valid for the field.
    """
    value = value_of(field, text)
    if value is None:
        if isinstance(field.is_a, Count):
            raise fault(message("“%(text)s” is not a number.", text=text), element, field.name)
        raise not_in_list(text, str(field.word), element, field.name, field.words or _FLAGS)
    return value


@lru_cache(maxsize=65536)
def date_problem(text: str) -> str:
    """Return what is wrong with a date, in one sentence; empty if it is EDTF or empty.

    A date that is not EDTF would break every page and every book that shows it.
    """
    try:
        if text:
            edtf.parse(text)
    except BadInput as error:
        return error.what
    return ""


def read_part(record: str, element: Element, source_id: str) -> Analogue | Figure | Ruling:
    """Return an analogue, a figure or a ruling of an entry.

    Args:
        record: its kind.
        source_id: id of its source; empty for none.
    """
    cls, text = _PARTS[record]
    values: dict[str, object] = {text: text_of(element)}
    if source_id:
        values["source_id"] = source_id
    for name, attribute in attributes_of(record).items():
        text_value = element.get(attribute, "")
        field = field_of(cls, name)
        if attribute == "target":
            values[name] = record_id(name.removesuffix("_id"), text_value)
        elif text_value or not field.has_default:
            values[name] = plain_value(field, unescape(text_value), element)
    return msgspec.convert(values, cls)


def read_signature(element: Element) -> Signature:
    """Return who read an entry and when, or why that reading is open again."""
    by, on, reopened = (unescape(element.get(name, "")) for name in ("by", "on", "reopened"))
    try:
        return Signature(by, on, _reason(reopened) if reopened else NOTHING_SAID)
    except (ValueError, RecursionError) as error:
        what = message("It cannot be read: %(error)s.", error=str(error)[:200])
        raise fault(what, element, "reopened") from error


def read_slip_fields(element: Element) -> dict[str, object]:
    """Return the fields of a slip besides quotation and source."""
    values: dict[str, object] = {}
    for name, value in cast("Mapping[str, str]", element.attrib).items():
        field, text = _SLIP.get(name), unescape(value)
        if field is None:
            raise fault(message("The slip has an unknown attribute."), element, name)
        if isinstance(field.is_a, Date) and (wrong := date_problem(text)):
            raise fault(wrong, element, field.name)
        values[field.name] = plain_value(field, text, element)
    if len(element) or element.text:
        values["note"] = text_of(element)
    return values


def read_note(element: Element) -> ForeignNote:
    """Return the foreign note in an element."""
    values = {name: unescape(element.get(attribute) or "") for name, attribute in _OF_NOTE.items()}
    return ForeignNote(**values, text=text_of(element))


def read_profile(points: Iterable[Element]) -> Profile:
    """Return the profile that these elements state, one per point; an element without a point states nothing.

    Raises:
        BadInput: the point does not exist, or it cannot have the value.
    """
    hands: dict[str, dict[str, Stated[object]]] = {"right": {}, "left": {}}
    values: dict[str, object] = {}
    names: list[str] = []
    for element in points:
        point = element.get("point")
        if point == NAME:
            names.append(text_of(element))
        elif point == NOTE:
            values["note"] = text_of(element)
        elif point:
            hand, dot, name = point.partition(".")
            stated = _stated(element, point)
            if dot:
                hands[hand][name] = stated
            else:
                values[point] = stated
    values |= {name: changed_by(Hand(), parts) for name, parts in hands.items() if parts}
    return changed_by(Profile(), values, names=tuple(names))


@lru_cache
def _types() -> Mapping[str, type[Stated[object]]]:
    """Return the type of each point of a profile."""
    types: dict[str, type[Stated[object]]] = {}
    for prefix, cls in (("", Profile), ("right.", Hand), ("left.", Hand)):
        hints = get_type_hints(cls)
        for field in fields(cls):
            stated = next((a for a in get_args(hints[field.name]) if get_origin(a) is Stated), None)
            if stated is not None:
                types[prefix + field.name] = stated
    return types


def _stated(element: Element, point: str) -> Stated[object]:
    kind = _types().get(point)
    if kind is None:
        raise fault(message("A technique has no point “%(point)s”.", point=point), element, "point")
    text = text_of(element)
    value: object = text
    (inner,) = get_args(kind)
    if inner is bool:
        value = _FLAGS.get(text, text)
    elif get_args(inner)[-1:] == (...,):
        value = text.split("; ") if text else []
    stated = {"value": value, "basis": element.get("basis", ""), "ref": unescape(element.get("ref", ""))}
    try:
        return msgspec.convert(stated, kind)
    except msgspec.ValidationError as error:
        what = message("“%(text)s” is not a valid value: %(error)s.", text=text, error=error)
        raise fault(what, element, point) from error
