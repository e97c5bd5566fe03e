"""What tables of names, entries and slips leave out, and why."""

from collections.abc import Mapping
from typing import Final

from exports.losses import (
    BOOKKEEPING,
    CARRIED,
    HERE,
    IN_BACKUP,
    NO_ADDRESS,
    WHO_WAS_THERE,
    Reasons,
    reason_table,
)
from exports.tables.columns import Rows
from termbase.messages import message

__all__ = ["LEFT_OUT"]

_WHOLE: Final = message("A table contains the entries; it has no cell for information about the termbase.")
_SEVERAL: Final = message("An entry can have several, and a table has no cell for the details of each.")
_SUMMED: Final = message("The evidence columns summarize it.")
_ELSEWHERE: Final = message("A table contains the entries; this is exported in its own file.")
_READY: Final = message("The “ready” column says whether both readings are signed.")
_RULED: Final = message("The verdict cell gives the ruling and who made it.")
_WITH_NAMES: Final = message("It is in the table with one row per name.")
_SLIP_ALONE: Final = message("A slip's row only names its entry.")
_LABEL: Final = message("A source is identified by its label.")
_NO_OTHER: Final = message("A row is one slip and does not refer to another.")

_BOTH: Final = (
    (_WHOLE, ("termbase",)),
    (BOOKKEEPING, ("entry.created_by", "entry.created_on", "entry.changed_by", "entry.changed_on")),
    (_SEVERAL, ("definition.source_id", "relation", "analogue", "figure", "note.language",
                "note.text_language")),
    (_READY, ("reading",)),
    (_RULED, ("ruling.on", "ruling.reason")),
    (HERE, ("note.accepted_by", "note.accepted_on")),
    (_ELSEWHERE, ("technique", "source", "code")),
    (_SUMMED, ("slip", "trial")),
    (WHO_WAS_THERE, ("person", "trial.people")),
    (NO_ADDRESS, ("image", "slip.image_id", "trial.image_ids")),
    (IN_BACKUP, ("page", "line", "redirect")),
    (CARRIED, ("termbase.working_language", "termbase.vernaculars", "code.name", "trial.outcome",
               "trial.entry_id")),
)  # fmt: skip

LEFT_OUT: Final[Mapping[Rows, Reasons]] = {
    "names": reason_table(*_BOTH, (CARRIED, ("slip.date",))),
    "entries": reason_table(
        *_BOTH, (_WITH_NAMES, ("term",)), (CARRIED, ("term.text", "term.language", "term.foreign_notes"))
    ),
    "slips": reason_table(
        (_WHOLE, ("termbase",)),
        (_SLIP_ALONE, ("entry",)),
        (_WITH_NAMES, ("term",)),
        (_LABEL, ("source",)),
        (BOOKKEEPING, ("slip.id", "slip.version")),
        (_NO_OTHER, ("slip.joined_to",)),
        (_ELSEWHERE, ("code", "trial")),
        (WHO_WAS_THERE, ("person",)),
        (NO_ADDRESS, ("image", "slip.image_id")),
        (IN_BACKUP, ("page", "line", "redirect")),
        (CARRIED, ("entry.id", "entry.version", "term.id", "term.text", "term.language", "source.label")),
    ),
}
"""What each table leaves out, by what a row describes."""
