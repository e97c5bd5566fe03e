"""What was found in a file, and what became of it."""

from dataclasses import dataclass

from exports.tbx.standard import Breaches
from termbase.messages import joined, message, message_of_number

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
        kept: data categories that the record has no field for, by name: each stands in a note from elsewhere.
        dropped: what was left out, by name.
        noted: what else a reader should know.
        standard: where it breaks the standard.
        placed: how many of the notes stand with a concept, a language section, a name, by the level's name.
        in_words: categories of notes that TBX-Basic cannot hold as they came, by name: it gets them in words.
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
    standard: Breaches
    placed: dict[str, int]
    in_words: dict[str, int]

    def readable(self) -> tuple[str, ...]:
        """The report, line by line."""
        style = message("%(style)s style", style=self.style.upper()) if self.style else ""
        lines: list[str] = [
            message(
                "%(file)s: %(dialect)s; %(entries)s, %(terms)s, %(quotations)s.",
                file=self.name,
                dialect=joined((self.dialect or "TBX", style), ", "),
                entries=message_of_number("%(n)s entry", "%(n)s entries", self.entries),
                terms=message_of_number("%(n)s term", "%(n)s terms", self.terms),
                quotations=message_of_number("%(n)s quotation", "%(n)s quotations", self.quotations),
            )
        ]
        if self.legacy:
            lines.append(
                message(
                    "It is a file of before 2019 (%(dialect)s); it was read by the names of that time.",
                    dialect=self.dialect or "martif",
                )
            )
        if self.doctype:
            lines.append(message("It names a document type, which was not read."))
        lines += self.standard.readable()
        if self.languages:
            lines.append(message("Terms by language: %(counts)s.", counts=_listed(self.languages)))
        if self.placed:
            lines += self._notes()
        if self.dropped:
            lines.append(message("Left out: %(those)s.", those=_listed(self.dropped)))
        return (*lines, *self.noted)

    def _notes(self) -> list[str]:
        """What became of the notes, and what will become of them."""
        lines: list[str] = [
            message(
                "Kept as notes that bear the name of this file, each with its data category: %(counts)s.",
                counts=_listed(self.kept),
            ),
            message(
                "They stand where they stood: with an entry %(entry)s, with its language %(language)s, with "
                "a name %(name)s. They are printed only after someone accepts them on the page of the entry.",
                entry=self.placed.get("conceptEntry", 0),
                language=self.placed.get("langSec", 0),
                name=self.placed.get("termSec", 0),
            ),
            message(
                "Exports: TBX-Wordhold, CSV and XLSX carry them all. TBX-Basic carries them without the name "
                "of this file. SKOS leaves out those that nobody has accepted."
            ),
        ]
        if self.in_words:
            counts = _listed(self.in_words)
            lines.append(message("Of these, TBX-Basic gets in words, in a note: %(counts)s.", counts=counts))
        return lines


def _listed(counts: dict[str, int]) -> str:
    return joined((joined((name, str(number))) for name, number in counts.items()), ", ")
