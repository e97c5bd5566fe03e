"""Every code that the record keeps, and what it says: a subject has a table, and all are put together here.

A code never changes and never goes; the test of this room holds that. Its sentence may change.
"""

from types import MappingProxyType
from typing import Final

from termbase.codes.deeds import Deed, LineDeed, ReadingName
from termbase.codes.lines import Aside, Expected, LinePart, Problem, Through, VerdictSaid
from termbase.codes.readings import Covered, Reopened
from termbase.messages import joined, message, message_of_number
from termbase.notes import Code, Said, Value

__all__ = ["CODES", "TABLES", "worded", "written_out"]

TABLES: Final[tuple[type[Code], ...]] = (
    *(Deed, LineDeed, ReadingName, Reopened, Covered),
    *(Aside, Through, VerdictSaid, Problem, Expected, LinePart),
)
"""The table of each subject."""

CODES: Final = MappingProxyType({code.value: code for table in TABLES for code in table})
"""Every code with its sentence."""


def worded(said: Said) -> str:
    """What was said, for a face to show: a message, or a person's own words as they are.

    A code that this version does not know, or whose values are others, is shown as it is, with its values.
    """
    if not said.code:
        return said.text
    code = CODES.get(said.code)
    if code is None or not said.values.keys() >= code.places:
        return _as_it_is(said)
    values = {name: _value(value) for name, value in said.values.items() if name in code.places}
    if code.many:
        n = values.pop("n")
        return message_of_number(code.one, code.many, n, **values) if isinstance(n, int) else _as_it_is(said)
    return message(code.one, **values)


def written_out(said: Said) -> str:
    """What was said, in English, for files and documents of our own: a person's own words are in “…” there,
    so that they are told from ours."""
    return str(worded(said)) if said.code else f"“{said.text}”" if said.text else ""


def _value(value: Value) -> object:
    return worded(value) if isinstance(value, Said) else value


def _as_it_is(said: Said) -> str:
    values = (joined((f"{name}:", str(_value(value)))) for name, value in said.values.items())
    within = joined(values, ", ")
    return f"{said.code} ({within})" if within else said.code
