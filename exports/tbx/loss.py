"""What an export kept and lost, counted value by value."""

from collections import defaultdict
from dataclasses import dataclass

from exports.losses import Loss, loss_sentences, named
from exports.tbx.styles import Style
from exports.tbx.tags import FIELDS
from termbase.messages import message, message_of_number

__all__ = ["ExportCounts", "FieldLoss", "LossReport"]


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
