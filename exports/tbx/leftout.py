"""What TBX leaves out, and why."""

from typing import Final

from exports.losses import (
    BOOKKEEPING,
    CARRIED,
    EDITORS,
    HERE,
    IN_BACKUP,
    NO_ADDRESS,
    WHO_WAS_THERE,
    Reasons,
    reason_table,
)
from termbase.messages import message

__all__ = ["BASIC", "WHOLE"]

BASIC: Final[Reasons] = reason_table(
    (BOOKKEEPING, ("termbase.id", "termbase.version", "entry.version", "person.version", "source.version",
                   "code.version", "slip.version", "trial.id", "trial.version", "line")),
    (EDITORS, ("entry.editor_note",)),
    (HERE, ("note.accepted_by", "note.accepted_on")),
    (message("TBX-Basic has no field for it."), ("note.file",)),
    (WHO_WAS_THERE, ("trial.people",)),
    (NO_ADDRESS, ("figure.image_id", "slip.image_id", "trial.image_ids", "image")),
    (message("It is used only to read the source's pages here."), ("source.pattern",)),
    (message("The clauses that a verdict rests on are in its note."), ("code.clauses",)),
    (message("Lines that became entries are in a note on the entry."), ("page",)),
    (IN_BACKUP, ("redirect",)),
    (CARRIED, ("line.text", "line.entry_ids")),
)  # fmt: skip
"""TBX-Basic, in both styles."""

WHOLE: Final[Reasons] = reason_table(
    (message("It is the same in every termbase."), ("termbase.id",)),
    (message("The file holds the current record; earlier versions stay in the termbase and its backups."),
     ("termbase.version",)),
)  # fmt: skip
"""TBX-Wordhold, which holds the whole record."""
