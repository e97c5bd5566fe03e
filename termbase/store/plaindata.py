"""Dataclasses as JSON and back, with the messages in them still messages.

For what is worked out once and shown later, by another process or in another language: what a job made, what
Proof found, what a file would change. A text that is a message (`termbase.messages`) is written as its
sentence and its values, so whoever reads it later can say it in the language of that reader. A message that
a language makes by rules of its own is written as each speaker says it. Records are not kept this way: their
form is that of the tables.
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
    """Dataclasses, enums, texts, numbers, tuples and mappings of them, as JSON.

    Args:
        value: what is to be kept.
        speakers: those who may say it later, for messages that each language makes by rules of its own.
    """
    return msgspec.json.encode(_plain(value, speakers)).decode()


def from_json(kind: type[T], text: str | bytes) -> T:
    """What `to_json` wrote.

    Args:
        kind: the class that it was, with type hints for all of its fields.
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
        return {one.name: _plain(getattr(value, one.name), speakers) for one in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): _plain(one, speakers) for key, one in value.items()}
    if isinstance(value, (tuple, list)):
        return [_plain(one, speakers) for one in value]
    raise TypeError(f"cannot be kept: {type(value).__name__}")


def _plain_message(text: Message, speakers: Sequence[Translator]) -> object:
    if text.by is not None:
        said = {speaker.language: translate(text, speaker) for speaker in speakers}
        return {"text": str(text), "said": said} if said else str(text)
    if text.parts:
        parts = [_plain(part, speakers) for part in text.parts]
        return {"parts": parts, "between": _plain(text.between, speakers)}
    found: dict[str, object] = {"message": text.template}
    if text.many:
        found["many"] = text.many
    if text.values:
        found["with"] = {name: _plain_value(value, speakers) for name, value in text.values.items()}
    return found


def _plain_value(value: object, speakers: Sequence[Translator]) -> object:
    known = value is None or isinstance(value, (str, int, float))
    return _plain(value, speakers) if known else str(value)


def _read(kind: object, found: object) -> object:
    """What was kept, as a type says.

    Raises:
        LookupError, TypeError, ValueError: it does not fit.
    """
    if kind is str:
        return _text(found)
    if kind in (int, float, bool, NoneType):
        return _simple(kind, found)
    origin, within = get_origin(kind), get_args(kind)
    if origin is Literal:
        return within[within.index(found)]
    if origin in (Union, UnionType):
        return _one_of(within, found)
    if origin in (tuple, list):
        return _row(origin, within, _list(found))
    if origin is not None and isinstance(origin, type) and issubclass(origin, Mapping):
        return {_read(within[0], key): _read(within[1], one) for key, one in _mapping(found).items()}
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind(found)
    if isinstance(kind, type) and is_dataclass(kind):
        hints, given = _hints(kind), _mapping(found)
        return kind(**{name: _read(hints[name], one) for name, one in given.items()})
    raise TypeError(f"cannot be read back: {kind}")


@lru_cache(maxsize=200)
def _hints(kind: type) -> dict[str, object]:
    return dict(get_type_hints(kind))


def _simple(kind: object, found: object) -> object:
    fits = (
        found is None if kind is NoneType else type(found) is kind or (kind is float and type(found) is int)
    )
    if not fits:
        raise TypeError(f"{found!r} is not of {kind}")
    return found


def _one_of(kinds: tuple[object, ...], found: object) -> object:
    for kind in kinds:
        try:
            return _read(kind, found)
        except (LookupError, TypeError, ValueError):
            continue
    raise TypeError(f"{found!r} is of none of {kinds}")


def _row(origin: object, within: tuple[object, ...], found: list[object]) -> object:
    if origin is list:
        return [_read(within[0], one) for one in found]
    if within[-1] is ...:
        return tuple(_read(within[0], one) for one in found)
    return tuple(_read(kind, one) for kind, one in zip(within, found, strict=True))


def _list(found: object) -> list[object]:
    if not isinstance(found, list):
        raise TypeError("no list")
    return found


def _mapping(found: object) -> dict[str, object]:
    if not isinstance(found, dict):
        raise TypeError("no mapping")
    return found


def _text(found: object) -> str:
    """A text, or the message that it was."""
    if isinstance(found, str):
        return found
    kept = _mapping(found)
    if "said" in kept:
        text, said = _text(kept["text"]), _mapping(kept["said"])
        return message_by(text, lambda speaker: str(said.get(speaker.language, text)))
    if "parts" in kept:
        return joined((_text(part) for part in _list(kept["parts"])), _text(kept["between"]))
    values = {name: _value(value) for name, value in _mapping(kept.get("with", {})).items()}
    template = str(kept["message"])
    if "many" in kept:
        n = values.pop("n")
        if not isinstance(n, int):
            raise TypeError("no number")
        return message_of_number(template, str(kept["many"]), n, **values)
    return message(template, **values)


def _value(found: object) -> object:
    return _text(found) if isinstance(found, dict) else found
