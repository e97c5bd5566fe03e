"""Labels of fields and parts of the record in reports: `Reason of the ruling`, `Technique`."""

from collections.abc import Mapping
from typing import Final

from exports.losses import named
from exports.tbx.tags import FIELDS
from termbase.messages import message

__all__ = ["label_of"]

_PARTS: Final[Mapping[str, str]] = {
    "termbase": message("Termbase"),
    "person": message("Person"),
    "source": message("Source"),
    "code": message("Rule code"),
    "slip": message("Slip"),
    "page": message("Word-list page"),
    "line": message("Word-list line"),
    "trial": message("Trial"),
    "image": message("Stored picture"),
    "redirect": message("Entry made one with another"),
    "term": message("Term"),
    "technique": message("Technique"),
    "relation": message("Relation"),
    "analogue": message("Analogue"),
    "figure": message("Figure"),
    "reading": message("Reading"),
    "entry": message("Entry"),
    "said.basis": message("Evidence for a statement"),
    "said.ref": message("Slip or trial behind a statement"),
    "hand.also": message("Alternative hand positions"),
    "hand.essential": message("Whether a hold is essential"),
    "technique.left_form": message("Whether it is done to the other side"),
    "technique.names": message("Another name for a technique"),
    "technique.note": message("Note on a technique"),
}
"""Records, parts that a table lists as a whole, and fields that no other table labels."""


def label_of(path: str) -> str:
    """Return the label of a path, a message; the path itself if it has none."""
    if path in _PARTS:
        return _PARTS[path]
    row = FIELDS.get(path)
    return named(path, row.label) if row else path
