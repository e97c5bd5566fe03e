"""What the records of a file point at, in terms of this termbase: read off the fields that hold ids."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, is_dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Final, TypeVar

from termbase.fields import Declared, Lines, Reference, Statement, changed_by, fields_of
from termbase.technique.profile import REFERRED_ID, Said

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

__all__ = ["LATE", "IdOf", "Late", "Pointer", "late_pointers", "pointed"]

Made = TypeVar("Made", bound="DataclassInstance")
IdOf = Callable[[str, str], str]
"""The id here of something of the file, by its kind and its id there."""
Pointer = tuple[str, str]
"""What is pointed at: its kind and its id."""

LATE: Final = ("slip", "trial")
"""Kinds of which a record can point at one that comes after it in a file, before its id here is known."""


@dataclass(frozen=True, slots=True)
class Late:
    """What a record of a file points at of the slips and trials that come after it.

    Attributes:
        pointers: by their ids in the file.
        known: the record is here already, so that what the file does not hold may be of here.
    """

    pointers: tuple[Pointer, ...]
    known: bool


def pointed(record: Made, id_of: IdOf) -> Made:
    """The record with every id that it points at, however deep it stands, that of here. Its own id stays."""
    changed: dict[str, object] = {}
    for field in _pointing(type(record)):
        there: object = getattr(record, field.name)
        here = _pointed(field, there, id_of)
        if here != there:
            changed[field.name] = here
    return changed_by(record, changed) if changed else record


def late_pointers(record: "DataclassInstance") -> Iterator[Pointer]:
    """The slips and trials that a record points at, however deep that stands."""
    for field in _pointing_late(type(record)):
        value: object = getattr(record, field.name)
        if isinstance(value, Said):
            if value.basis in LATE:
                yield from ((value.basis, one) for one in REFERRED_ID.findall(value.ref))
            continue
        kind = _kind(field)
        for one in value if isinstance(value, tuple) else (value,):
            if isinstance(one, str) and kind:
                if one:
                    yield kind, one
            elif is_dataclass(one) and not isinstance(one, type):
                yield from late_pointers(one)


@cache
def _pointing(cls: type) -> tuple[Declared, ...]:
    """The fields of a record class that hold ids of other records, or records that do."""
    return tuple(
        f
        for f in fields_of(cls)
        if _kind(f) or isinstance(f.is_a, Statement) or any(map(_pointing, filter(is_dataclass, f.within)))
    )


@cache
def _pointing_late(cls: type) -> tuple[Declared, ...]:
    """Those of them that can hold ids of slips and trials."""
    return tuple(
        f
        for f in _pointing(cls)
        if _kind(f) in LATE
        or isinstance(f.is_a, Statement)
        or any(map(_pointing_late, filter(is_dataclass, f.within)))
    )


def _kind(field: Declared) -> str:
    """The kind of record that a field always points at, if any."""
    return field.is_a.to if isinstance(field.is_a, Reference | Lines) else ""


def _pointed(field: Declared, value: object, id_of: IdOf) -> object:
    kind = _kind(field)
    if isinstance(value, tuple):
        led = tuple(id_of(kind, one) if kind else pointed(one, id_of) for one in value)
        return tuple(dict.fromkeys(led)) if kind and led != value else led  # two may be one here
    if kind and isinstance(value, str):
        return id_of(kind, value) if value else value
    if isinstance(value, Said):
        return _resting(value, id_of)
    return pointed(value, id_of) if is_dataclass(value) and not isinstance(value, type) else value


def _resting(said: Said[object], id_of: IdOf) -> Said[object]:
    """A statement of a technique, resting on slips or trials by their ids here; those that are nowhere go."""
    kind = said.basis
    if kind not in LATE or not said.ref:
        return said
    led = REFERRED_ID.sub(lambda found: id_of(kind, found[0]), said.ref)
    return said if led == said.ref else replace(said, ref=led.strip(" ,;"))
