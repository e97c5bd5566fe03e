"""All codes stored in the record, with their sentences: one table per subject, combined here.

A code never changes and is never removed; a test checks this. Its sentence may change.
"""

from types import MappingProxyType
from typing import Final

from termbase.codes.deeds import Covered, Deed, LineDeed, ReadingName, Reopened
from termbase.codes.lines import Aside, Expected, LinePart, Problem, Through, VerdictName
from termbase.fields.notes import Code, CodedText, Value
from termbase.messages import joined, message, message_of_number

__all__ = ["CODES", "TABLES", "statement_text", "statement_text_in_english"]

TABLES: Final[tuple[type[Code], ...]] = (
    *(Deed, LineDeed, ReadingName, Reopened, Covered),
    *(Aside, Through, VerdictName, Problem, Expected, LinePart),
)
"""The table of each subject."""

CODES: Final = MappingProxyType({code.value: code for table in TABLES for code in table})
"""Every code with its sentence."""


def statement_text(statement: CodedText) -> str:
    """Return the text to show for a statement: a message, or a person's own words unchanged.

    A code that this version does not know, or that has other values, is shown raw with its values.
    """
    if not statement.code:
        return statement.text
    code = CODES.get(statement.code)
    if code is None or not statement.values.keys() >= code.places:
        return _raw(statement)
    values = {name: _value(value) for name, value in statement.values.items() if name in code.places}
    if code.many:
        n = values.pop("n")
        return message_of_number(code.one, code.many, n, **values) if isinstance(n, int) else _raw(statement)
    return message(code.one, **values)


def statement_text_in_english(statement: CodedText) -> str:
    """Return a statement in English for our own files and documents; a person's own words are in “…”."""
    return (
        str(statement_text(statement)) if statement.code else f"“{statement.text}”" if statement.text else ""
    )


def _value(value: Value) -> object:
    return statement_text(value) if isinstance(value, CodedText) else value


def _raw(statement: CodedText) -> str:
    values = (joined((f"{name}:", str(_value(value)))) for name, value in statement.values.items())
    within = joined(values, ", ")
    return f"{statement.code} ({within})" if within else statement.code
