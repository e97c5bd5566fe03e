"""Objects of the back matter of TBX-Wordhold, read; `exports.tbx.records` writes them."""

import base64
import binascii
from collections.abc import Callable, Mapping, Sequence

import msgspec

from exports.tbx.dialect.dating import DATES, fault_of_date
from exports.tbx.records import How, ItemField, Record, Section, item_fields
from termbase.messages import message

__all__ = ["BadItem", "read_object"]


class BadItem(ValueError):
    """An item of an object that cannot be taken.

    Attributes:
        item: its type; empty where the object as a whole is meant.
        what: what is wrong with it, one sentence.
    """

    def __init__(self, item: str, what: str) -> None:
        super().__init__(item, what)
        self.item = item
        self.what = what


def read_object(section: Section, record_id: str, items: Sequence[tuple[str, str]]) -> Record:
    """The record of an object from the types and texts of its items.

    Raises:
        BadItem: an item is not known, stands there twice, or holds what its field cannot.
    """
    by_item = {field.item: field for field in item_fields(section.kind)}
    values: dict[str, object] = {"id": record_id}
    lists: dict[str, list[object]] = {}
    for kind, text in items:
        if not kind and not text:
            continue
        field = by_item.get(kind)
        if field is None:
            raise BadItem(kind, message("There is no such field."))
        value = _value(field, text)
        if f"{section.kind}.{field.name}" in DATES and (wrong := fault_of_date(text)):
            raise BadItem(kind, wrong)
        if field.how in ("list", "json list"):
            lists.setdefault(field.name, []).append(value)
        elif field.name in values:
            raise BadItem(kind, message("It stands there twice."))
        else:
            values[field.name] = value
    if "version" in section.cls.__dataclass_fields__:
        values.setdefault("version", 1)
    try:
        return msgspec.convert({**values, **lists}, section.cls)
    except msgspec.ValidationError as error:
        what, _, path = str(error).partition(" - at `$.")
        name = path.partition("`")[0].partition("[")[0]
        found = next((f.item for f in item_fields(section.kind) if f.name == name), "")
        raise BadItem(found, f"{what}.") from error


def _value(field: ItemField, text: str) -> object:
    try:
        return _READ[field.how](text)
    except (ValueError, msgspec.DecodeError, binascii.Error) as error:
        raise BadItem(field.item, message("It cannot be read: %(error)s.", error=str(error)[:200])) from error


def _flag(text: str) -> bool:
    if text not in ("yes", "no"):
        raise ValueError(f"{text!r} is neither yes nor no")
    return text == "yes"


def _bytes(text: str) -> bytes:
    return base64.b64decode("".join(text.split()), validate=True)


_READ: Mapping[How, Callable[[str], object]] = {
    "text": str,
    "list": str,
    "number": int,
    "flag": _flag,
    "json": msgspec.json.decode,
    "json list": msgspec.json.decode,
    "bytes": _bytes,
}
