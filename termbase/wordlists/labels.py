"""Reading a book's abbreviations: part of speech, gender, number, inflected forms."""

import re
from dataclasses import dataclass, field

from termbase.codes.lines import Problem
from termbase.fields.declarations import Path
from termbase.fields.notes import CodedText
from termbase.record.lines import (
    LISTS,
    ParsedForm,
    ParsedLine,
    Printed,
    PrintedWhy,
    Sense,
    Trouble,
    field_of,
    listed_meaning,
    outside_said,
)
from termbase.wordlists.compiling import Compiled

__all__ = ["Labelled", "LineState", "read_forms", "read_labels"]


_GENDERS = {"masculine", "feminine", "neuter", "common"}
_NUMBERS = {"singular", "plural", "dual", "collective", "singulative"}
_BOTH_GENDERS = "masculine or feminine"
_BETWEEN = re.compile(r"[,;]")


@dataclass(slots=True)
class Labelled:
    """What a run of labels says.

    Attributes:
        values: meaning by slot (`part of speech`, `gender`, `number`); two labels in one slot are
            joined by *or*.
        printed: spelling on the page by slot.
        unknown: labels that no table holds, or that were given twice.
        ditto: whether a ditto mark stands among them.
        remarks: what the tables say in brackets beside a meaning.
    """

    values: dict[str, str]
    printed: dict[str, str]
    unknown: list[str]
    ditto: bool = False
    remarks: list[str] = field(default_factory=list)

    def put(self, slot: str, meaning: str, spelling: str) -> None:
        """Fill a slot; the same label a second time is not understood."""
        if slot not in self.values:
            self.values[slot], self.printed[slot] = meaning, spelling
        elif spelling in self.printed[slot].split(" "):
            self.unknown.append(spelling)
        elif meaning not in self.values[slot].split(" or "):
            both = f"{self.values[slot]} or {meaning}"
            self.values[slot] = _BOTH_GENDERS if both == "feminine or masculine" else both
            self.printed[slot] += f" {spelling}"


def read_labels(compiled: Compiled, text: str, table: str = "LABELS") -> Labelled:
    """Read a run of labels by one table, or by all three (`LABELS`).

    Where all three are open a label is taken for a part of speech first, then, once that is known, for a
    number or gender.
    """
    said = Labelled({}, {}, [])
    for piece in _BETWEEN.split(text):
        for label in _single_labels(compiled, piece.strip(), table):
            _put(compiled, said, label, table)
    return said


def _single_labels(compiled: Compiled, piece: str, table: str) -> list[str]:
    if piece in compiled.tables[table] or not piece:
        return [piece] if piece else []
    labels: list[str] = []
    place = 0
    for hit in compiled.label.finditer(piece) if compiled.label else ():
        labels += piece[place : hit.start()].split()
        labels.append(hit.group())
        place = hit.end()
    return labels + piece[place:].split()


def _put(compiled: Compiled, said: Labelled, label: str, table: str) -> None:
    if compiled.ditto and compiled.ditto.fullmatch(label):
        said.ditto = True
        return
    tables = compiled.tables
    known = "part of speech" in said.values
    order = ("NUMBER", "GENDER", "POS") if known else ("POS", "NUMBER", "GENDER")
    for name in order if table == "LABELS" else (table,):
        if label in tables[name]:
            slot = {"POS": "part of speech", "GENDER": "gender", "NUMBER": "number"}[name]
            meaning, remark = listed_meaning(tables[name][label])
            said.remarks += [remark] if remark else []
            meanings = meaning.split(", ") if name == "POS" else [meaning]
            said.put(slot, meanings[0], label)
            for more in meanings[1:]:
                extra = "gender" if more in _GENDERS else "number" if more in _NUMBERS else slot
                said.put(extra, more, label)
            return
    said.unknown.append(label)


def read_forms(compiled: Compiled, text: str) -> tuple[ParsedForm, ...]:
    """Read inflected forms: each with its label, or with the one before it, or with the plain meaning."""
    label = compiled.pattern.labels.plain_form
    forms: list[ParsedForm] = []
    for piece in _BETWEEN.split(text):
        form = piece.strip()
        hit = compiled.form_label.match(form) if compiled.form_label else None
        if hit:
            label = compiled.tables["FORMS"][hit.group().rstrip()]
            form = form[hit.end() :]
        if form:
            forms.append(ParsedForm(label, form))
    return tuple(forms)


# The state while a record is parsed: its text, the line above, the problems so far.

_FIRST_WORD = re.compile(r"[^\s,;:\-‐–—]+")


class LineState:
    """One record being read. Every place in it is an offset into the whole text."""

    __slots__ = ("compiled", "depths", "previous", "printed", "text", "troubles")

    def __init__(
        self, compiled: Compiled, text: str, depths: list[int] | None, previous: ParsedLine | None
    ) -> None:
        self.compiled, self.text, self.depths, self.previous = compiled, text, depths, previous
        self.troubles: list[Trouble] = []
        self.printed: list[Printed] = []

    def trouble(self, at: int, why: CodedText) -> None:
        """Note a trouble at an offset."""
        self.troubles.append(Trouble(at + 1, why))

    def note_printed(self, part: Path, text: str, why: PrintedWhy) -> None:
        """Note the printed spelling of a part whose value differs."""
        self.printed.append(Printed(part, text, why))

    def trim(self, start: int, end: int) -> tuple[int, int]:
        """Leave out white space at both ends of a stretch."""
        piece = self.text[start:end]
        bare = piece.lstrip()
        start += len(piece) - len(bare)
        return start, start + len(bare.rstrip())

    def without_end(self, start: int, end: int) -> int:
        """The end of a stretch before the mark that closes a record; an abbreviation keeps its dot."""
        mark = self.compiled.pattern.cutting.end
        piece = self.text[start:end].rstrip()
        if not mark or not piece.endswith(mark) or len(piece) == len(mark):
            return end
        last = piece.replace(",", " ").split()[-1].lstrip("([")
        if any(last in table for table in self.compiled.tables.values()):
            return end
        return start + (len(piece[: -len(mark)].rstrip()) or len(piece))

    def words(self, start: int, end: int) -> str:
        """The text of a stretch, on one line."""
        piece = self.text[start:end].strip()
        return " ".join(piece.split("\n")) if "\n" in piece else piece

    def outside(self, sign: re.Pattern[str], start: int, end: int) -> list[tuple[int, int]]:
        """Position of a sign between start and end, outside brackets."""
        hits = [hit.span() for hit in sign.finditer(self.text, start, end)]
        if self.depths is None or not hits:
            return hits
        level = self.depths[start]
        return [hit for hit in hits if self.depths[hit[0]] == level]

    def labels(self, start: int, end: int, table: str, part: Path = ()) -> Labelled:
        """Read labels, noting their printed spelling and any that are not in the tables."""
        said = read_labels(self.compiled, self.text[start:end], table)
        if said.ditto:
            above = self.previous.part_of_speech if self.previous else ""
            if above:
                said.put("part of speech", above, self.text[start:end].strip())
            else:
                self.trouble(start, Problem.DITTO_PART_OF_SPEECH())
        why = PrintedWhy.DITTO if said.ditto else PrintedWhy.ABBREVIATION
        for slot, spelling in said.printed.items():
            if spelling != said.values[slot]:
                self.printed.append(Printed((*part, field_of(slot)), spelling, why))
        for slot, value in said.values.items():
            if value not in LISTS[slot]:
                self.trouble(start, outside_said(slot, value))
        for label in said.unknown:
            again = any(label in table_of for table_of in self.compiled.tables.values())
            why_not = Problem.LABEL_TWICE if again else Problem.LABEL_UNKNOWN
            self.trouble(start, why_not(word=label))
        return said

    def style(self, start: int, end: int, part: Path) -> str:
        """Read a style label: in full, or the one above when it is a ditto mark."""
        text = self.words(start, end)
        if self.compiled.ditto and self.compiled.ditto.fullmatch(text):
            above = _style_above(self.previous)
            if above:
                self.note_printed(part, text, PrintedWhy.DITTO)
                return above
            self.trouble(start, Problem.DITTO_STYLE())
            return ""
        full = self.compiled.tables["STYLE"].get(text, text)
        if full != text:
            self.note_printed(part, text, PrintedWhy.ABBREVIATION)
        return full

    def undo_ditto(self, start: int, end: int, stem: str, above: str, part: Path) -> str:
        """Put in what the ditto marks at the head of a stretch repeat.

        `stem` is what was last printed in full, `above` what the line above says.
        """
        text = self.words(start, end)
        run = self.compiled.ditto.match(text) if self.compiled.ditto else None
        if not run:
            return text
        ditto = self.compiled.pattern.ditto
        if ditto.repeats == "word for word":
            count = _count_marks(run.group(), ditto.marks)
            words = above.split()
            repeated = " ".join(words[:count]) if count <= len(words) else ""
        elif ditto.repeats == "first word":
            first = _FIRST_WORD.match(stem)
            repeated = first.group() if first else stem
        else:
            repeated = stem
        if not repeated:
            self.trouble(start, Problem.DITTO_NOTHING())
            return text
        rest = text[run.end() :]
        gap = "" if not rest or rest[0] in ",;-‐" else " "
        self.note_printed(part, text, PrintedWhy.DITTO)
        return f"{repeated}{gap}{rest}"


def _count_marks(run: str, marks: tuple[str, ...]) -> int:
    ordered = sorted(marks, key=len, reverse=True)
    return len(re.findall("|".join(re.escape(mark) for mark in ordered), run))


def _style_above(previous: ParsedLine | None) -> str:
    if previous is None:
        return ""
    senses: tuple[Sense, ...] = previous.senses
    return previous.style or next((sense.style for sense in reversed(senses) if sense.style), "")
