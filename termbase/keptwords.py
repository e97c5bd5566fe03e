"""Texts of ours that the record keeps in English, as messages again: a face can say them in its language.

Why a line was not read, for what it was set aside, what of it is printed otherwise: each is kept as it was
said when it was made, among texts that people typed, which stay as they are.
"""

from typing import Final, get_args

from termbase.judging import VERDICT_WORDS
from termbase.linepatterns.laying import PARTS
from termbase.linepatterns.records import PrintedWhy
from termbase.linepatterns.troubles import TROUBLES, WANTED
from termbase.messages import Message, again, as_typed, message
from termbase.trimming import REASONS_KEPT

__all__ = ["KEPT", "PRINTED_PARTS", "kept_said", "printed_part_said"]

PRINTED_PARTS: Final = (
    "sense %(number)s equivalent %(place)s %(part)s",
    "sense %(number)s equivalent %(place)s",
    "sense %(number)s %(part)s",
)
"""Which part of a line the printed spelling is kept of, where it is within a sense; the longer first."""

KEPT: Final = (*TROUBLES, *REASONS_KEPT, "another sport: %(sport)s", *get_args(PrintedWhy))
"""Every other text that is kept in English, the narrower first."""

_WITHIN: Final = {"part": (*WANTED, *PARTS.values()), "verdict": tuple(VERDICT_WORDS)}


def kept_said(text: str) -> str:
    """A text that the record keeps, as a message where it is one of ours; any other says itself.

    What a person typed is kept in quotation marks, and is shown without them.
    """
    typed = as_typed(text)
    if typed is not None:
        return typed
    return _message(again(text, KEPT, _WITHIN))


def printed_part_said(part: str) -> str:
    """The part of a line whose printed spelling is kept, as a message."""
    return _message(again(part, PRINTED_PARTS, {"part": tuple(PARTS.values())}))


def _message(text: str) -> str:
    return text if isinstance(text, Message) else message(text)
