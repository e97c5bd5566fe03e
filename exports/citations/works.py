"""Shared by the citation formats: a work as read from a file, names of people, kinds of work, and keys."""

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from termbase.fields.closed_lists import member
from termbase.record.sources import Source, SourceKind

__all__ = ["FIELDS", "Name", "Work", "key_of", "kind_named", "names_in", "names_text", "year_in"]

FIELDS: Final = (
    "label", "title", "author", "editor", "container", "publisher", "place", "issued", "pages", "archive",
    "shelfmark", "url", "language", "rights", "note",
)  # fmt: skip
"""Fields of a source that are plain text and are written in every format."""

_YEAR: Final = re.compile(r"(?<![0-9XY])-?[0-9X]{4}(?![0-9X])")
"""A year of four digits, not part of a longer one (`Y170000`)."""


@dataclass(frozen=True)
class Name:
    """One name of a person or body: family and given name, or `literal` if it is not split."""

    family: str = ""
    given: str = ""
    literal: str = ""

    @property
    def text(self) -> str:
        """The name as a source stores it: `Family, Given`, or the literal name."""
        return self.literal or ", ".join(filter(None, (self.family, self.given)))


@dataclass(frozen=True)
class Work:
    """A work as read from a file.

    Attributes:
        fields: the fields in the file, by the names of `Source`'s fields.
        place: where in the file, for messages.
        kind, styles: the kind of work and its styles, if the file gives them.
        unread: names of the file's other fields, which a source does not have.
    """

    fields: dict[str, str]
    place: str
    kind: SourceKind | None = None
    styles: tuple[str, ...] | None = None
    unread: tuple[str, ...] = ()


def names_in(text: str) -> tuple[Name, ...]:
    """Return the names in an author or editor field, separated by `;`; a name with one comma is `Family,
    Given`.

    The part after the comma is a given name if it begins with a capital: `a printer, name not known` is one
    name.

    >>> names_in("Walker, Ann; The Society")
    (Name(family='Walker', given='Ann', literal=''), Name(family='', given='', literal='The Society'))
    """
    return tuple(_name(part.strip()) for part in text.split(";") if part.strip())


def names_text(names: Iterable[Name]) -> str:
    """Return the field of a source that contains these names."""
    return "; ".join(filter(None, (name.text for name in names)))


def _name(text: str) -> Name:
    family, comma, given = text.partition(",")
    if comma and family.strip() and given.strip()[:1].isupper() and "," not in given:
        return Name(family.strip(), given.strip())
    return Name(literal=text)


def kind_named(text: str) -> SourceKind | None:
    """Return the kind of work with this name, or None."""
    return member(SourceKind, text.strip().lower())


def year_in(edtf: str) -> str:
    """Return the first year in a date, if all its digits are known; else empty."""
    match = _YEAR.search(edtf)
    return match[0] if match and "X" not in match[0] else ""


def key_of(source: Source, taken: dict[str, int], hyphen: str = "-", longest: int | None = None) -> str:
    """Return a unique key of ASCII letters and digits made from the label, and mark it as taken.

    Args:
        source: the source that needs a key.
        taken: existing keys, in lower case, with the last number that was tried after each.
        hyphen: what precedes the number that distinguishes a key from others.
        longest: maximum number of characters in a key; no limit without it.
    """
    plain = unicodedata.normalize("NFD", source.label)
    wanted = "".join(c for c in plain if c.isascii() and c.isalnum()) or source.id
    key = wanted[:longest]
    first, number = key.lower(), taken.get(key.lower(), 1)
    while key.lower() in taken:
        number += 1
        end = f"{hyphen}{number}"
        key = f"{wanted if longest is None else wanted[: longest - len(end)]}{end}"
    taken[first] = number
    taken.setdefault(key.lower(), 1)
    return key
