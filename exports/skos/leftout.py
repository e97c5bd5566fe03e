"""What linked data leaves out, and why."""

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

__all__ = ["LEFT_OUT"]

_NO_WORD: Final = message("The vocabularies used have no term for it.")
_IN_WORDS: Final = message("How it is done is described in words; the full profile is exported as TOML.")
_CODES: Final = message("A concept scheme only names a rule code with its verdict.")

LEFT_OUT: Final[Reasons] = reason_table(
    (BOOKKEEPING, ("termbase.version", "entry.version", "source.version", "source.pattern", "slip.version",
                   "slip.joined_to", "slip.apart", "term.sort_text")),
    (EDITORS, ("entry.editor_note", "slip.note")),
    (HERE, ("note.accepted_by", "note.accepted_on", "note.file")),
    (_IN_WORDS, ("said.basis", "said.ref", "hand.also", "hand.essential", "technique.left_form",
                 "technique.names", "technique.note")),
    (_NO_WORD, ("analogue.source_id",)),
    (_CODES, ("code",)),
    (message("The file says whether both readings are signed, but not by whom."), ("reading",)),
    (WHO_WAS_THERE, ("person", "entry.created_by", "entry.changed_by", "trial.people")),
    (message("Its outcome is part of the evidence for the practice."), ("trial",)),
    (NO_ADDRESS, ("figure", "image", "slip.image_id", "trial.image_ids")),
    (IN_BACKUP, ("page", "line", "redirect")),
    (CARRIED, ("code.name", "trial.outcome", "trial.entry_id", "redirect.id", "redirect.target_id")),
)  # fmt: skip
