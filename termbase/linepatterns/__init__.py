"""Cutting a word-list page into lines and parsing each by its source's line pattern. Pure: no store.

Signatures (each in the module named):

- `cutting.cut(transcription, pattern) -> tuple[CutLine, ...]`
- `parsing.parse(line, pattern, previous) -> ParsedLine`
- `parsing.parse_page(transcription, pattern) -> tuple[tuple[CutLine, ParsedLine | None], ...]`
- `settings.read_pattern(toml_text, where) -> LinePattern`, `settings.write_pattern(pattern) -> str`
- `wording.explain(pattern) -> str`, `wording.match_count(transcription, pattern) -> MatchCount`
- `stock.STOCK: Mapping[str, LinePattern]`, `stock.suggest(transcription) -> tuple[tuple[str, float], ...]`
"""

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

__all__ = [
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
    "ParsedLine",
    "Phrase",
    "Printed",
    "Sense",
    "Trouble",
]
