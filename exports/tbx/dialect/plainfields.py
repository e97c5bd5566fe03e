"""Fields of TBX-Wordhold that stand as plain text: read by their declaration."""

from enum import StrEnum
from typing import Final

from exports.tbx.xmltext import record_id
from termbase.fields import Count, Declared, Flag, Reference

__all__ = ["value_of"]

YES: Final = "yes"


def value_of(field: Declared, text: str) -> str | int | bool | StrEnum:
    """The value of a field from its text.

    Raises:
        ValueError: it is no number, or no word of the closed list.
    """
    if isinstance(field.is_a, Flag):
        return text == YES
    if isinstance(field.is_a, Count):
        if not (text.isascii() and text.isdigit()):
            raise ValueError(text)
        return int(text)
    if isinstance(field.is_a, Reference) and field.is_a.to == "image":
        return record_id("image", text)
    return field.members(text) if field.members else text
