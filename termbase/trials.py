"""What was tried on the mat."""

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["Outcome", "Trial"]


class Outcome(StrEnum):
    """How a trial went. Nothing here says that a technique is safe."""

    WORKS = "works"
    WORKS_CHANGED = "works with a change"
    FAILS = "fails"


@dataclass(frozen=True)
class Trial:
    """One trial of a technique; it never overwrites a verdict, both are shown.

    `date` is EDTF; `people` are initials; `code_id` the rule code it was tried under, if any.
    """

    id: str
    entry_id: str
    date: str
    outcome: Outcome
    place: str = ""
    people: str = ""
    code_id: str = ""
    holds: str = ""
    done: str = ""
    change: str = ""
    safety: str = ""
    injuries: str = ""
    image_ids: tuple[str, ...] = ()
    version: int = 0
