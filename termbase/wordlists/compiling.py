"""A line pattern made ready for use: its layouts read, its marks and tables turned into expressions."""

import re
from dataclasses import dataclass
from functools import lru_cache

from termbase.errors import BadInput
from termbase.messages import message
from termbase.wordlists.layouts import Layout, Level, read_layout
from termbase.wordlists.patterns import Abbreviation, Labels, LinePattern, or_words

__all__ = ["LEVELS", "Compiled", "compile_pattern"]

LEVELS: dict[str, Level] = {
    "record": Level(
        message("a record"),
        "HEADWORD",
        frozenset(
            {
                "HEADWORD",
                "VARIANTS",
                "POS",
                "GENDER",
                "NUMBER",
                "LABELS",
                "SOUND",
                "STYLE",
                "FORMS",
                "GLOSS",
                "SENSES",
                "SEE",
                "NOTE",
            }
        ),
    ),
    "sense": Level(
        message("a sense"),
        "EQUIVALENTS",
        frozenset({"STYLE", "GLOSS", "EQUIVALENTS", "SEE", "NOTE", "PHRASE"}),
    ),
    "equivalent": Level(
        message("an equivalent"),
        "TEXT",
        frozenset({"TEXT", "POS", "GENDER", "NUMBER", "LABELS", "FORMS", "VARIANTS", "STYLE", "NOTE"}),
    ),
    "phrase": Level(
        message("a phrase"), "PHRASE", frozenset({"PHRASE", "LABELS", "FORMS", "EQUIVALENTS", "NOTE"})
    ),
}
"""The four kinds of layout, by the setting that holds them."""

_NUMBERS = {
    "1.": r"(\d{1,2})\.",
    "1)": r"(\d{1,2})\)",
    "(1)": r"\((\d{1,2})\)",
    "a.": r"([a-z])\.",
    "a)": r"([a-z])\)",
    "(a)": r"\(([a-z])\)",
}


@dataclass(frozen=True, slots=True)
class Compiled:
    """What parsing needs of a pattern.

    Attributes:
        pattern: the pattern itself.
        record, sense, equivalent, phrase: its layouts, read.
        split, split_all: the marks between equivalents, alone and with those between senses.
        sense_split: the marks between senses.
        number: a sense number; None when senses are not numbered.
        see: what announces a cross-reference; None when nothing does.
        ditto: a run of ditto marks; None when there are none.
        label: one abbreviation of the tables.
        label_piece: a piece between two marks that is only labels and so belongs to the piece before.
        tables: meaning by printed abbreviation for `POS`, `GENDER`, `NUMBER`, `STYLE` and `FORMS`.
        form_label: a label of inflected forms; None for an empty table.
        variants: signs or words between two spellings of a name.
    """

    pattern: LinePattern
    record: tuple[Layout, ...]
    sense: tuple[Layout, ...]
    equivalent: tuple[Layout, ...]
    phrase: tuple[Layout, ...]
    split: re.Pattern[str]
    split_all: re.Pattern[str]
    sense_split: re.Pattern[str] | None
    number: re.Pattern[str] | None
    see: re.Pattern[str] | None
    ditto: re.Pattern[str] | None
    label: re.Pattern[str] | None
    label_piece: re.Pattern[str] | None
    form_label: re.Pattern[str] | None
    variants: re.Pattern[str]
    tables: dict[str, dict[str, str]]


@lru_cache(maxsize=64)
def compile_pattern(pattern: LinePattern) -> Compiled:
    """Make a pattern ready.

    Raises:
        BadInput: a layout cannot be read, or a sense number is not written as one of the known ways.
    """
    labels, marks = pattern.labels, pattern.marks
    if marks.sense_number and marks.sense_number not in _NUMBERS:
        raise BadInput(
            message("Sense numbers cannot be written “%(mark)s”.", mark=marks.sense_number),
            where=_setting("marks", "sense_number"),
            fix=message("Write how the first sense is numbered: %(numbers)s.", numbers=", ".join(_NUMBERS)),
        )
    ditto = _alternatives(pattern.ditto.marks)
    tables = {
        "POS": _table(labels.part_of_speech),
        "GENDER": _table(labels.gender),
        "NUMBER": _table(labels.number),
        "STYLE": _table(labels.style),
        "FORMS": _table(labels.forms),
    }
    tables["LABELS"] = tables["POS"] | tables["GENDER"] | tables["NUMBER"]
    label = _alternatives(tables["LABELS"])
    form_label = _alternatives(tables["FORMS"])
    number = _NUMBERS.get(marks.sense_number)
    read = _LayoutReader(pattern, tables, ditto)
    return Compiled(
        pattern=pattern,
        record=read.all("record", pattern.layouts.record),
        sense=read.all("sense", pattern.layouts.sense),
        equivalent=read.all("equivalent", pattern.layouts.equivalent),
        phrase=read.all("phrase", pattern.layouts.phrase) if pattern.layouts.phrase else (),
        split=_splitter(marks.equivalents),
        split_all=_splitter(marks.equivalents + marks.senses),
        sense_split=_splitter(marks.senses) if marks.senses else None,
        number=re.compile(rf"(?<!\S){number}(?!\S)") if number else None,
        see=_see(marks.see),
        ditto=re.compile(rf"(?:{ditto}\s*)+") if ditto else None,
        label=re.compile(rf"(?<!\w){label}(?!\w)") if label else None,
        label_piece=_label_piece(label, form_label),
        form_label=re.compile(rf"{form_label}(?!\w)\s*") if form_label else None,
        variants=re.compile(rf"[,;]|(?<=\s){_alternatives(or_words(pattern))}(?=\s)"),
        tables=tables,
    )


def _setting(group: str, name: str) -> str:
    """The place of a setting as it is written in the file; `settings` finds its line."""
    return f"{group}, {name}"


class _LayoutReader:
    """Reads the layouts of one pattern."""

    def __init__(self, pattern: LinePattern, tables: dict[str, dict[str, str]], ditto: str) -> None:
        self.labels: Labels = pattern.labels
        self.tables, self.ditto = tables, ditto

    def all(self, level: str, texts: tuple[str, ...]) -> tuple[Layout, ...]:
        if not texts:
            raise BadInput(
                message("There is no layout for %(level)s.", level=LEVELS[level].name),
                where=_setting("layouts", level),
                fix=message("Add at least one that contains %(part)s.", part=LEVELS[level].needs),
            )
        return tuple(
            read_layout(
                text,
                LEVELS[level],
                listed=self.listed,
                forms=self.forms,
                headword_start=rf"(?:{self.ditto}[^\S\n]*)*" if self.ditto else "",
                where=_setting("layouts", f"{level} {index}"),
            )
            for index, text in enumerate(texts, 1)
        )

    def listed(self, name: str) -> str:
        table = self.tables[name]
        one = _alternatives(table)
        if not one:
            return ""
        one = rf"(?:{one}|{self.ditto})" if self.ditto else one
        if name == "STYLE":
            return one
        return rf"{one}(?:(?:(?<=\.)|[^\S\n]+|[^\S\n]*,[^\S\n]*){one}(?!\w))*"

    def forms(self, bracketed: bool) -> str:
        if bracketed and self.labels.plain_form:
            return ""
        label = _alternatives(self.tables["FORMS"])
        ending = "|-(?=\\w)" if bracketed else ""
        return rf"[^\S\n]*(?:{label}{ending})" if label else rf"[^\S\n]*(?:(?!){ending})"


def _table(rows: tuple[Abbreviation, ...]) -> dict[str, str]:
    return {row.printed: row.meaning for row in rows}


def _alternatives(printed: tuple[str, ...] | dict[str, str]) -> str:
    """An expression for any of these, the longest first; empty for none."""
    ordered = sorted((word for word in printed if word), key=lambda word: (-len(word), word))
    return f"(?:{'|'.join(re.escape(word) for word in ordered)})" if ordered else ""


def _splitter(marks: tuple[str, ...]) -> re.Pattern[str]:
    """Any of the marks, except a comma or point inside a number; an empty pattern without marks."""
    one = _alternatives(marks)
    return re.compile(rf"(?<!\d){one}|{one}(?!\d)" if one else r"(?!)")


def _see(words: tuple[str, ...]) -> re.Pattern[str] | None:
    one = _alternatives(words)
    return re.compile(rf"(?<![^\W_])[*_]?{one}[*_]?(?=\s)\s*(?=\S)", re.IGNORECASE) if one else None


def _label_piece(label: str, form_label: str) -> re.Pattern[str] | None:
    options = []
    if label:
        options.append(rf"{label}(?!\w)(?:[^\S\n]*{label}(?!\w))*(?=\s*(?:\Z|[(\[<.]))")
    if form_label:
        options.append(rf"{form_label}(?!\w)")
    return re.compile(rf"\s*(?:{'|'.join(options)})") if options else None
