"""The breaches of the standard in a file: their number, and details of the first ones."""

from dataclasses import dataclass, field
from typing import Final

from termbase.messages import joined, message

__all__ = ["MOST_TOLD", "Breach", "Breaches"]

MOST_TOLD: Final = 40
"""Number of breaches shown one by one; the rest are only counted."""


@dataclass(frozen=True, slots=True)
class Breach:
    """One place where a file breaks the standard; plain data that can be stored as JSON.

    Attributes:
        line: line in the file; None if unknown.
        element: name of the element, with its id if it has one.
        what: what is wrong, one sentence.
        rule: the rule that it breaks.
    """

    line: int | None
    element: str
    what: str
    rule: str

    @property
    def where(self) -> str:
        """Return `line 12, termNote`."""
        return joined((message("line %(line)s", line=self.line) if self.line else "", self.element), ", ")

    def readable(self) -> str:
        """Return place, what is wrong, and the rule."""
        return message(
            "%(where)s: %(what)s (Rule: %(rule)s.)", where=self.where, what=self.what, rule=self.rule
        )


@dataclass(slots=True)
class Breaches:
    """The breaches of one file.

    Attributes:
        first: those shown one by one, in file order.
        number: how many there are in total.
        unchecked: why the file was not checked; empty if it was.
    """

    first: list[Breach] = field(default_factory=list)
    number: int = 0
    unchecked: str = ""

    def add(self, breach: Breach) -> None:
        """Count a breach, and keep it if it is among the first."""
        self.number += 1
        if len(self.first) < MOST_TOLD:
            self.first.append(breach)

    def readable(self) -> tuple[str, ...]:
        """Return the number, then one line for each of the first; one sentence if the file was not
        checked."""
        if self.unchecked:
            return (self.unchecked,)
        if not self.number:
            return ()
        head = message(
            "Breaches of the standard (ISO 30042:2019): %(number)s. The file was read anyway; "
            "anything without a field here is kept as a note or listed below as left out.",
            number=self.number,
        )
        lines: list[str] = [head, *(breach.readable() for breach in self.first)]
        if more := self.number - len(self.first):
            lines.append(message("Further breaches: %(number)s.", number=more))
        return tuple(lines)
