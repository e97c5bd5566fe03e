"""What a change changed, field by field, in words: for the history of any record.

Pure: it compares two states of a record as the history keeps them (JSON), whatever kind they are of. Members
of lists that have an id of their own (names) are compared by it, others by their place.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import msgspec

from termbase.codes import worded
from termbase.linepatterns.partpaths import path_said
from termbase.messages import Message, joined, message
from termbase.notes import Said

__all__ = ["BOOKKEEPING", "Difference", "differences", "field_word"]

Json = None | bool | int | float | str | list["Json"] | dict[str, "Json"]

BOOKKEEPING: Final = frozenset(
    {"version", "changed_by", "changed_on", "created_by", "created_on", "image_id", "data", "sort_text"}
)
"""Fields that say nothing of what was changed; who and when stand beside the change anyway."""

_PLAIN: Final[dict[str, str]] = {
    "terms": "name",
    "definitions": "definition",
    "relations": "relation",
    "analogues": "analogue",
    "figures": "figure",
    "rulings": "ruling",
    "clauses": "clause",
    "forms": "form",
    "foreign_notes": "note from elsewhere",
    "text_language": "language of the text",
    "roles": "role",
    "source_id": "source",
    "term_id": "bears witness to",
    "target_id": "to",
    "code_id": "rule code",
    "entry_ids": "entry",
    "entry_id": "entry",
    "image_ids": "picture",
    "image_id": "picture",
    "joined_to": "joined to",
    "apart": "a witness of its own",
    "presence": "the name is there",
    "reopened": "why it is open",
}
_CLOSED: Final = frozenset(
    {
        *("topic", "origin", "status", "type", "part_of_speech", "gender", "number", "register"),
        *("kind", "certainty", "presence", "outcome", "roles", "state", "verdict", "family", "value"),
        "label",
    }
)
"""Fields whose values are words of closed lists or statements of a profile, and labels of forms."""
_REASONS: Final = frozenset({"why", "reason", "reopened"})
"""Fields that hold what was said (`termbase.notes`): a code of ours, or a person's own words."""
_WHOLE: Final = frozenset({*_REASONS, "part"})
"""Fields whose values are told as one, whatever they are made of."""
_NAMING: Final = ("text", "name", "caption", "label", "kind", "code_id", "family")
"""Fields that say, in this order, what a member of a list is called."""


@dataclass(frozen=True)
class Difference:
    """One field that differs.

    Attributes:
        field: which, in words: `name “hank”, usage note`.
        before, after: its values in words; empty where there was or is none.
    """

    field: str
    before: str
    after: str


def differences(before: str | None, after: str | None) -> tuple[Difference, ...]:
    """The fields in which two states of one record differ, in the order of the record.

    Args:
        before, after: the states as JSON; None where the record did not exist.
    """
    old, new = _object(before), _object(after)
    return tuple(_of_objects("", old, new))


def _object(text: str | None) -> dict[str, Json]:
    found = json.loads(text) if text else {}
    return found if isinstance(found, dict) else {}


def _of_objects(path: str, old: dict[str, Json], new: dict[str, Json]) -> Iterator[Difference]:
    for key in dict.fromkeys((*old, *new)):
        if key in BOOKKEEPING or key == "id" or old.get(key) == new.get(key):
            continue
        yield from _of_values(_joined(path, field_word(key)), old.get(key), new.get(key), key)


def _of_values(path: str, old: Json, new: Json, key: str) -> Iterator[Difference]:
    if key in _WHOLE:
        yield Difference(path, _told(old, key), _told(new, key))
        return
    if isinstance(old or new, list):
        old, new = old or [], new or []  # a list of a record that was made or taken away
    if _is_said(old) or _is_said(new):
        yield Difference(path, _told(old), _told(new))
    elif isinstance(old, dict) and isinstance(new, dict):
        yield from _of_objects(path, old, new)
    elif isinstance(old, list) and isinstance(new, list) and any(isinstance(m, dict) for m in (*old, *new)):
        yield from _of_lists(path, old, new)
    elif _told(old) != _told(new):
        yield Difference(path, _told(old, key), _told(new, key))


def _of_lists(path: str, old: list[Json], new: list[Json]) -> Iterator[Difference]:
    before, after = _by_key(old), _by_key(new)
    for key in dict.fromkeys((*before, *after)):
        was, now = before.get(key), after.get(key)
        if was == now:
            continue
        called = joined((path, _called(was if was is not None else now)))
        if isinstance(was, dict) and isinstance(now, dict):
            yield from _of_objects(called, was, now)
        else:
            yield Difference(called, _told(was), _told(now))
    kept = [key for key in before if key in after]
    if kept != [key for key in after if key in before]:
        yield Difference(_joined(path, message("order")), _row(before, kept), _row(after, list(after)))


def _by_key(members: list[Json]) -> dict[str, Json]:
    found: dict[str, Json] = {}
    for number, member in enumerate(members):
        own = member.get("id") if isinstance(member, dict) else None
        found[str(own) if own else str(number)] = member
    return found


def _row(members: dict[str, Json], keys: list[str]) -> str:
    return joined((_called(members[key]) for key in keys if key in members), ", ")


def _called(member: Json) -> str:
    if not isinstance(member, dict):
        return _told(member)
    name = next((name for name in _NAMING if member.get(name)), "")
    told = _told(member[name], name) if name else ""
    return message("“%(name)s”", name=told) if isinstance(told, Message) else told and f"“{told}”"


def _is_said(value: Json) -> bool:
    """Whether it is a statement of a profile: a value with its basis."""
    return isinstance(value, dict) and "value" in value and "basis" in value


def _told(value: Json, key: str = "") -> str:
    """A value in words; `key` is the field that it is of."""
    if value is None or value in ("", [], {}):
        return ""
    if isinstance(value, bool):
        return message("yes") if value else message("no")
    if key in _REASONS:
        return _reason_told(value, key)
    if key == "part" and isinstance(value, list):
        return path_said(tuple(step for step in value if isinstance(step, (str, int))))
    if isinstance(value, list):
        return joined((_told(member, key) for member in value), ", ")
    if not isinstance(value, dict):
        return _text_told(str(value), key)
    if _is_said(value):
        rests = joined((message(str(value["basis"])), str(value.get("ref") or "")))
        return message("%(value)s (%(basis)s)", value=_told(value["value"], "value"), basis=rests)
    if "by" in value and "on" in value and "reopened" in value:
        if not value["by"]:
            return _told(value["reopened"], "reopened")
        return message("signed by %(person)s, %(date)s", person=value["by"], date=value["on"])
    parts = (
        (field_word(name), _told(member, name))
        for name, member in value.items()
        if name not in BOOKKEEPING and name != "id"
    )
    return joined((joined((name, told), ": ") for name, told in parts if told), "; ")


def _reason_told(value: Json, key: str) -> str:
    if isinstance(value, dict):
        return worded(msgspec.convert(value, Said))
    return message(str(value)) if key == "why" else str(value)  # why a print differs; a ruling's reason


def _text_told(text: str, key: str) -> str:
    return message(text) if key in _CLOSED else text


def _joined(path: str, word: str) -> str:
    return joined((path, word), ", ")


def field_word(key: str) -> str:
    """What a field of a record is called in words, a message."""
    return message(_PLAIN.get(key, key.replace("_", " ")))
