"""Reading a book's abbreviations: part of speech, gender, number, inflected forms."""

import re
from dataclasses import dataclass, field

from termbase.record.lines import ParsedForm
from termbase.wordlists.compiling import Compiled
from termbase.wordlists.grammar import listed_meaning

__all__ = ["Labelled", "read_forms", "read_labels"]

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
