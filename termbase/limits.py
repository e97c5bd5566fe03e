"""How long a text of the record may be, by kind of field; checked in one place for forms and files alike.

The limits are far above what a name, a note or a page of a book needs, and low enough that no single field
can fill the memory of whoever reads it (common practice, no source). Lengths are in characters (code points).
"""

from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from functools import cache
from operator import attrgetter
from typing import Any, Final, Literal, get_args, get_type_hints

import msgspec

from termbase.entries import Analogue, Definition, Entry, Figure, Form, Ruling, Term
from termbase.errors import BadInput, Problems
from termbase.foreignnotes import ForeignNote
from termbase.messages import joined, message
from termbase.pages import Line, Page
from termbase.people import Termbase
from termbase.rulecodes.clauses import Clause, RuleCode
from termbase.sources import Slip, Source
from termbase.technique.profile import Profile
from termbase.trials import Trial

__all__ = ["LONGEST", "Kind", "check_length", "check_lengths", "kind_of_field"]

Read = Callable[[Any], Any]
Limited = tuple[Read, int]
Kind = Literal["name", "line", "note", "quotation", "page"]

LONGEST: Final[dict[Kind, int]] = {
    "name": 500,
    "line": 2_000,
    "note": 50_000,
    "quotation": 200_000,
    "page": 16_000_000,
}
"""Characters of each kind. A *page* may be a whole dictionary that is taken in as one."""

_NOTES: Final[dict[type[Any], tuple[str, ...]]] = {
    Entry: ("usage_note", "editor_note"),
    Term: ("usage_note",),
    Definition: ("text",),
    ForeignNote: ("text",),
    Figure: ("caption", "rights"),
    Ruling: ("reason",),
    Profile: ("note",),
    Source: ("rights", "note"),
    Slip: ("note",),
    Trial: ("place", "people", "holds", "done", "change", "safety", "injuries"),
    Termbase: ("rights", "notice"),
    RuleCode: ("note",),
    Clause: ("words",),
}
_KINDS: Final[dict[type[Any], dict[str, Kind]]] = {
    Term: {"text": "name", "printed": "name"},
    Form: {"text": "name", "label": "name"},
    Analogue: {"name": "name", "style": "name"},
    Profile: {"names": "name"},
    Slip: {"text": "quotation", "name": "name"},
    Source: {"label": "name", "pattern": "quotation"},
    Line: {"text": "quotation"},
    Page: {"transcription": "page"},
    RuleCode: {"name": "name"},
}
_PARTS: Final[dict[type[Any], str]] = {
    Form: message("form"),
    Definition: message("definition"),
    Analogue: message("analogue"),
    Figure: message("figure"),
    Ruling: message("ruling"),
    ForeignNote: message("note from elsewhere"),
}
_WORDS: Final = {"text": message("text"), "name": message("name"), "note": message("note")}


def kind_of_field(record: type[Any], field: str) -> Kind:
    """The kind of a text field of a record; a field that the tables do not name is a *line*."""
    for cls in record.__mro__:
        if field in _NOTES.get(cls, ()):
            return "note"
        if field in _KINDS.get(cls, {}):
            return _KINDS[cls][field]
    return "line"


def check_length(text: str, kind: Kind, where: str) -> None:
    """Refuse a text that is longer than its kind may be.

    Args:
        text: the text.
        kind: of the field.
        where: the field, for the message.

    Raises:
        BadInput: it is longer; the message says how long it is and may be.
    """
    if len(text) > LONGEST[kind]:
        raise BadInput(
            message(
                "The text is %(n)s characters long; at most %(most)s are possible here.",
                n=f"{len(text):,}",
                most=f"{LONGEST[kind]:,}",
            ),
            where=where,
            mend=message("Shorten it, or divide it between several fields or records."),
        )


def check_lengths(record: object) -> None:
    """Refuse a record that holds a text longer than its field may be.

    Args:
        record: any record; what stands within it is checked too.

    Raises:
        BadInput: a text is too long; all of them are told, each with its field.
    """
    if not _fits(record):
        with Problems() as problems:
            for text, kind, where in _too_long(record, ""):
                problems.value(None, check_length, text, kind, where)


def _fits(record: Any) -> bool:
    """Whether no text of a record is too long; told quickly, since it is asked of every record."""
    cls: Any = type(record)
    texts, lists, parts = _plan_of(cls)
    for read, longest in texts:
        if len(read(record)) > longest:
            return False
    for read, longest in lists:
        for text in read(record):
            if len(text) > longest:
                return False
    for read in parts:
        value = read(record)
        if isinstance(value, tuple):
            for part in value:
                if not _fits(part):
                    return False
        elif value is not None and not _fits(value):
            return False
    return True


def _too_long(record: Any, within: str) -> Iterator[tuple[str, Kind, str]]:
    cls: Any = type(record)
    for name, kind in _texts_of(cls):
        value = getattr(record, name)
        for text in (value,) if isinstance(value, str) else value or ():
            if isinstance(text, str) and len(text) > LONGEST[kind]:
                yield text, kind, joined((within, _WORDS.get(name, name)), ", ")
    for name in _parts_of(cls):
        value = getattr(record, name)
        if isinstance(value, tuple):
            for number, part in enumerate(value, 1):
                yield from _too_long(part, joined((within, _called(part, number)), ", "))
        elif value is not None:
            yield from _too_long(value, joined((within, name), ", "))


def _called(part: object, number: int) -> str:
    if isinstance(part, Term):
        return message("name %(number)s", number=number)
    if isinstance(part, Clause):
        return message("clause %(number)s", number=part.id)
    word = next((word for cls, word in _PARTS.items() if isinstance(part, cls)), "")
    return joined((word, str(number)))


@cache
def _plan_of(cls: Any) -> tuple[tuple[Limited, ...], tuple[Limited, ...], tuple[Read, ...]]:
    """How to read the texts of a class, its lists of texts, each with its limit, and its records."""
    hints: dict[str, Any] = dict(_hints(cls))
    limited = _texts_of(cls)
    texts = tuple((attrgetter(name), LONGEST[kind]) for name, kind in limited if hints[name] is str)
    lists = tuple((attrgetter(name), LONGEST[kind]) for name, kind in limited if hints[name] is not str)
    return texts, lists, tuple(map(attrgetter, _parts_of(cls)))


@cache
def _texts_of(cls: Any) -> tuple[tuple[str, Kind], ...]:
    """The fields of a class that are texts or lists of texts, with their kinds."""
    return tuple((name, kind_of_field(cls, name)) for name, hint in _hints(cls) if _is_text(hint))


@cache
def _parts_of(cls: Any) -> tuple[str, ...]:
    """The fields of a class that are records or lists of records."""
    return tuple(name for name, hint in _hints(cls) if not _is_text(hint) and _holds_record(hint))


def _hints(cls: type[Any]) -> tuple[tuple[str, Any], ...]:
    names: tuple[str, ...] = ()
    if is_dataclass(cls):
        names = tuple(field.name for field in fields(cls))
    elif issubclass(cls, msgspec.Struct):
        names = cls.__struct_fields__
    hints = get_type_hints(cls) if names else {}
    return tuple((name, hints[name]) for name in names)


def _is_text(hint: Any) -> bool:
    return hint is str or hint == tuple[str, ...]


def _holds_record(hint: Any) -> bool:
    if isinstance(hint, type):
        return is_dataclass(hint) or issubclass(hint, msgspec.Struct)
    return any(_holds_record(inner) for inner in get_args(hint))
