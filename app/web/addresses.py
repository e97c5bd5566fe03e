"""Where the page of a record is, by its kind and id, and what numbers in addresses and forms may be."""

from flask import url_for
from werkzeug.routing import IntegerConverter, Map, ValidationError

__all__ = ["MOST_DIGITS", "Number", "address_of", "whole_number"]

MOST_DIGITS = 18  # a database takes whole numbers up to 2^63, which has 19

MOST_NUMBER = 2**63 - 1
"""The largest whole number that a database takes."""


def address_of(kind: str, record_id: str) -> str:
    """The address at which a record is looked at and mended; the first page for a kind that has none."""
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
    """The whole number that is written in digits; None for anything else, and for too large a number."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS else None


class Number(IntegerConverter):
    """A whole number in an address; one that no database takes leads to no page."""

    def __init__(self, addresses: Map) -> None:
        super().__init__(addresses, min=0, max=MOST_NUMBER)

    def to_python(self, value: str) -> int:
        """The number; digits without end are not even read."""
        if len(value) > len(str(MOST_NUMBER)):
            raise ValidationError
        return int(super().to_python(value))
