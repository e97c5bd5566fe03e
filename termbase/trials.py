"""What was tried on the mat."""

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["Outcome", "Trial", "contradicts"]


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


def contradicts(outcome: Outcome, verdict: str) -> bool:
    """Whether a trial and what stands of the verdict under its code cannot both be right: it works where it
    breaks the rules, or fails where it fits. A trial with a change speaks of another technique."""
    works_barred = verdict == "breaks the rules" and outcome is Outcome.WORKS
    return works_barred or (verdict == "fits" and outcome is Outcome.FAILS)
