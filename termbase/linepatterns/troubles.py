"""Why a line could not be read: every sentence of it, in one table.

A line is kept with its troubles as English text. `trouble_said` makes messages of them again, so that a face
can say them in its own language.
"""

from functools import partial
from typing import Final

from termbase.linepatterns.grammar import OUTSIDE
from termbase.linepatterns.laying import PARTS
from termbase.messages import Speaker, again, rendered, spoken

__all__ = ["TROUBLES", "WANTED", "trouble_said", "trouble_within"]

EXPECTED: Final = "There should be %(part)s here."
EXPECTED_BUT: Final = "There should be %(part)s here, but it says “%(words)s”."
EXPECTED_BUT_ENDS: Final = "There should be %(part)s here, but the line ends."
NOTHING_BETWEEN: Final = "Nothing stands between two marks here."
UNKNOWN_ABBREVIATION: Final = "“%(word)s” looks like an abbreviation that the tables do not have."
LABEL_TWICE: Final = "“%(word)s” is given twice."
LABEL_UNKNOWN: Final = "“%(word)s” is not in the tables of abbreviations."
NOTHING_FOR_SENSE: Final = "Nothing is given for this sense."
SENSE_AFTER: Final = "Sense %(number)s comes after sense %(before)s."
SENSES_BEGIN: Final = "The senses begin with number %(number)s."
BRACKET: Final = "The bracket “%(sign)s” has no other half."
FURNITURE: Final = "This is page furniture, not a record."
BLANK: Final = "This is a blank line, not a record."
TOO_LONG: Final = "This record has %(n)s characters: the page is hardly cut as it should be."
GOES_ON: Final = "This goes on with a record that began before: no record begins at the margin above it."
DITTO_PART_OF_SPEECH: Final = "A ditto mark has no part of speech above it to repeat."
DITTO_STYLE: Final = "A ditto mark has no style label above it to repeat."
DITTO_NOTHING: Final = "A ditto mark has nothing above it to repeat."

TROUBLES: Final = (
    *(EXPECTED_BUT, EXPECTED_BUT_ENDS, EXPECTED, NOTHING_BETWEEN, UNKNOWN_ABBREVIATION),
    *(LABEL_TWICE, LABEL_UNKNOWN, NOTHING_FOR_SENSE, SENSE_AFTER, SENSES_BEGIN, BRACKET),
    *OUTSIDE.values(),
    *(FURNITURE, BLANK, TOO_LONG, GOES_ON, DITTO_PART_OF_SPEECH, DITTO_STYLE, DITTO_NOTHING),
)
"""Every sentence, the longer of those that begin alike first."""

WANTED: Final = (
    *("the end of the line", "a new line", "a space", "a wide gap", "a record"),
    *("“%(sign)s” and then the %(part)s", "the %(part)s"),
    *PARTS.values(),
)
"""What should have stood somewhere, as `laying` says it."""


def trouble_said(why: str) -> str:
    """A trouble as a message again; a text that is none of these stays as it is."""
    return again(why, TROUBLES, {"part": WANTED})


def trouble_within(why: str) -> str:
    """A trouble to stand within another sentence, without its full stop."""
    said = trouble_said(why)
    return rendered(_unstopped(said), partial(_within, said))


def _within(said: str, speaker: Speaker) -> str:
    return _unstopped(spoken(said, speaker))


def _unstopped(said: str) -> str:
    return said.rstrip(".")
