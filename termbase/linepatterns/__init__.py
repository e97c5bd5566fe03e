"""Cutting a word-list page into lines and parsing each by its source's line pattern. Pure: no store.

From the outside in: `pattern` (what can be set), `settings` (the same as TOML), `stock` (starting
patterns), `cutting` (a page to lines), `parsing` (a line to what it says; `senses`, `equivalents` and
`labels` read its parts), `layouts` and `laying` (the layout syntax), `wording` (all of it in words).
"""

from typing import TYPE_CHECKING

from termbase.loading import late_names

if TYPE_CHECKING:
    from termbase.linepatterns.cutting import cut
    from termbase.linepatterns.fitting import in_languages
    from termbase.linepatterns.parsing import parse, parse_page
    from termbase.linepatterns.pattern import (
        Abbreviation,
        Breaks,
        Cutting,
        Ditto,
        Furniture,
        Labels,
        Layouts,
        LinePattern,
        Marks,
    )
    from termbase.linepatterns.records import (
        CutLine,
        Equivalent,
        Form,
        Join,
        ParsedLine,
        Phrase,
        Printed,
        Sense,
        Trouble,
    )
    from termbase.linepatterns.settings import read_pattern, write_pattern
    from termbase.linepatterns.stock import STOCK
    from termbase.linepatterns.suggesting import Suggestion, suggest
    from termbase.linepatterns.wording import MatchCount, explain, match_count
else:  # most commands need only the records of this package
    __getattr__ = late_names(
        __name__,
        "records",
        "pattern",
        "cutting",
        "fitting",
        "parsing",
        "settings",
        "stock",
        "suggesting",
        "wording",
    )

__all__ = [
    "STOCK",
    "Abbreviation",
    "Breaks",
    "CutLine",
    "Cutting",
    "Ditto",
    "Equivalent",
    "Form",
    "Furniture",
    "Join",
    "Labels",
    "Layouts",
    "LinePattern",
    "Marks",
    "MatchCount",
    "ParsedLine",
    "Phrase",
    "Printed",
    "Sense",
    "Suggestion",
    "Trouble",
    "cut",
    "explain",
    "in_languages",
    "match_count",
    "parse",
    "parse_page",
    "read_pattern",
    "suggest",
    "write_pattern",
]
