"""Records as JSON documents with texts of an earlier version, converted to the current form and back.

Rows, states in the history, merged entries and files in the lossless format all contain such documents.
"""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import TypeAlias

from termbase.store.oldtexts.reasons import (
    aside_kept,
    in_english,
    part_in_english,
    part_kept,
    problem_kept,
    reopened_kept,
)

__all__ = ["Texts", "back", "forward"]

Document: TypeAlias = "dict[str, object]"
Read: TypeAlias = Callable[[object], object]


@dataclass(frozen=True)
class Texts:
    """Converts each kind of text in a record.

    Attributes:
        reopened: why a reading is open again.
        aside: why a line was set aside.
        problem: why a line could not be parsed.
        part: the part of a line that has a printed spelling.
    """

    reopened: Read
    aside: Read
    problem: Read
    part: Read

    def signature(self, document: object) -> None:
        """Convert a reading of an entry."""
        if isinstance(document, dict) and "reopened" in document:
            document["reopened"] = self.reopened(document["reopened"])

    def entry(self, document: object) -> None:
        """Convert an entry."""
        if isinstance(document, dict):
            self.signature(document.get("language_reading"))
            self.signature(document.get("practice_reading"))

    def redirect(self, document: object) -> None:
        """Convert a merged entry, with the entries as they were."""
        if isinstance(document, dict):
            for name in ("entry", "beside", "made"):
                self.entry(document.get(name))

    def parsed(self, document: object) -> None:
        """Convert the parsed line."""
        if isinstance(document, dict):
            for trouble in _members(document, "troubles"):
                if "why" in trouble:
                    trouble["why"] = self.problem(trouble["why"])
            for printed in _members(document, "printed"):
                if "part" in printed:
                    printed["part"] = self.part(printed["part"])

    def line(self, document: object) -> None:
        """Convert a line."""
        if isinstance(document, dict):
            if "reason" in document:
                document["reason"] = self.aside(document["reason"])
            self.parsed(document.get("parsed"))

    def record(self, kind: str, document: object) -> None:
        """Convert a record, given its kind in the history; other kinds contain no such texts."""
        if kind == "entry":
            self.entry(document)
        elif kind == "line":
            self.line(document)
        elif kind == "redirect":
            self.redirect(document)


def _members(document: Document, name: str) -> list[Document]:
    found = document.get(name)
    return [member for member in found if isinstance(member, dict)] if isinstance(found, list) else []


def forward(people: Collection[str], codes: Collection[str]) -> Texts:
    """Return the conversion from sentences to the current form.

    Args:
        people, codes: names of all current and former people and rule codes.
    """
    return Texts(
        reopened=_of_text(lambda text: reopened_kept(text, people)),
        aside=_of_text(lambda text: aside_kept(text, codes)),
        problem=_of_text(problem_kept),
        part=_of_text(part_kept),
    )


def back() -> Texts:
    """Return the conversion from the current form to sentences, with people's own words in “…”."""
    return Texts(reopened=_said_back, aside=_said_back, problem=_said_back, part=_part_back)


def _of_text(read: Callable[[str], object]) -> Read:
    """Return a function that converts texts; other values already have the current form."""
    return lambda value: read(value) if isinstance(value, str) else value


def _said_back(value: object) -> object:
    if not isinstance(value, dict):
        return value
    return f"“{value['text']}”" if value.get("text") else in_english(value)


def _part_back(value: object) -> object:
    return part_in_english(value) if isinstance(value, list) else value
