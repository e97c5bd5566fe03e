"""The words of fields, as the history calls them, and of initial mutations, read off their own tables."""

from collections.abc import Iterator
from dataclasses import is_dataclass
from typing import get_args, get_type_hints

from msgspec import Struct

from termbase.differences import BOOKKEEPING, field_word
from termbase.languages.files import language, shipped_tags
from termbase.store.rows import KINDS

__all__ = ["field_words", "mutation_words"]


def field_words() -> Iterator[str]:
    """What each field of every kind of record is called, in their order."""
    seen: set[type] = set()
    for kind in KINDS.values():
        for name in _fields(kind.cls, seen):
            if name not in BOOKKEEPING and name != "id":
                yield str(field_word(name))


def mutation_words() -> Iterator[str]:
    """The names of the mutations of every language that has a file, as a hit tells them."""
    for tag in shipped_tags():
        yield from (mutation.name.replace("_", " ") for mutation in language(tag).mutations)


def _fields(cls: type, seen: set[type]) -> Iterator[str]:
    """The fields of a record and of every record within it."""
    if cls in seen:
        return
    seen.add(cls)
    for name, hint in get_type_hints(cls).items():
        if name == "_":  # the mark of a dataclass before its keyword-only fields
            continue
        yield name
        for inner in _types(hint):
            if is_dataclass(inner) or issubclass(inner, Struct):
                yield from _fields(inner, seen)


def _types(hint: object) -> Iterator[type]:
    """The types that a type hint is made of."""
    if isinstance(hint, type) and not get_args(hint):
        yield hint
    for inner in get_args(hint):
        yield from _types(inner)
