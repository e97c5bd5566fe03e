"""Finding: names by form, spelling, mutation, old print and nearness; entries that resemble a line.

`finding` answers what somebody asks for, `completing` what somebody is typing, `calling` tells the one entry
that somebody means, `filtering` narrows a list, `texts` finds by words of definitions and notes, `likeness`
compares a line of a word-list with the record. All read through a `Reader`; nothing is written.
"""

from termbase.lookup.calling import entry_called
from termbase.lookup.completing import complete
from termbase.lookup.filtering import filter_ids
from termbase.lookup.finding import find
from termbase.lookup.hits import HOWS, Hit, How
from termbase.lookup.likeness import Resemblance, Resembler, Strength, resembling
from termbase.lookup.texts import by_words

__all__ = [
    "HOWS",
    "Hit",
    "How",
    "Resemblance",
    "Resembler",
    "Strength",
    "by_words",
    "complete",
    "entry_called",
    "filter_ids",
    "find",
    "resembling",
]
