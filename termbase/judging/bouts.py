"""Read the bout a technique is judged for, from a form or the command line."""

from collections.abc import Iterable
from typing import Final, get_args

from termbase.errors import BadInput
from termbase.fields.closed_lists import one_of
from termbase.judging.verdict import Circumstances
from termbase.messages import message
from termbase.rules.clauses import Footwear

__all__ = ["FOOTWEAR", "read_bout"]

FOOTWEAR: Final[tuple[Footwear, ...]] = get_args(Footwear)
"""The footwear options."""


def read_bout(
    *, place: str = "", year: str = "", wrestlers: str = "", footwear: str = "", barred: Iterable[str] = ()
) -> Circumstances:
    """Return the circumstances of a bout; empty arguments are unknown.

    Args:
        place: where, in the words of the rule code's limits.
        year: four digits.
        wrestlers: the class of wrestler.
        footwear: one of FOOTWEAR.
        barred: names of techniques that the two agreed to bar.

    Raises:
        BadInput: the year or the footwear is invalid; `where` is the argument's name.
    """
    feet: Footwear | None = None
    if worn := footwear.strip():
        wrong = message("“%(word)s” is not footwear.", word=worn)
        feet = one_of(FOOTWEAR, worn, wrong, where=message("footwear"))
    return Circumstances(
        place=" ".join(place.split()),
        year=_year(year.strip()),
        wrestlers=" ".join(wrestlers.split()),
        barred_by_consent=tuple(dict.fromkeys(name for text in barred if (name := " ".join(text.split())))),
        footwear=feet,
    )


def _year(text: str) -> int | None:
    if not text:
        return None
    if not (text.isascii() and text.isdigit() and len(text) == 4):
        raise BadInput(
            message("“%(text)s” is not a year.", text=text),
            where=message("year"),
            fix=message("Use four digits: 1884."),
        )
    return int(text)
