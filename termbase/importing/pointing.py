"""Translate the references in a file's records to ids in this termbase, using the fields that hold ids."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, is_dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Final, TypeVar

from termbase.fields.declarations import DeclaredField, Lines, Reference, Statement, changed_by, fields_of
from termbase.technique.profile import REFERRED_ID, Stated

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

__all__ = ["LATE", "IdOf", "Late", "Pointer", "late_pointers", "pointed"]

Made = TypeVar("Made", bound="DataclassInstance")
IdOf = Callable[[str, str], str]
"""Returns the id here of a record in the file, from its kind and its id there."""
Pointer = tuple[str, str]
"""A reference: kind and id."""

LATE: Final = ("slip", "trial")
"""Kinds that a record can refer to before they come in the file, when their id here is not known yet."""


@dataclass(frozen=True, slots=True)
class Late:
    """A record's references to slips and trials that come after it in the file.

    Attributes:
        pointers: by their ids in the file.
        known: the record is already here, so a reference that is not in the file may be to a record here.
    """

    pointers: tuple[Pointer, ...]
    known: bool


def pointed(record: Made, id_of: IdOf) -> Made:
    """Return the record with every reference, at any depth, changed to the id here. Its own id is kept."""
    changed: dict[str, object] = {}
    for field in _pointing(type(record)):
        there: object = getattr(record, field.name)
        here = _pointed(field, there, id_of)
        if here != there:
            changed[field.name] = here
    return changed_by(record, changed) if changed else record


def late_pointers(record: "DataclassInstance") -> Iterator[Pointer]:
    """Return the slips and trials that a record refers to, at any depth."""
    for field in _pointing_late(type(record)):
        value: object = getattr(record, field.name)
        if isinstance(value, Stated):
            if value.basis in LATE:
                yield from ((value.basis, item) for item in REFERRED_ID.findall(value.ref))
            continue
        kind = _kind(field)
        for item in value if isinstance(value, tuple) else (value,):
            if isinstance(item, str) and kind:
                if item:
                    yield kind, item
            elif is_dataclass(item) and not isinstance(item, type):
                yield from late_pointers(item)


@cache
def _pointing(cls: type) -> tuple[DeclaredField, ...]:
    """Return the fields of a record class that hold ids of other records, or records that do."""
    return tuple(
        f
        for f in fields_of(cls)
        if _kind(f) or isinstance(f.is_a, Statement) or any(map(_pointing, filter(is_dataclass, f.within)))
    )


@cache
def _pointing_late(cls: type) -> tuple[DeclaredField, ...]:
    """Return the fields of a record class that can hold ids of slips and trials."""
    return tuple(
        f
        for f in _pointing(cls)
        if _kind(f) in LATE
        or isinstance(f.is_a, Statement)
        or any(map(_pointing_late, filter(is_dataclass, f.within)))
    )


def _kind(field: DeclaredField) -> str:
    """Return the kind of record that a field always refers to, if any."""
    return field.is_a.to if isinstance(field.is_a, Reference | Lines) else ""


def _pointed(field: DeclaredField, value: object, id_of: IdOf) -> object:
    kind = _kind(field)
    if isinstance(value, tuple):
        led = tuple(id_of(kind, item) if kind else pointed(item, id_of) for item in value)
        return tuple(dict.fromkeys(led)) if kind and led != value else led  # two may be the same record here
    if kind and isinstance(value, str):
        return id_of(kind, value) if value else value
    if isinstance(value, Stated):
        return _resting(value, id_of)
    return pointed(value, id_of) if is_dataclass(value) and not isinstance(value, type) else value


def _resting(statement: Stated[object], id_of: IdOf) -> Stated[object]:
    """Return a statement with the ids here of the slips or trials it is based on; missing ones are
    dropped."""
    kind = statement.basis
    if kind not in LATE or not statement.ref:
        return statement
    new_ref = REFERRED_ID.sub(lambda found: id_of(kind, found[0]), statement.ref)
    return statement if new_ref == statement.ref else replace(statement, ref=new_ref.strip(" ,;"))
