"""What a person calls a field or a part of the record in a report: `Reason of the ruling`, `Technique`."""

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
"""Records and parts of them, where a table names one as a whole; and fields that no other table names."""


def label_of(path: str) -> str:
    """The label of a path, a message; the path itself where there is none."""
    if path in _PARTS:
        return _PARTS[path]
    row = FIELDS.get(path)
    return named(path, row.label) if row else path
