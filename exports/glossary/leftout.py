"""What the printed glossary, the cards, the e-book and the site leave out, and why."""

from typing import Final

from exports.losses import BOOKKEEPING, CARRIED, EDITORS, HERE, IN_BACKUP, Reasons, reason_table
from termbase.messages import message

__all__ = ["BOOK", "CARDS", "SITE"]

_WORKSHOP: Final = message("It records how the work was done here, which readers do not need.")
_FOR_VERDICTS: Final = message("It is used to reach the verdicts, which state the result.")
_STANDS_THERE: Final = message(
    "The quotation, its source and its date are printed; this stays in the record."
)
_TRIED: Final = message(
    "The outcome, changes, safety and injuries of a trial are printed; how it was set up is not."
)
_TEXT: Final = message("The text is printed; readers can see what language it is in.")
_NO_ROOM: Final = message("A card has room only for the figure, the names, one quotation and the verdicts.")

_KEPT: Final = (
    BOOKKEEPING,
    ("termbase.version", "entry.version", "person.version", "source.version", "code.version", "slip.version",
     "trial.version", "term.id", "term.sort_text", "source.id", "slip.id", "trial.id", "source.pattern"),
)  # fmt: skip
_PRIVATE: Final = (EDITORS, ("entry.editor_note", "slip.note", "source.note", "code.note"))
_OURS: Final = (HERE, ("note.accepted_by", "note.accepted_on"))
_WORK: Final = (
    _WORKSHOP,
    ("entry.created_by", "entry.created_on", "entry.changed_by", "entry.changed_on", "reading", "person",
     "source.styles", "said.basis", "said.ref", "technique.names", "technique.note", "slip.apart",
     "slip.presence", "slip.term_id"),
)  # fmt: skip
_OF_PROFILE: Final = (_FOR_VERDICTS, ("hand.also", "hand.essential", "technique.left_form"))
_OF_SLIPS: Final = (_STANDS_THERE, ("slip.name", "slip.place"))
_OF_TRIALS: Final = (_TRIED, ("trial.place", "trial.people", "trial.holds", "trial.done", "trial.image_ids"))
_LANGUAGES: Final = (
    _TEXT, ("term.printed_language", "note.language", "note.text_language", "analogue.language"),
)  # fmt: skip
_PAGES: Final = (IN_BACKUP, ("page", "line"))
_MERGED: Final = (IN_BACKUP, ("redirect",))
_EVERY: Final = (_KEPT, _PRIVATE, _OURS, _WORK, _OF_PROFILE, _OF_SLIPS, _OF_TRIALS, _LANGUAGES, _PAGES)

BOOK: Final[Reasons] = reason_table(*_EVERY, _MERGED)
"""On paper and in the e-book (EPUB)."""

SITE: Final[Reasons] = reason_table(
    *_EVERY, _MERGED, (CARRIED, ("redirect.id", "redirect.target_id", "redirect.on"))
)
"""On the site; a merged entry leaves a notice there."""

CARDS: Final[Reasons] = reason_table(
    *_EVERY,
    _MERGED,
    (_NO_ROOM, ("termbase.licence", "termbase.rights", "termbase.vernaculars", "entry.topic",
                "entry.usage_note", "note", "definition", "relation", "analogue", "code", "source", "trial",
                "term.printed", "term.forms", "term.pronunciation", "term.region", "term.register",
                "term.status", "term.type", "term.usage_note")),
    (CARRIED, ("code.name", "source.label", "source.language", "source.rights", "trial.entry_id",
               "trial.injuries")),
)  # fmt: skip
"""On cards."""
