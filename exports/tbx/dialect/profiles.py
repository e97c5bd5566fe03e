"""Reading the technique of a concept entry of TBX-Wordhold: one element for each point of a profile."""

from collections.abc import Iterable, Mapping
from dataclasses import fields
from functools import lru_cache
from typing import Final, get_args, get_origin, get_type_hints

import msgspec
from lxml import etree

from exports.tbx.faults import fault
from exports.tbx.xmltext import kept, text_of
from termbase.fields import changed_by
from termbase.messages import message
from termbase.technique import Hand, Profile, Said

__all__ = ["NAME", "NOTE", "read_profile"]

NAME: Final = "name"
"""The point of a name beside those of the entry; each has an element of its own."""
NOTE: Final = "note"


def read_profile(points: Iterable[etree._Element]) -> Profile:
    """The profile that these elements state; one without a point states nothing.

    Raises:
        BadInput: there is no such point, or a value is none of those it can have.
    """
    hands: dict[str, dict[str, Said[object]]] = {"right": {}, "left": {}}
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
            said = _said(element, point)
            if dot:
                hands[hand][name] = said
            else:
                values[point] = said
    values |= {name: changed_by(Hand(), parts) for name, parts in hands.items() if parts}
    return changed_by(Profile(), values, names=tuple(names))


@lru_cache
def _types() -> Mapping[str, type[Said[object]]]:
    """The type of what is said of every point of a profile."""
    found: dict[str, type[Said[object]]] = {}
    for prefix, cls in (("", Profile), ("right.", Hand), ("left.", Hand)):
        hints = get_type_hints(cls)
        for field in fields(cls):
            said = next((a for a in get_args(hints[field.name]) if get_origin(a) is Said), None)
            if said is not None:
                found[prefix + field.name] = said
    return found


def _said(element: etree._Element, point: str) -> Said[object]:
    kind = _types().get(point)
    if kind is None:
        raise fault(message("“%(point)s” is no point of a technique.", point=point), element, "point")
    text = text_of(element)
    value: object = text
    (inner,) = get_args(kind)
    if inner is bool:
        value = {"yes": True, "no": False}.get(text, text)
    elif get_args(inner)[-1:] == (...,):
        value = text.split("; ") if text else []
    said = {"value": value, "basis": element.get("basis", ""), "ref": kept(element.get("ref", ""))}
    try:
        return msgspec.convert(said, kind)
    except msgspec.ValidationError as error:
        what = message("“%(text)s” cannot be said of it: %(error)s.", text=text, error=error)
        raise fault(what, element, point) from error
