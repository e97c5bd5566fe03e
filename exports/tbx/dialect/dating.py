"""Dates that come in: one that is no EDTF would stop every page and every book that shows it."""

from functools import lru_cache

from termbase import dates
from termbase.errors import BadInput

__all__ = ["DATES", "fault_of_date"]

DATES = frozenset({"code.period", "slip.date", "source.issued", "trial.date"})
"""The fields of the record that hold an EDTF date, by path."""


@lru_cache(maxsize=65536)
def fault_of_date(text: str) -> str:
    """What is wrong with a date, one sentence; empty where it is EDTF, or is not said."""
    try:
        if text:
            dates.parse(text)
    except BadInput as error:
        return error.what
    return ""
