"""Field declarations: each record field is described once, next to the field itself.

    pronunciation: Annotated[str, Line("pronunciation")] = ""
    origin: Annotated[Origin, Member("origin", merge="special")]
    definitions: Annotated[tuple[Definition, ...], Items("definition", merge="special")] = ()

Cleaning, limits, merging, the words of the history, database columns, tables, forms and the lossless exchange
format read these declarations with `fields_of`. Where a field appears on a page or in print is not declared:
that is design.
"""

from collections.abc import Iterator, Mapping
from dataclasses import KW_ONLY, MISSING, dataclass, is_dataclass, replace
from dataclasses import fields as dataclass_fields
from enum import StrEnum
from functools import cache
from types import NoneType, UnionType
from typing import (
    TYPE_CHECKING,
    Annotated,
    Final,
    Literal,
    TypeVar,
    Union,
    get_args,
    get_origin,
    get_type_hints,
)

import msgspec

from termbase.messages import joined, message

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

__all__ = [
    "LONGEST", "VERSION", "Block", "Count", "Data", "Date", "DeclaredField", "Field", "Flag", "Id", "Items",
    "Language", "Length", "Line", "Lines", "Member", "Members", "Nested", "Part", "Path", "Reason",
    "Reference", "Statement", "Text", "Verbatim", "changed_by", "field_of", "fields_of", "path_words",
    "records_within", "rule_of",
]  # fmt: skip

Made = TypeVar("Made", bound="DataclassInstance")
Rule = TypeVar("Rule")
Path = tuple[str | int, ...]
"""A place in a record: field names, and list positions from 0: `("terms", 1, "language")`."""

Length = Literal["name", "line", "note", "quotation", "page"]
LONGEST: Final[dict[Length, int]] = {
    "name": 500,
    "line": 2_000,
    "note": 50_000,
    "quotation": 200_000,
    "page": 16_000_000,
}
"""Maximum number of characters (code points) in a text: far above what is needed, but low enough that no
field can fill a reader's memory (common practice, no source). A *page* may be a whole dictionary."""

Merge = Literal["keep", "ask", "ask both", "unite", "lines", "special"]
"""What happens to a field when two entries are merged:

- *keep*: the entry that stays keeps its value;
- *ask*: the only value is kept; if both have one and they differ, a person chooses;
- *ask both*: the same, but both can be chosen, one below the other;
- *unite*: a list of the items of both, each once;
- *lines*: the texts of both, one below the other;
- *special*: `termbase.record.merging` has a rule for it.
"""

Back = Literal["stays", "replaces", "unites", "lines", "special"]
"""What happens to a field when an entry comes back from another system that has such a field: the value here
*stays*; the incoming value *replaces* it, unless empty; a list *unites* both; a text gets the *lines* that
are new; or `termbase.importing.merging` has a rule for it."""


EMPTY: Final = (message("This field is required."), message("Fill it in or remove it."))


@dataclass(frozen=True)
class Field:
    """The declarations that all kinds of fields share.

    Attributes:
        word: its display name; if empty, the name of the field. For a list, the name of one member.
        needed: it is required.
        missing: fault and fix if it is empty: messages.
        merge, back: see `Merge` and `Back`.
        title: it is what the record is called: the text of a name, the caption of a figure.
        bookkeeping: it is not something that a person changes; the history leaves it out.
        column, heading: key and heading in tables; if empty, the field's name and word.
    """

    word: str = ""
    _: KW_ONLY
    needed: bool = False
    missing: tuple[str, str] = EMPTY
    merge: Merge = "ask"
    back: Back = "replaces"
    title: bool = False
    bookkeeping: bool = False
    column: str = ""
    heading: str = ""


@dataclass(frozen=True)
class Text(Field):
    """A text. `length` limits it."""

    _: KW_ONLY
    length: Length = "line"
    worded: bool = False
    """Its text is either one of our words or one that a person typed: the label of an inflected form."""


@dataclass(frozen=True)
class Line(Text):
    """A text of one line: NFC, no invisible characters, single spaces. `parted`: U+034F may part letters."""

    _: KW_ONLY
    parted: bool = False


@dataclass(frozen=True)
class Block(Text):
    """A text of several lines: NFC, no invisible characters, stripped."""

    _: KW_ONLY
    length: Length = "note"


@dataclass(frozen=True)
class Verbatim(Text):
    """A text that is kept verbatim: NFC, line ends as \\n, otherwise untouched."""

    _: KW_ONLY
    length: Length = "quotation"


@dataclass(frozen=True)
class Language(Text):
    """A BCP 47 tag, in canonical case."""


@dataclass(frozen=True)
class Date(Text):
    """An EDTF date."""


@dataclass(frozen=True)
class Id(Text):
    """The record's own id; given once, by the store."""

    _: KW_ONLY
    merge: Merge = "keep"
    back: Back = "stays"


@dataclass(frozen=True)
class Reference(Text):
    """The id of another record. `to` is its record type, as in the history."""

    _: KW_ONLY
    to: str


@dataclass(frozen=True)
class Lines(Field):
    """A list of one-line texts, without empty or repeated ones."""

    _: KW_ONLY
    length: Length = "line"
    merge: Merge = "unite"
    back: Back = "unites"
    language: bool = False
    """Each is a BCP 47 tag."""
    to: str = ""
    """Each is the id of a record of this kind."""


@dataclass(frozen=True)
class Member(Field):
    """One of a closed list, or None if the field allows it."""


@dataclass(frozen=True)
class Members(Field):
    """Several of a closed list."""

    _: KW_ONLY
    merge: Merge = "unite"
    back: Back = "unites"


@dataclass(frozen=True)
class Count(Field):
    """A whole number."""


VERSION: Final = Count(merge="keep", back="stays", bookkeeping=True)
"""How many times the record has been written; counted by the store."""


@dataclass(frozen=True)
class Flag(Field):
    """Yes or no."""


@dataclass(frozen=True)
class Data(Field):
    """Bytes of a picture."""


@dataclass(frozen=True)
class Items(Field):
    """A list of records."""

    _: KW_ONLY
    merge: Merge = "unite"
    back: Back = "stays"


@dataclass(frozen=True)
class Nested(Field):
    """A nested record, or None if the field allows it."""

    _: KW_ONLY
    back: Back = "stays"


@dataclass(frozen=True)
class Statement(Field):
    """A statement of a technique's profile: a value and what it is based on (`termbase.technique`)."""


@dataclass(frozen=True)
class Reason(Field):
    """A reason: one of our codes with values, or a person's own words (`termbase.fields.notes.CodedText`)."""


@dataclass(frozen=True)
class Part(Field):
    """A path to a part of a record (`Path`)."""


@dataclass(frozen=True, slots=True)
class DeclaredField:
    """A field of a record class with its declaration.

    Attributes:
        name: of the field.
        is_a: its declaration.
        hint: its type, without the declaration.
        optional: it may be None.
        members: the closed list of a `Member` or `Members`, if it is an enumeration.
        words: the words of that closed list, in order; empty for other kinds.
        within: the classes of the nested record or of the records in a list.
        has_default: it may be left out when a record is created.
    """

    name: str
    is_a: Field
    hint: object
    optional: bool
    members: type[StrEnum] | None
    words: tuple[str, ...]
    within: tuple[type, ...]
    has_default: bool

    @property
    def word(self) -> str:
        """Its display name: a message."""
        return message(self.is_a.word or self.name.replace("_", " "))

    @property
    def of(self) -> type | None:
        """The class of the nested records, if there is only one."""
        return self.within[0] if len(self.within) == 1 else None

    @property
    def counted(self) -> bool:
        """Whether the store maintains it: who wrote the record, when, and how often."""
        return self.is_a.bookkeeping and self.is_a.merge == "keep" and not isinstance(self.is_a, Id)

    @property
    def in_camel_case(self) -> str:
        """Its name as a tag or property in files: `partOfSpeech`."""
        first, *others = self.name.split("_")
        return first + "".join(word.capitalize() for word in others)

    @property
    def column(self) -> str:
        """Its key in tables."""
        return self.is_a.column or self.name

    @property
    def heading(self) -> str:
        """Its heading in tables, in English."""
        return self.is_a.heading or self.column.replace("_", " ")


def fields_of(cls: type) -> tuple[DeclaredField, ...]:
    """Return the fields of a record class in order.

    Raises:
        TypeError: the class is not a record class, or a field of it is not declared.
    """
    return _fields_of(cls)


@cache
def _fields_of(cls: type) -> tuple[DeclaredField, ...]:
    hints = get_type_hints(cls, include_extras=True)
    return tuple(_declared(cls, name, hints[name], default) for name, default in _names(cls))


def changed_by(record: Made, values: Mapping[str, object], /, **more: object) -> Made:
    """Return a copy of a record (a dataclass) with some fields changed, given by name."""
    return replace(record, **{**values, **more})


@cache
def _by_name(cls: type) -> dict[str, DeclaredField]:
    return {field.name: field for field in fields_of(cls)}


def field_of(cls: type, name: str) -> DeclaredField:
    """Return one field of a record class.

    Raises:
        KeyError: the class has no such field.
    """
    return _by_name(cls)[name]


def rule_of(rules: Mapping[tuple[type, str], Rule], cls: type, name: str) -> Rule:
    """Return the rule for a special field of a record class.

    Args:
        rules: rules by declaring class and field name.

    Raises:
        TypeError: there is none.
    """
    result = next((rules[base, name] for base in cls.__mro__ if (base, name) in rules), None)
    if result is None:
        raise TypeError(f"There is no rule for {cls.__name__}.{name}.")
    return result


def records_within(cls: type) -> Iterator[type]:
    """Return a record class and the classes of all nested records, each once, outer ones first."""
    seen: dict[type, None] = {}

    def add(current: type) -> None:
        if current in seen:
            return
        seen[current] = None
        for field in fields_of(current):
            for inner in field.within:
                add(inner)

    add(cls)
    yield from seen


def path_words(of: object, path: Path) -> str:
    """Return a place in a record in readable words, as a message: `name 2, language`.

    List positions count from 1. Anything that is not a field of the record is shown as it is.

    Args:
        of: the record, or its class. With a record, a list member that is identified by its id (a clause) is
            shown by it.
        path: the place.
    """
    words: list[str] = []
    cls: type | None = of if isinstance(of, type) else type(of)
    value: object = None if isinstance(of, type) else of
    for step in path:
        if isinstance(step, int):
            value = value[step] if isinstance(value, tuple) and step < len(value) else None
            cls = cls if value is None else type(value)
            words[-1:] = [joined((*words[-1:], _id_shown(value) or str(step + 1)))]
            continue
        field = _by_name(cls).get(step) if cls is not None else None
        words.append(field.word if field else step)
        value = getattr(value, step, None)
        cls = field.of if field else None
        if value is not None and field and field.within and not isinstance(value, tuple):
            cls = type(value)
    return joined(words, ", ")


def _id_shown(record: object) -> str:
    """Return the id that is shown for a list member; empty if none is shown."""
    cls: type = type(record)
    for field in fields_of(cls) if record is not None else ():
        if field.is_a.title and isinstance(field.is_a, Id):
            return str(getattr(record, field.name))
    return ""


def _names(cls: type) -> Iterator[tuple[str, bool]]:
    """Yield the field names, each with whether it has a default."""
    if is_dataclass(cls):
        for field in dataclass_fields(cls):
            yield field.name, field.default is not MISSING or field.default_factory is not MISSING
    elif issubclass(cls, msgspec.Struct):
        for info in msgspec.structs.fields(cls):
            yield info.name, not info.required
    else:
        raise TypeError(f"{cls.__name__} is not a record class.")


def _declared(cls: type, name: str, hint: object, has_default: bool) -> DeclaredField:
    extras: tuple[object, ...] = getattr(hint, "__metadata__", ())
    is_a = next((extra for extra in extras if isinstance(extra, Field)), None)
    if get_origin(hint) is not Annotated or is_a is None:
        raise TypeError(f"{cls.__name__}.{name} is not declared. Write Annotated[..., a kind of field].")
    plain_hint: object = get_args(hint)[0]
    inner = tuple(_types(plain_hint))
    classes = () if isinstance(is_a, (Statement, Reason)) else tuple(_classes(plain_hint))
    members = next((item for item in inner if issubclass(item, StrEnum)), None)
    return DeclaredField(
        name=name,
        is_a=is_a,
        hint=plain_hint,
        optional=NoneType in inner,
        members=members,
        words=tuple(members) if members else tuple(_words(plain_hint)),
        within=classes,
        has_default=has_default,
    )


def _types(hint: object) -> Iterator[type]:
    """Yield the types in a type hint."""
    args = get_args(hint)
    if isinstance(hint, type) and not args:
        yield hint
    if get_origin(hint) in (Union, UnionType, tuple):
        for inner in args:
            yield from _types(inner)
    elif args and isinstance(get_origin(hint), type):
        origin = get_origin(hint)
        if isinstance(origin, type):
            yield origin


def _words(hint: object) -> Iterator[str]:
    """Yield the words of a `Literal` at any depth."""
    for inner in get_args(hint):
        if isinstance(inner, str):
            yield inner
        else:
            yield from _words(inner)


def _classes(hint: object) -> Iterator[type]:
    """Return the record classes among them."""
    return (item for item in _types(hint) if is_dataclass(item) or issubclass(item, msgspec.Struct))
