"""Maximum text lengths, checked in one place for forms and files alike.

Each field declares its own limit (`termbase.fields.declarations`).
"""

from collections.abc import Callable, Iterator
from functools import cache
from operator import attrgetter

from termbase.errors import BadInput, Problems
from termbase.fields.declarations import (
    LONGEST,
    Items,
    Length,
    Lines,
    Nested,
    Path,
    Reason,
    Text,
    fields_of,
    path_words,
)
from termbase.fields.notes import CodedText
from termbase.messages import message

__all__ = ["check_length", "check_lengths", "too_long"]


def too_long(text: str, length: Length, where: str = "", path: Path = ()) -> BadInput:
    """Return the error for a text that is too long; it gives the length and the limit."""
    return BadInput(
        message(
            "The text is %(n)s characters long, but at most %(most)s are allowed here.",
            n=f"{len(text):,}",
            most=f"{LONGEST[length]:,}",
        ),
        where=where,
        fix=message("Shorten it, or split it into several fields or records."),
        path=path,
    )


def check_length(text: str, length: Length, where: str) -> None:
    """Refuse a text that is too long.

    Args:
        text: the text.
        length: its maximum length.
        where: the field, for the message.

    Raises:
        BadInput: it is too long; the message gives the length and the limit.
    """
    if len(text) > LONGEST[length]:
        raise too_long(text, length, where)


def check_lengths(record: object) -> None:
    """Refuse a record with a text that is too long for its field.

    Args:
        record: any record with declared fields; nested records are checked too.

    Raises:
        BadInput: a text is too long; all of them are reported, each with its path.
    """
    if not _fits(record):
        with Problems() as problems:
            for text, length, path in _too_long(record, ()):
                problems.add(too_long(text, length, path_words(record, path), path))


def _fits(record: object) -> bool:
    """Whether no text in a record is too long; fast, since every record is checked."""
    cls: type = type(record)
    texts, lists, parts = _plan_of(cls)
    for text_of, most in texts:
        if len(text_of(record)) > most:
            return False
    for texts_of, most in lists:
        for text in texts_of(record):
            if len(text) > most:
                return False
    for part_of in parts:
        value = part_of(record)
        if isinstance(value, tuple):
            for part in value:
                if not _fits(part):
                    return False
        elif value is not None and not _fits(value):
            return False
    return True


def _too_long(record: object, path: Path) -> Iterator[tuple[str, Length, Path]]:
    cls: type = type(record)
    for field in fields_of(cls):
        value: object = getattr(record, field.name)
        here = (*path, field.name)
        if isinstance(field.is_a, Text | Lines):
            for text in value if isinstance(value, tuple) else (value,):
                if isinstance(text, str) and len(text) > LONGEST[field.is_a.length]:
                    yield text, field.is_a.length, here
        elif isinstance(value, CodedText) and len(value.text) > LONGEST["line"]:
            yield value.text, "line", here
        elif isinstance(field.is_a, Items | Nested) and value is not None:
            if isinstance(value, tuple):
                for number, part in enumerate(value):
                    yield from _too_long(part, (*here, number))
            else:
                yield from _too_long(value, here)


_Texts = tuple[tuple[Callable[[object], str], int], ...]
_Lists = tuple[tuple[Callable[[object], tuple[str, ...]], int], ...]
_Parts = tuple[Callable[[object], object], ...]


@cache
def _plan_of(cls: type) -> tuple[_Texts, _Lists, _Parts]:
    """How to read a class's texts and lists of texts, each with its limit, and its nested records."""
    fields = fields_of(cls)
    return (
        (
            *((attrgetter(f.name), LONGEST[f.is_a.length]) for f in fields if isinstance(f.is_a, Text)),
            *((attrgetter(f"{f.name}.text"), LONGEST["line"]) for f in fields if isinstance(f.is_a, Reason)),
        ),
        tuple((attrgetter(f.name), LONGEST[f.is_a.length]) for f in fields if isinstance(f.is_a, Lines)),
        tuple(attrgetter(f.name) for f in fields if isinstance(f.is_a, Items | Nested)),
    )
