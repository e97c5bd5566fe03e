"""The page address of a record by kind and id, and the limits of numbers in addresses and forms."""

from flask import url_for
from werkzeug.routing import IntegerConverter, Map, ValidationError

__all__ = ["MOST_DIGITS", "Number", "address_of", "whole_number"]

MOST_DIGITS = 18  # a database accepts whole numbers up to 2^63, which has 19 digits

MOST_NUMBER = 2**63 - 1
"""The largest whole number that a database accepts."""


def address_of(kind: str, record_id: str) -> str:
    """Return the address where a record is viewed and edited; the start page for a kind without one."""
    match kind:
        case "entry":
            return f"{url_for('entries.index')}/{record_id}"
        case "source":
            return url_for("sources.show", source_id=record_id)
        case "slip":
            return url_for("sources.edit_slip", slip_id=record_id)
        case "page":
            return f"{url_for('pages.index')}/{record_id}"
        case "code":
            return f"{url_for('rules.index')}/{record_id}"
        case "termbase":
            return url_for("publish.termbase")
        case "trial":
            return f"{url_for('trials.index')}/{record_id}"
    return "/"


def whole_number(text: str) -> int | None:
    """Return the whole number written in digits; None for anything else or too large a number."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS else None


class Number(IntegerConverter):
    """A whole number in an address; one that is too large for a database gives a 404."""

    def __init__(self, addresses: Map) -> None:
        super().__init__(addresses, min=0, max=MOST_NUMBER)

    def to_python(self, value: str) -> int:
        """Return the number; too many digits are rejected before parsing."""
        if len(value) > len(str(MOST_NUMBER)):
            raise ValidationError
        return int(super().to_python(value))
