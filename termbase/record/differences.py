"""What changed, field by field, in words: for the history of any record.

Pure: it compares two states of a record as stored in the history (JSON), using the fields that its class
declares. Keys without a field, from an older or newer version, are shown by their own name. List members with
an id (names) are matched by it, others by position.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass

from msgspec import Struct, ValidationError, convert

from termbase.codes.wording import statement_text
from termbase.fields.declarations import DeclaredField, Id, Part, Reason, Text, field_of, fields_of
from termbase.fields.notes import CodedText
from termbase.messages import Message, joined, message
from termbase.record.lines import path_said

__all__ = ["Difference", "differences"]

Json = None | bool | int | float | str | list["Json"] | dict[str, "Json"]


@dataclass(frozen=True)
class Difference:
    """One field that differs.

    Attributes:
        field: which, in words: `name “hank”, usage note`.
        before, after: its values in words; empty if there was or is none.
    """

    field: str
    before: str
    after: str


def differences(before: str | None, after: str | None, cls: type | None) -> tuple[Difference, ...]:
    """Return the fields in which two states of a record differ, in the record's order.

    Args:
        before, after: the states as JSON; None if the record did not exist.
        cls: the class of the record; None for one that this version does not know.
    """
    old, new = _object(before), _object(after)
    return tuple(_of_objects("", old, new, cls))


def _object(text: str | None) -> dict[str, Json]:
    result = json.loads(text) if text else {}
    return result if isinstance(result, dict) else {}


def _of_objects(
    path: str, old: dict[str, Json], new: dict[str, Json], cls: type | None
) -> Iterator[Difference]:
    for key in dict.fromkeys((*old, *new)):
        field = _field(cls, key)
        if not _is_bookkeeping(field) and old.get(key) != new.get(key):
            yield from _of_values(_joined(path, _field_word(field, key)), old.get(key), new.get(key), field)


def _of_values(path: str, old: Json, new: Json, field: DeclaredField | None) -> Iterator[Difference]:
    if field and isinstance(field.is_a, Reason | Part):
        words = _value_words(old, field), _value_words(new, field)
        if any(words):  # a new record has no earlier values
            yield Difference(path, *words)
        return
    if isinstance(old or new, list):
        old, new = old or [], new or []  # a list in a record that was created or deleted
    if _is_statement(old) or _is_statement(new):
        yield Difference(path, _value_words(old, field), _value_words(new, field))
    elif isinstance(old, dict) and isinstance(new, dict):
        yield from _of_objects(path, old, new, _class(field, new))
    elif isinstance(old, list) and isinstance(new, list) and any(isinstance(m, dict) for m in (*old, *new)):
        yield from _of_lists(path, old, new, field)
    elif _value_words(old, field) != _value_words(new, field):
        yield Difference(path, _value_words(old, field), _value_words(new, field))


def _of_lists(
    path: str, old: list[Json], new: list[Json], field: DeclaredField | None
) -> Iterator[Difference]:
    before, after = _by_key(old), _by_key(new)
    for key in dict.fromkeys((*before, *after)):
        old_member, new_member = before.get(key), after.get(key)
        if old_member == new_member:
            continue
        name = joined((path, _member_name(old_member if old_member is not None else new_member, field)))
        if isinstance(old_member, dict) and isinstance(new_member, dict):
            yield from _of_objects(name, old_member, new_member, _class(field, new_member))
        else:
            yield Difference(name, _value_words(old_member, field), _value_words(new_member, field))
    kept = [key for key in before if key in after]
    if kept != [key for key in after if key in before]:
        rows = (_row(before, kept, field), _row(after, list(after), field))
        yield Difference(_joined(path, message("order")), *rows)


def _by_key(members: list[Json]) -> dict[str, Json]:
    result: dict[str, Json] = {}
    for number, member in enumerate(members):
        member_id = member.get("id") if isinstance(member, dict) else None
        result[str(member_id) if member_id else str(number)] = member
    return result


def _row(members: dict[str, Json], keys: list[str], field: DeclaredField | None) -> str:
    return joined((_member_name(members[key], field) for key in keys if key in members), ", ")


def _member_name(member: Json, field: DeclaredField | None) -> str:
    """Return the display name of a list member: its first title that is not empty."""
    if not isinstance(member, dict):
        return _value_words(member, field)
    cls = _class(field, member)
    titles = (f for f in fields_of(cls) if f.is_a.title) if cls else ()
    title = next((_value_words(member[f.name], f) for f in titles if member.get(f.name)), "")
    return message("“%(name)s”", name=title) if isinstance(title, Message) else title and f"“{title}”"


def _field(cls: type | None, key: str) -> DeclaredField | None:
    """Return the field with this key, or None."""
    try:
        return field_of(cls, key) if cls else None
    except KeyError:
        return None


def _class(field: DeclaredField | None, value: dict[str, Json]) -> type | None:
    """Return the class of a nested record; if there are several, the value holds its tag."""
    if field is None or len(field.within) < 2:
        return field.of if field else None
    matching = (cls for cls in field.within if _tag(cls) in value.items())
    return next(matching, None)


def _tag(cls: type) -> tuple[str, Json]:
    """Return the key and value that distinguish records of a class in a mixed list."""
    if not issubclass(cls, Struct):
        return "", None
    config = cls.__struct_config__
    return str(config.tag_field), str(config.tag)


def _is_bookkeeping(field: DeclaredField | None) -> bool:
    return field is not None and (field.is_a.bookkeeping or isinstance(field.is_a, Id))


def _field_word(field: DeclaredField | None, key: str) -> str:
    return field.word if field else key.replace("_", " ")


def _is_statement(value: Json) -> bool:
    """Whether this is a statement of a profile: a value with its basis."""
    return isinstance(value, dict) and "value" in value and "basis" in value


def _value_words(value: Json, field: DeclaredField | None) -> str:
    """Return a value in words; `field` is its field, or None."""
    if value is None or value in ("", [], {}):
        return ""
    if isinstance(value, bool):
        return message("yes") if value else message("no")
    if field and isinstance(field.is_a, Reason) and isinstance(value, dict):
        try:
            return statement_text(convert(value, CodedText))
        except ValidationError:  # no version of the program has ever written it
            return _value_words(value, None)
    if field and isinstance(field.is_a, Part) and isinstance(value, list):
        return path_said(tuple(step for step in value if isinstance(step, str | int)))
    if isinstance(value, list):
        return joined((_value_words(member, field) for member in value), ", ")
    if not isinstance(value, dict):
        return _text_words(str(value), field)
    if _is_statement(value):
        basis = joined((message(str(value["basis"])), str(value.get("ref") or "")))
        return message("%(value)s (%(basis)s)", value=_value_words(value["value"], field), basis=basis)
    if "by" in value and "on" in value and "reopened" in value:
        if not value["by"]:
            return _value_words(value["reopened"], _field(_class(field, value), "reopened"))
        return message("signed by %(person)s, %(date)s", person=value["by"], date=value["on"])
    parts = _part_words(value, _class(field, value))
    return joined((joined((name, words), ": ") for name, words in parts if words), "; ")


def _part_words(value: dict[str, Json], cls: type | None) -> Iterator[tuple[str, str]]:
    """Return the fields of a nested record, each with its value, in words."""
    for name, member in value.items():
        field = _field(cls, name)
        if cls and _tag(cls) == (name, member):
            yield message("kind"), message(str(member))
        elif not _is_bookkeeping(field):
            yield _field_word(field, name), _value_words(member, field)


def _text_words(text: str, field: DeclaredField | None) -> str:
    """Return a text, as a message if it is one of our words."""
    if field is None:
        return text
    ours = text in field.words or (isinstance(field.is_a, Text) and field.is_a.worded)
    return message(text) if ours else text


def _joined(path: str, word: str) -> str:
    return joined((path, word), ", ")
