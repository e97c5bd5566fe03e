"""What goes into the book."""

from dataclasses import dataclass
from typing import Literal

from termbase.record.entries import Entry
from termbase.record.people import Termbase
from termbase.voice import ENGLISH, Voice

__all__ = ["BOTH_WAYS", "Direction", "Paper", "Selection"]

Paper = Literal["a5", "a4"]
Direction = Literal["articles", "reverse"]
"""*articles*: working language to vernacular, in full; *reverse*: vernacular to working language, short."""

BOTH_WAYS: tuple[Direction, ...] = ("articles", "reverse")


@dataclass(frozen=True)
class Selection:
    """The selection to be printed.

    Attributes:
        codes: ids of the rule codes whose verdicts are printed, in that order; `None` for every code.
        drafts: whether entries that are not ready are included, marked as drafts.
        directions: which of the two parts the book has.
        vernaculars: which vernaculars; `None` for all of the termbase.
        figures: whether techniques are drawn.
        quotations: whether quotations are printed.
        mark_missing: print a character that no font has as its code point in angle brackets; otherwise such a
            character is an error and nothing is printed.
        pictures: whether pictures of entries are shown.
        voice: the language of the book's own words: headings, marks, verdicts, dates. Texts of the record
            stay in their own language.
        only: ids of the entries to include, drafts among them if `drafts`; `None` for all.
        narrowed_to: the filters that led to `only`, as messages, for the title page.
    """

    codes: tuple[str, ...] | None = None
    drafts: bool = True
    directions: tuple[Direction, ...] = BOTH_WAYS
    vernaculars: tuple[str, ...] | None = None
    figures: bool = True
    quotations: bool = True
    mark_missing: bool = False
    pictures: bool = True
    voice: Voice = ENGLISH
    only: frozenset[str] | None = None
    narrowed_to: tuple[str, ...] = ()

    def vernaculars_of(self, termbase: Termbase) -> tuple[str, ...]:
        """Return the chosen vernaculars of the termbase."""
        return termbase.vernaculars if self.vernaculars is None else self.vernaculars

    def lets_in(self, entry: Entry) -> bool:
        """Return whether an entry is included."""
        return (self.drafts or entry.ready) and (self.only is None or entry.id in self.only)
