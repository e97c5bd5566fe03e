"""What was found in a file, and what became of it."""

from dataclasses import dataclass

__all__ = ["ReadReport"]


@dataclass(frozen=True, slots=True)
class ReadReport:
    """What a file held; plain data, fit for JSON.

    Attributes:
        name: of the file.
        dialect, style: as its root calls them.
        legacy: it has the root of TBX 2008.
        doctype: it names a document type, which was not read.
        entries, terms, quotations: how many were read.
        languages: terms by language.
        kept: data categories that the record has no field for, by name: each stands in the editor's note.
        dropped: what was left out, by name.
        noted: what else a reader should know.
    """

    name: str
    dialect: str
    style: str
    legacy: bool
    doctype: bool
    entries: int
    terms: int
    quotations: int
    languages: dict[str, int]
    kept: dict[str, int]
    dropped: dict[str, int]
    noted: tuple[str, ...]

    def readable(self) -> tuple[str, ...]:
        """The report in English."""
        style = f", {self.style.upper()} style" if self.style else ""
        lines = [
            f"{self.name}: {self.dialect or 'TBX'}{style}; {self.entries} entries, {self.terms} terms, "
            f"{self.quotations} quotations."
        ]
        if self.legacy:
            lines.append("It is a file of TBX 2008 (root martif); it was read by the names of that time.")
        if self.doctype:
            lines.append("It names a document type, which was not read.")
        if self.languages:
            lines.append("Terms by language: " + _listed(self.languages) + ".")
        if self.kept:
            lines.append("Kept in the editor's note, with its name: " + _listed(self.kept) + ".")
        if self.dropped:
            lines.append("Left out: " + _listed(self.dropped) + ".")
        return (*lines, *self.noted)


def _listed(counts: dict[str, int]) -> str:
    return ", ".join(f"{name} {number}" for name, number in counts.items())
