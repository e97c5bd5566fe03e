"""What the records of a file point at, in terms of this termbase: read off the fields that hold ids."""

from collections.abc import Callable
from dataclasses import is_dataclass
from functools import cache
from typing import TYPE_CHECKING, TypeVar

from termbase.fields import Declared, Lines, Reference, changed_by, fields_of

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

__all__ = ["IdOf", "pointed"]

Made = TypeVar("Made", bound="DataclassInstance")
IdOf = Callable[[str, str], str]
"""The id here of something of the file, by its kind and its id there."""


def pointed(record: Made, id_of: IdOf) -> Made:
    """The record with every id that it points at, however deep it stands, that of here. Its own id stays."""
    changed: dict[str, object] = {}
    for field in _pointing(type(record)):
        there: object = getattr(record, field.name)
        here = _pointed(field, there, id_of)
        if here != there:
            changed[field.name] = here
    return changed_by(record, changed) if changed else record


@cache
def _pointing(cls: type) -> tuple[Declared, ...]:
    """The fields of a record class that hold ids of other records, or records that do."""
    return tuple(f for f in fields_of(cls) if _kind(f) or any(map(_pointing, filter(is_dataclass, f.within))))


def _kind(field: Declared) -> str:
    """The kind of record that a field points at; empty where it points at none."""
    return field.is_a.to if isinstance(field.is_a, Reference | Lines) else ""


def _pointed(field: Declared, value: object, id_of: IdOf) -> object:
    kind = _kind(field)
    if isinstance(value, tuple):
        led = tuple(id_of(kind, one) if kind else pointed(one, id_of) for one in value)
        return tuple(dict.fromkeys(led)) if kind and led != value else led  # two may be one here
    if kind and isinstance(value, str):
        return id_of(kind, value) if value else value
    return pointed(value, id_of) if is_dataclass(value) and not isinstance(value, type) else value
