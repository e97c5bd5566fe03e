"""What tables of names, of entries and of slips leave out, and why."""

from collections.abc import Mapping
from typing import Final

from exports.losses import BOOKKEEPING, HERE, IN_BACKUP, NO_ADDRESS, WHO_WAS_THERE, Because, because
from exports.tables.columns import Rows
from termbase.fields import fields_of
from termbase.messages import message
from termbase.sources import Source

__all__ = ["LEFT_OUT"]

_WHOLE: Final = message("A table holds the entries; it has no cell for what the termbase says of itself.")
_SEVERAL: Final = message("An entry may have several, and a table has no cell for what each of them says.")
_SUMMED: Final = message("The columns of the evidence sum it up.")
_ELSEWHERE: Final = message("A table holds the entries; this goes out in a file of its own.")
_READY: Final = message("The column “ready” says whether both readings are signed.")
_RULED: Final = message("The cell of the verdict says how it was ruled and by whom.")

_WITH_NAMES: Final = message("It is told in a table with one row for each name.")

_BOTH: Final[tuple[tuple[str, tuple[str, ...]], ...]] = (
    (_WHOLE, ("termbase.title", "termbase.licence", "termbase.rights", "termbase.notice")),
    (BOOKKEEPING, ("entry.created_by", "entry.created_on", "entry.changed_by", "entry.changed_on",
                   "termbase.version", "code.version", "trial.version")),
    (_SEVERAL, ("definition.source_id", "relation", "analogue", "figure", "note.language",
                "note.text_language")),
    (_READY, ("reading",)),
    (_RULED, ("ruling.on", "ruling.reason")),
    (HERE, ("note.accepted_by", "note.accepted_on")),
    (_ELSEWHERE, ("technique", "source", "code.id", "code.place", "code.period", "code.note", "code.clauses",
                  "code.sources")),
    (_SUMMED, ("slip.id", "slip.source_id", "slip.text", "slip.name", "slip.page", "slip.column",
               "slip.line", "slip.item", "slip.place", "slip.kind", "slip.certainty", "slip.note",
               "slip.image_id", "slip.term_id", "slip.joined_to", "slip.apart", "slip.presence",
               "slip.version", "trial.id", "trial.date", "trial.place", "trial.code_id", "trial.holds",
               "trial.done",
               "trial.change", "trial.safety", "trial.injuries")),
    (WHO_WAS_THERE, ("person", "trial.people")),
    (NO_ADDRESS, ("image", "trial.image_ids")),
    (IN_BACKUP, ("page", "line", "redirect")),
)  # fmt: skip
_OF_NAMES: Final = (
    "term.id", "term.printed", "term.printed_language", "form", "term.pronunciation", "term.region",
    "term.usage_note", "term.sort_text", "term.origin", "term.part_of_speech", "term.gender", "term.number",
    "term.register", "term.type", "term.status",
)  # fmt: skip

_SLIP_ALONE: Final = message("A row of a slip names its entry and nothing more of it.")
_LABEL: Final = message("A source is named by its label.")
_NO_OTHER: Final = message("A row is a slip by itself, and names no other.")
_OF_SLIPS: Final[tuple[tuple[str, tuple[str, ...]], ...]] = (
    (_WHOLE, ("termbase",)),
    (_SLIP_ALONE, ("entry.topic", "definition", "relation", "analogue", "figure", "ruling", "reading",
                   "technique", "entry.usage_note", "entry.editor_note", "note", "entry.created_by",
                   "entry.created_on", "entry.changed_by", "entry.changed_on")),
    (_WITH_NAMES, tuple(path for path in _OF_NAMES if path != "term.id")),
    (_LABEL, tuple(f"source.{field.name}" for field in fields_of(Source) if field.name != "label")),
    (BOOKKEEPING, ("slip.id", "slip.version")),
    (_NO_OTHER, ("slip.joined_to",)),
    (_ELSEWHERE, ("code", "trial", "person")),
    (NO_ADDRESS, ("image", "slip.image_id")),
    (IN_BACKUP, ("page", "line", "redirect")),
)  # fmt: skip

LEFT_OUT: Final[Mapping[Rows, Because]] = {
    "names": because(*_BOTH),
    "entries": because(
        *_BOTH,
        (_SUMMED, ("slip.date",)),
        (_WITH_NAMES, _OF_NAMES),
    ),
    "slips": because(*_OF_SLIPS),
}
"""By what the rows are."""
