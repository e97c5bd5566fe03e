"""What a change changed, field by field, in words: for the history of any record.

Pure: it compares two states of a record as the history keeps them (JSON), whatever kind they are of. Members
of lists that have an id of their own (names) are compared by it, others by their place.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

__all__ = ["Difference", "differences"]

Json = None | bool | int | float | str | list["Json"] | dict[str, "Json"]

_BOOKKEEPING: Final = frozenset(
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
}
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
        if key in _BOOKKEEPING or (key == "id"):
            continue
        yield from _of_values(_joined(path, _words(key)), old.get(key), new.get(key))


def _of_values(path: str, old: Json, new: Json) -> Iterator[Difference]:
    if old == new:
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
        yield Difference(path, _told(old), _told(new))


def _of_lists(path: str, old: list[Json], new: list[Json]) -> Iterator[Difference]:
    before, after = _by_key(old), _by_key(new)
    for key in dict.fromkeys((*before, *after)):
        was, now = before.get(key), after.get(key)
        if was == now:
            continue
        called = f"{path} {_called(was if was is not None else now)}".strip()
        if isinstance(was, dict) and isinstance(now, dict):
            yield from _of_objects(called, was, now)
        else:
            yield Difference(called, _told(was), _told(now))
    kept = [key for key in before if key in after]
    if kept != [key for key in after if key in before]:
        yield Difference(_joined(path, "order"), _row(before, kept), _row(after, list(after)))


def _by_key(members: list[Json]) -> dict[str, Json]:
    found: dict[str, Json] = {}
    for number, member in enumerate(members):
        own = member.get("id") if isinstance(member, dict) else None
        found[str(own) if own else str(number)] = member
    return found


def _row(members: dict[str, Json], keys: list[str]) -> str:
    return ", ".join(_called(members[key]) for key in keys if key in members)


def _called(member: Json) -> str:
    if not isinstance(member, dict):
        return _told(member)
    value = next((member[name] for name in _NAMING if member.get(name)), "")
    return f"“{value}”" if value else ""


def _is_said(value: Json) -> bool:
    """Whether it is a statement of a profile: a value with its basis."""
    return isinstance(value, dict) and "value" in value and "basis" in value


def _told(value: Json) -> str:
    if value is None or value in ("", [], {}):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(_told(member) for member in value)
    if not isinstance(value, dict):
        return str(value)
    if _is_said(value):
        rests = f" ({value['basis']}{' ' + str(value['ref']) if value.get('ref') else ''})"
        return _told(value["value"]) + rests
    if "by" in value and "on" in value and "reopened" in value:
        return f"signed by {value['by']}, {value['on']}" if value["by"] else str(value["reopened"] or "")
    parts = (
        (_words(key), _told(member))
        for key, member in value.items()
        if key not in _BOOKKEEPING and key != "id"
    )
    return "; ".join(f"{key}: {told}" for key, told in parts if told)


def _joined(path: str, word: str) -> str:
    return f"{path}, {word}" if path else word


def _words(key: str) -> str:
    return _PLAIN.get(key, key.replace("_", " "))
