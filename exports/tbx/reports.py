"""The reports of TBX: what was read from a file, and what an export kept and lost, field by field.

`Unread` counts what a reader has no field for; `ExportCounts` counts values while an export is written.
"""

from collections import Counter, defaultdict
from dataclasses import dataclass

from exports.losses import Loss, loss_sentences, named
from exports.tbx.elements import Element, block_of, local_name
from exports.tbx.faults import entity_error
from exports.tbx.standard.breaches import Breaches
from exports.tbx.styles import Style
from exports.tbx.tags import FIELDS
from termbase.messages import joined, message, message_of_number
from termbase.record.foreign_notes import ForeignNote

__all__ = ["ExportCounts", "FieldLoss", "LossReport", "ReadReport", "Unread"]


@dataclass(frozen=True, slots=True)
class ReadReport:
    """The contents of a file; plain data that can be stored as JSON.

    Attributes:
        name: name of the file.
        dialect, style: as stated in its root element.
        legacy: whether it has the root element of TBX 2008.
        doctype: whether it names a document type, which was not read.
        entries, terms, quotations: how many were read.
        languages: terms by language.
        kept: data categories without a field in the record, by name; each is kept as a note.
        dropped: what was left out, by name.
        noted: what else the user should know.
        standard: where it breaks the standard.
        placed: number of notes on a concept, a language section, a name, by the name of the level.
        in_words: categories that TBX-Basic can hold only in a note that names them, by name.
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
        """Return the report, line by line."""
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
                    "The file is in a format from before 2019 (%(dialect)s); it was read by "
                    "the element names of that format.",
                    dialect=self.dialect or "martif",
                )
            )
        if self.doctype:
            lines.append(message("It declares a document type, which was not read."))
        lines += self.standard.readable()
        if self.languages:
            lines.append(message("Terms by language: %(counts)s.", counts=_listed(self.languages)))
        if self.placed:
            lines += self._notes()
        if self.dropped:
            lines.append(message("Left out: %(those)s.", those=_listed(self.dropped)))
        return (*lines, *self.noted)

    def _notes(self) -> list[str]:
        """Return what happened to the notes, and what exports will do with them."""
        lines: list[str] = [
            message(
                "Kept as notes that name this file and their data category: %(counts)s.",
                counts=_listed(self.kept),
            ),
            message(
                "They stay where they were: %(entry)s on entries, %(language)s on languages, "
                "%(name)s on names. They are printed only after someone accepts them on the "
                "entry page.",
                entry=self.placed.get("conceptEntry", 0),
                language=self.placed.get("langSec", 0),
                name=self.placed.get("termSec", 0),
            ),
            message(
                "Exports: TBX-Wordhold, CSV and XLSX include them all. TBX-Basic includes them "
                "without the file name. SKOS leaves out those that nobody has accepted."
            ),
        ]
        if self.in_words:
            counts = _listed(self.in_words)
            lines.append(message("Of these, TBX-Basic keeps as words in a note: %(counts)s.", counts=counts))
        return lines


def _listed(counts: dict[str, int]) -> str:
    return joined((joined((name, str(number))) for name, number in counts.items()), ", ")


class Unread:
    """Counts, by name, what a reader has no field for.

    Attributes:
        kept: data categories kept as notes, by name.
        placed: number of notes at each level (`conceptEntry`, `langSec`, `termSec`).
        in_words: categories that TBX-Basic can hold only in a note that names them, by name.
        dropped: what was left out, by name.
        noted: what else the user should know, each once.
    """

    def __init__(self) -> None:
        self.noted: dict[str, None] = {}
        self.kept: Counter[str] = Counter()
        self.placed: Counter[str] = Counter()
        self.in_words: Counter[str] = Counter()
        self.dropped: Counter[str] = Counter()

    def add(self, other: "Unread") -> None:
        """Add the counts of another `Unread`."""
        self.noted |= other.noted
        self.kept.update(other.kept)
        self.placed.update(other.placed)
        self.in_words.update(other.in_words)
        self.dropped.update(other.dropped)

    def note(
        self,
        element: Element,
        file_name: str,
        *,
        category: str = "",
        about: str = "",
        language: str = "",
        text_language: str = "",
        label: str = "",
    ) -> ForeignNote:
        """Return the note that keeps the contents of an element; its category is counted.

        Args:
            file_name: the file it came from.
            category: its data category, if it differs from the element's name.
            about: what it describes.
            language: language of its section; empty for a note on a name.
            text_language: its own language, if it should be recorded.
            label: a label to remove from the beginning of its text.

        Raises:
            BadInput: it is a reference to an entity, which is never expanded.
        """
        if not isinstance(element.tag, str):
            raise entity_error(element.getparent())
        category = category or element.get("type") or local_name(element)
        self.kept[category] += 1
        return ForeignNote(
            category=category, text=block_of(element).removeprefix(label), file=file_name, about=about,
            language=language, text_language=text_language, target=element.get("target") or "",
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class FieldLoss:
    """What happened to the values of one field.

    Attributes:
        path, label: the field, and its name in words.
        carried: values in a field that another system reads.
        noted: values in a note, for human readers only.
        left_out: values that are not in the file.
        why: the reason, if it is more than the format.
    """

    path: str
    label: str
    carried: int
    noted: int
    left_out: int
    why: str = ""

    @property
    def name(self) -> str:
        """Return the label, with the kind of record if the label alone is ambiguous: `Place (slip)`."""
        return named(self.path, self.label)


@dataclass(frozen=True, slots=True)
class LossReport:
    """What an export kept and lost; plain data that can be stored as JSON.

    Attributes:
        dialect: name of the dialect and style.
        entries, terms: how many were written.
        replaced_characters: characters that XML does not allow, each written as U+FFFD.
        fields: every field that had a value, in the order of `exports.tbx.tags.FIELDS`.
    """

    dialect: str
    entries: int
    terms: int
    replaced_characters: int
    fields: tuple[FieldLoss, ...]

    @property
    def losses(self) -> tuple[FieldLoss, ...]:
        """Return the fields with values in notes or left out."""
        return tuple(f for f in self.fields if f.noted or f.left_out)

    def readable(self) -> tuple[str, ...]:
        """Return the report: what was written, what was left out and why, what is in notes."""
        lines: list[str] = [
            message(
                "%(dialect)s: %(entries)s, %(terms)s.",
                dialect=self.dialect,
                entries=message_of_number("%(n)s entry", "%(n)s entries", self.entries),
                terms=message_of_number("%(n)s term", "%(n)s terms", self.terms),
            )
        ]
        if self.replaced_characters:
            lines.append(
                message_of_number(
                    "%(n)s character that XML does not allow was replaced by U+FFFD.",
                    "%(n)s characters that XML does not allow were replaced by U+FFFD.",
                    self.replaced_characters,
                )
            )
        lines += loss_sentences(Loss(f.path, f.name, f.left_out, f.why) for f in self.fields if f.left_out)
        lines += (
            message("In notes: %(field)s %(number)s.", field=field.name, number=field.noted)
            for field in self.fields
            if field.noted
        )
        return tuple(lines)


class ExportCounts:
    """Counts values by the path of their field while an export is written."""

    def __init__(self) -> None:
        self.carried: defaultdict[str, int] = defaultdict(int)
        self.noted: defaultdict[str, int] = defaultdict(int)
        self.left_out: defaultdict[str, int] = defaultdict(int)
        self.entries = 0
        self.terms = 0

    def report(self, style: Style, replaced: int) -> LossReport:
        """Return the report of what was counted."""
        counts = (
            FieldLoss(
                path, field.label, self.carried[path], self.noted[path], self.left_out[path],
                field.why if not style.whole else "" if field.tag else field.how,
            )
            for path, field in FIELDS.items()
        )  # fmt: skip
        kept = tuple(c for c in counts if c.carried or c.noted or c.left_out)
        return LossReport(style.title, self.entries, self.terms, replaced, kept)
