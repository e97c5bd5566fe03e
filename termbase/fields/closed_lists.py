"""Parsing a word from a closed list: a `StrEnum` or the words of a `Literal`."""

from collections.abc import Iterable
from enum import StrEnum
from typing import TypeVar

from termbase.errors import BadInput
from termbase.messages import listed_words, message

__all__ = ["chosen", "member", "none_of_these", "one_of"]

Word = TypeVar("Word", bound=str)
Member = TypeVar("Member", bound=StrEnum)


def member(members: type[Member], word: str) -> Member | None:
    """Return the member with this word; None if it does not exist."""
    return members(word) if word in members._value2member_map_ else None


def one_of(known: Iterable[Word], word: str, what: str, *, where: str = "") -> Word:
    """Return the member of a closed list with this word.

    Args:
        known: the list.
        word: as given.
        what: the message if the word is not in the list.
        where: the place that the error names.

    Raises:
        BadInput: the word is not in the list; the message lists all allowed words.
    """
    words = tuple(known)
    result = next((item for item in words if item == word), None)
    if result is None:
        raise BadInput(what, where=where, fix=message("Use one of: %(words)s.", words=listed_words(words)))
    return result


def chosen(known: Iterable[Word], word: str, where: str) -> Word:
    """Return the choice made from the options shown.

    Raises:
        BadInput: it is not an option; `where` names its field.
    """
    result = next((item for item in known if item == word), None)
    if result is None:
        raise BadInput(
            message("“%(asked)s” is not one of the options.", asked=word),
            where=where,
            fix=message("Choose one of the options shown."),
        )
    return result


def none_of_these(word: str, where: str = "") -> BadInput:
    """Return the error for a word that is not in a list shown beside it."""
    return BadInput(
        message("“%(value)s” is not one of the options.", value=word),
        where=where,
        fix=message("Choose one from the list."),
    )
