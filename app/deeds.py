"""Acts as the history tells them: kept in English, said again in the reader's language by a face.

A row here for every act that has its words from a view, a command or the demo, the narrower one first.
"""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any, Final

from app.catalogues import LANGUAGES, voice_of
from termbase.messages import again

__all__ = ["DEEDS", "OF_LINES", "again_of", "in_every_language"]

OF_LINES: Final = (
    "made an entry",
    "attached to %(id)s",
    "set aside (%(reason)s)",
    "reopened, and the names it brought taken away",
    "reopened",
    "related to %(id)s",
    "corrected",
)
"""What is done to one line of a page."""

DEEDS: Final = (
    "took back: %(deed)s",
    "took back act %(id)s",
    "brought back %(id)s as it was after %(date)s (%(deed)s)",
    "“%(text)s” (%(source)s, p. %(page)s, line %(line)s): %(line_deed)s",
    "entered page %(number)s of %(label)s",
    "changed page %(number)s of %(label)s",
    "took away page %(number)s of %(label)s",
    "accepted all clear lines of page %(number)s of %(label)s",
    "accepted all clear lines of all pages",
    "accepted all clear lines of %(id)s",
    "changed the line pattern of %(label)s",
    "trimmed page %(number)s of %(label)s under %(code)s",
    "trimmed %(label)s under %(code)s",
    "kept a picture",
    "made the entry %(names)s",
    "removed entry %(id)s: %(reason)s",
    "removed entry %(id)s",
    "merged %(other)s into %(id)s",
    "parted %(id)s again",
    "parted %(id)s",
    "related %(id)s to another entry",
    "took a relation away from %(id)s",
    "changed the topic of %(id)s",
    "changed the definition of %(id)s",
    "changed the notes of %(id)s",
    "accepted a note from elsewhere on %(id)s",
    "withdrew a note from elsewhere on %(id)s",
    "deleted a note from elsewhere on %(id)s",
    "changed the analogues of %(id)s",
    "changed the figures of %(id)s",
    "changed a name of %(id)s",
    "preferred a name of %(id)s",
    "moved a name of %(id)s",
    "took a name away from %(id)s",
    "stated how %(id)s is done",
    "took a ruling away on %(id)s under %(code)s",
    "ruled on %(id)s under %(code)s",
    "read %(id)s for %(which)s",
    "did not sign %(id)s for %(which)s",
    "put the reading of %(id)s for %(which)s back to open",
    "added a slip to %(id)s",
    "took slip %(id)s away",
    "took a slip from %(label)s: %(name)s",
    "took a slip from %(label)s",
    "sorted the slip %(id)s: %(name)s",
    "sorted the slip %(id)s",
    "changed the slip %(id)s: %(name)s",
    "changed the slip %(id)s",
    "changed slip %(id)s",
    "removed the slip %(id)s: %(name)s",
    "removed the slip %(id)s",
    "joined slips of “%(name)s”",
    "parted slips of “%(name)s”",
    "added the source %(label)s",
    "changed the source %(label)s",
    "removed the source %(label)s",
    "added the rule code %(name)s",
    "changed the rule code %(name)s",
    "removed the rule code %(name)s",
    "took in 1 technique",
    "took in %(number)s techniques",
    "took in 1 rule code",
    "took in %(number)s rule codes",
    "took in rule codes from %(file)s",
    "took in techniques from %(file)s",
    "took in %(file)s",
    "recorded a trial of %(id)s",
    "changed trial %(id)s",
    "removed trial %(id)s",
    "changed what the termbase says of itself",
    "took %(name)s off the list of people",
    "named a person",
    "made the termbase",
    "began the termbase",
    "became the demo",
    "named the people, the sources and the rule codes",
    "made the entries, with their slips",
    "entered and worked the word-list",
    "recorded the trials",
    "named %(name)s",
    "changed %(name)s",
)
"""What an act is called, with its values left out."""

_WHICH: Final = ("language", "practice")


def again_of(what: str) -> str:
    """The words of an act, as the history keeps them, again as a message; others' own words as they are."""
    return again(what, DEEDS, {"deed": DEEDS, "line_deed": OF_LINES, "which": _WHICH})


def in_every_language(act: Mapping[str, Any]) -> Mapping[str, str]:
    """An act, as its row has it, as each language of the interface words it: for the digest of the record."""
    return _worded(str(act["what"]))


@lru_cache(maxsize=10_000)
def _worded(what: str) -> Mapping[str, str]:
    deed = again_of(what)
    return {tag: voice_of(tag).say(deed) for tag in LANGUAGES}
