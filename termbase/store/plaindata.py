"""Dataclasses as JSON and back; messages in them stay messages.

For results that are computed once and shown later, by another process or in another language: the result of a
job, the findings of Proof, the preview of a file. A text that is a message (`termbase.messages`) is written
as its template and values, so that it can be shown later in the reader's language. A message that a language
builds by rules of its own is written once per language. Records are not stored this way: they have their own
tables.
"""

from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import lru_cache
from types import NoneType, UnionType
from typing import Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

import msgspec

from termbase.errors import BadInput
from termbase.messages import Message, Translator, joined, message, message_by, message_of_number, translate

__all__ = ["from_json", "to_json"]

T = TypeVar("T")


def to_json(value: object, speakers: Sequence[Translator] = ()) -> str:
    """Return dataclasses, enums, texts, numbers, tuples and mappings of them as JSON.

    Args:
        value: the value to store.
        speakers: translators into the languages in which it may be shown later, for messages that each
            language builds by rules of its own.
    """
    return msgspec.json.encode(_plain(value, speakers)).decode()


def from_json(kind: type[T], text: str | bytes) -> T:
    """Return the value that `to_json` wrote.

    Args:
        kind: its class, with type hints for all fields.
        text: the JSON.

    Raises:
        BadInput: it does not fit the class: another version of the program wrote it, or it is damaged.
    """
    try:
        return cast(T, _read(kind, msgspec.json.decode(text)))
    except (LookupError, TypeError, ValueError) as error:
        raise BadInput(
            message("The saved data cannot be read. Another version of the program may have saved it."),
            fix=message("Start again from the beginning."),
        ) from error


def _plain(value: object, speakers: Sequence[Translator]) -> object:
    if isinstance(value, Message):
        return _plain_message(value, speakers)
    if isinstance(value, Enum):
        return value.value
    if value is None or isinstance(value, (str, bool, int, float)):
        return value
    if is_dataclass(value) and not isinstance(value, type):
        return {each.name: _plain(getattr(value, each.name), speakers) for each in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): _plain(member, speakers) for key, member in value.items()}
    if isinstance(value, (tuple, list)):
        return [_plain(member, speakers) for member in value]
    raise TypeError(f"cannot be stored: {type(value).__name__}")


def _plain_message(text: Message, speakers: Sequence[Translator]) -> object:
    if text.by is not None:
        translations = {speaker.language: translate(text, speaker) for speaker in speakers}
        return {"text": str(text), "said": translations} if translations else str(text)
    if text.parts:
        parts = [_plain(part, speakers) for part in text.parts]
        return {"parts": parts, "between": _plain(text.between, speakers)}
    document: dict[str, object] = {"message": text.template}
    if text.many:
        document["many"] = text.many
    if text.values:
        document["with"] = {name: _plain_value(value, speakers) for name, value in text.values.items()}
    return document


def _plain_value(value: object, speakers: Sequence[Translator]) -> object:
    known = value is None or isinstance(value, (str, int, float))
    return _plain(value, speakers) if known else str(value)


def _read(kind: object, stored: object) -> object:
    """Return a decoded value as an object of a type.

    Raises:
        LookupError, TypeError, ValueError: it does not fit.
    """
    if kind is str:
        return _text(stored)
    if kind in (int, float, bool, NoneType):
        return _simple(kind, stored)
    origin, within = get_origin(kind), get_args(kind)
    if origin is Literal:
        return within[within.index(stored)]
    if origin in (Union, UnionType):
        return _one_of(within, stored)
    if origin in (tuple, list):
        return _sequence(origin, within, _list(stored))
    if origin is not None and isinstance(origin, type) and issubclass(origin, Mapping):
        return {_read(within[0], key): _read(within[1], member) for key, member in _mapping(stored).items()}
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind(stored)
    if isinstance(kind, type) and is_dataclass(kind):
        hints, given = _hints(kind), _mapping(stored)
        return kind(**{name: _read(hints[name], value) for name, value in given.items()})
    raise TypeError(f"cannot be read back: {kind}")


@lru_cache(maxsize=200)
def _hints(kind: type) -> dict[str, object]:
    return dict(get_type_hints(kind))


def _simple(kind: object, stored: object) -> object:
    fits = (
        stored is None
        if kind is NoneType
        else type(stored) is kind or (kind is float and type(stored) is int)
    )
    if not fits:
        raise TypeError(f"{stored!r} is not of {kind}")
    return stored


def _one_of(kinds: tuple[object, ...], stored: object) -> object:
    for kind in kinds:
        try:
            return _read(kind, stored)
        except (LookupError, TypeError, ValueError):
            continue
    raise TypeError(f"{stored!r} is not of any of {kinds}")


def _sequence(origin: object, within: tuple[object, ...], stored: list[object]) -> object:
    if origin is list:
        return [_read(within[0], member) for member in stored]
    if within[-1] is ...:
        return tuple(_read(within[0], member) for member in stored)
    return tuple(_read(kind, member) for kind, member in zip(within, stored, strict=True))


def _list(stored: object) -> list[object]:
    if not isinstance(stored, list):
        raise TypeError("not a list")
    return stored


def _mapping(stored: object) -> dict[str, object]:
    if not isinstance(stored, dict):
        raise TypeError("not a mapping")
    return stored


def _text(stored: object) -> str:
    """Return a text, or the message that it was."""
    if isinstance(stored, str):
        return stored
    document = _mapping(stored)
    if "said" in document:
        text, translations = _text(document["text"]), _mapping(document["said"])
        return message_by(text, lambda speaker: str(translations.get(speaker.language, text)))
    if "parts" in document:
        return joined((_text(part) for part in _list(document["parts"])), _text(document["between"]))
    values = {name: _value(value) for name, value in _mapping(document.get("with", {})).items()}
    template = str(document["message"])
    if "many" in document:
        n = values.pop("n")
        if not isinstance(n, int):
            raise TypeError("not a number")
        return message_of_number(template, str(document["many"]), n, **values)
    return message(template, **values)


def _value(stored: object) -> object:
    return _text(stored) if isinstance(stored, dict) else stored
