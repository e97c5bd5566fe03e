"""The one entry that somebody means by an id or by any form of a name."""

import re
from typing import Final

from termbase.errors import Ambiguous, BadInput
from termbase.messages import message
from termbase.record.entries import Entry, heads
from termbase.search.finding import find
from termbase.search.hits import HOWS, Hit, How
from termbase.store.reading import Reader

__all__ = ["entry_called"]

MOST_OFFERED: Final = 9
LONGEST_SAID: Final = 60  # letters of what was typed that are said back
_ID: Final = re.compile(r"\s*(c\d{4,})(?:\s|$)")
_FORMS: Final[tuple[How, ...]] = (
    How.VERY_FORM, How.VARIANT, How.MUTATED, How.INFLECTED, How.OLD_SPELLING,
)  # fmt: skip
"""How a name must be found to be called so; what is only near is offered, never taken."""
_RANK: Final = {how: HOWS.index(how) for how in _FORMS} | {How.INFLECTED: HOWS.index(How.MUTATED)}


def entry_called(reader: Reader, typed: str, where: str) -> str:
    """The id of the entry that somebody means: by its id (names may follow it), or by any form of a name.

    A form that is nearer wins: where one entry has the very form and others a mutated one, it is that one.
    The id need not exist, and may be of an entry that was merged; ids lead on elsewhere.

    Args:
        typed: `c0012`, `c0012 hank · clicied`, `hank`, `hanks`, `glicied`.
        where: the field or argument, for the message.

    Raises:
        Ambiguous: more than one entry is called so, or none but some have a name like it.
        BadInput: no entry has a name like it.
    """
    given = _ID.match(typed)
    if given:
        return given[1]
    hits = find(reader, typed, limit=MOST_OFFERED)
    called = [hit for hit in hits if hit.how in _FORMS]
    nearest = [hit for hit in called if _RANK[hit.how] == _RANK[called[0].how]]
    if len(nearest) == 1:
        return nearest[0].entry_id
    short = typed.strip() if len(typed.strip()) <= LONGEST_SAID else f"{typed.strip()[:LONGEST_SAID]}…"
    if not hits:
        raise BadInput(
            message("No entry is called “%(typed)s”.", typed=short),
            where=where,
            fix=message("Type any form of one of its names, or its id (c0012)."),
        )
    choices = _choices(reader, called or list(hits))
    known = "; ".join(words for _, words in choices)
    what = (
        message("Several entries are called “%(typed)s”.", typed=short)
        if called
        else message("No entry is called “%(typed)s”, but some have a similar name.", typed=short)
    )
    raise Ambiguous(what, where=where, fix=message("Choose one: %(known)s.", known=known), choices=choices)


def _choices(reader: Reader, hits: list[Hit]) -> tuple[tuple[str, str], ...]:
    entries = reader.many(Entry, [hit.entry_id for hit in hits])
    return tuple(
        (i, f"{i} {' · '.join(term.text for term in heads(entry).values())}") for i, entry in entries.items()
    )
