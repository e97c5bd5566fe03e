"""The lines of a word-list page as they are cut and parsed, their grammar, and the paths of their parts.

Columns count from 1. Nothing here is a guess: a value that differs from the print has the printed
spelling beside it in `ParsedLine.printed`, and what could not be read is in `rest` with its trouble.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Annotated, Final, Literal

from termbase.codes.lines import Problem
from termbase.fields.declarations import Count, Items, Line, Lines, Member, Part, Path, Reason
from termbase.fields.notes import CodedText
from termbase.messages import message
from termbase.record.entries import Gender, Number, PartOfSpeech

__all__ = [
    "HEADWORD",
    "LISTS",
    "PARTS_OF_PARTS",
    "STYLE",
    "CutLine",
    "Equivalent",
    "Join",
    "JoinKind",
    "LineKind",
    "ParsedForm",
    "ParsedLine",
    "Phrase",
    "Printed",
    "PrintedWhy",
    "Sense",
    "Trouble",
    "equivalent_path",
    "field_of",
    "is_name",
    "listed_meaning",
    "outside_lists",
    "outside_said",
    "path_said",
    "troubles_of",
]


LineKind = Literal["record", "furniture", "blank"]
JoinKind = Literal["space", "word", "hyphen", "line"]


class PrintedWhy(StrEnum):
    """Why the print differs from the value. A word of a newer version is kept as it is."""

    ABBREVIATION = "abbreviation"
    DITTO = "ditto"
    BROKEN_WORD = "broken word"
    BY_HAND = "by hand"

    @classmethod
    def _missing_(cls, value: object) -> "PrintedWhy | None":
        if not isinstance(value, str):
            return None
        made = str.__new__(cls, value)
        made._name_, made._value_ = value, value
        return made


@dataclass(frozen=True, slots=True)
class Join:
    """Where a second printed line was joined to the one before it.

    Attributes:
        at: offset (from 0) in `CutLine.text` at which the second printed line begins.
        how: *space* (joined with a space), *word* (a broken word, its hyphen dropped), *hyphen* (a word
            broken at a hyphen of its own, which stays), *line* (kept as two lines).
        skipped: how many characters of indentation the second line lost.
    """

    at: int
    how: JoinKind
    skipped: int = 0


@dataclass(frozen=True, slots=True)
class CutLine:
    """One line of the word-list: a record, a piece of page furniture, or a blank.

    Attributes:
        number: its place among the lines of the page, from 1.
        raw: the transcription it was cut from, character for character with its line ends; the raw
            texts of a page, put together, are the transcription.
        text: what is parsed: printed lines joined, broken words mended, the margins trimmed.
        kind: record, furniture or blank.
        first: number of its first printed line, from 1.
        joins: where printed lines were joined, in order.
    """

    number: int
    raw: str
    text: str
    kind: LineKind
    first: int
    joins: tuple[Join, ...] = ()

    def place(self, column: int) -> tuple[int, int]:
        """Return the printed line and the column on it of a column (from 1) of `text`."""
        line, start, skipped = self.first, 0, len(self.raw) - len(self.raw.lstrip())
        for join in self.joins:
            if column - 1 < join.at:
                break
            line, start, skipped = line + 1, join.at, join.skipped
        return line, column - start + skipped


@dataclass(frozen=True, slots=True)
class Trouble:
    """Why a line, or a part of it, could not be read.

    Attributes:
        column: column of `CutLine.text`, from 1, where reading stopped.
        why: the reason (`termbase.codes.lines.Problem`).
    """

    column: Annotated[int, Count()]
    why: Annotated[CodedText, Reason()]


@dataclass(frozen=True, slots=True)
class Printed:
    """The printed spelling of a value that was normalised.

    Attributes:
        part: whose it is, as a path: `("headword",)`, `("senses", 0, "equivalents", 2, "gender")`.
        text: the text printed on the page.
        why: *abbreviation* (printed short: the table of abbreviations was used, or the editor wrote it out),
            *ditto* (what a ditto mark repeats was put in), *broken word* (broken at the line end) or
            *by hand* (another spelling, which the editor normalised, as where the book has a misprint).
    """

    part: Annotated[Path, Part()]
    text: Annotated[str, Line(title=True)]
    why: Annotated[PrintedWhy, Member()]


@dataclass(frozen=True, slots=True)
class ParsedForm:
    """An inflected form: what it is (`plural`; empty when the book does not say) and the form itself.

    A form printed as an ending (`-au`) stays an ending.

    Attributes:
        label: what form it is.
        text: the form.
    """

    label: Annotated[str, Line(worded=True)]
    text: Annotated[str, Line(title=True)]


@dataclass(frozen=True, slots=True)
class Equivalent:
    """One equivalent in the other language.

    Attributes:
        text: the words.
        part_of_speech, gender, number: in full, from the pattern's tables; empty where not given.
        forms: inflected forms.
        variants: other spellings of it.
        style: its own style label, where it has one.
        note: anything else printed with it.
    """

    text: Annotated[str, Line(title=True)]
    gender: Annotated[str, Line(worded=True)] = ""
    number: Annotated[str, Line(worded=True)] = ""
    forms: Annotated[tuple[ParsedForm, ...], Items("form")] = ()
    variants: Annotated[tuple[str, ...], Lines()] = ()
    note: Annotated[str, Line()] = ""
    part_of_speech: Annotated[str, Line(worded=True)] = ""
    style: Annotated[str, Line()] = ""


@dataclass(frozen=True, slots=True)
class Phrase:
    """A phrase or example given under a sense, with its own equivalents.

    Attributes:
        text: the phrase.
        forms: inflected forms.
        equivalents: what it is called in the other language.
        note: a note.
    """

    text: Annotated[str, Line(title=True)]
    forms: Annotated[tuple[ParsedForm, ...], Items("form")] = ()
    equivalents: Annotated[tuple[Equivalent, ...], Items()] = ()
    note: Annotated[str, Line()] = ""


@dataclass(frozen=True, slots=True)
class Sense:
    """One sense of a headword; each becomes a separate concept later.

    Attributes:
        number: as printed (`2`, `b`); empty when the book does not number it.
        style: style label of this sense alone.
        gloss: explanation in the headword's language.
        equivalents: what it is called in the other language.
        see: cross-references.
        note: anything else.
        phrases: phrases and examples under it.
    """

    number: Annotated[str, Line()] = ""
    style: Annotated[str, Line()] = ""
    gloss: Annotated[str, Line()] = ""
    equivalents: Annotated[tuple[Equivalent, ...], Items()] = ()
    see: Annotated[tuple[str, ...], Lines()] = ()
    note: Annotated[str, Line()] = ""
    phrases: Annotated[tuple[Phrase, ...], Items()] = ()


@dataclass(frozen=True, slots=True)
class ParsedLine:
    """What one record of the word-list says.

    Attributes:
        headword: with what a ditto mark repeats put in.
        variants: other spellings of the headword.
        part_of_speech, gender, number: in full; empty where not given.
        pronunciation: between the slashes.
        style: style label of the whole record.
        forms: inflected forms of the headword.
        senses: in order; one, without a number, when the book does not divide them.
        see: cross-references of the whole record.
        note: anything else.
        rest: what could not be read, as printed.
        troubles: why not, in order of column; empty for a line read cleanly.
        printed: printed spellings of what was normalised.
        layout: which layout of the pattern fitted, from 1; 0 when none did.
        stem: the headword last printed in full, which a ditto mark on the next line stands for; empty after
            a line that could not be read, for what a mark below it repeats is not known.
    """

    headword: Annotated[str, Line(title=True)] = ""
    variants: Annotated[tuple[str, ...], Lines()] = ()
    part_of_speech: Annotated[str, Line(worded=True)] = ""
    gender: Annotated[str, Line(worded=True)] = ""
    number: Annotated[str, Line(worded=True)] = ""
    pronunciation: Annotated[str, Line()] = ""
    style: Annotated[str, Line()] = ""
    forms: Annotated[tuple[ParsedForm, ...], Items("form")] = ()
    senses: Annotated[tuple[Sense, ...], Items()] = ()
    see: Annotated[tuple[str, ...], Lines()] = ()
    note: Annotated[str, Line()] = ""
    rest: Annotated[str, Line()] = ""
    troubles: Annotated[tuple[Trouble, ...], Items()] = ()
    printed: Annotated[tuple[Printed, ...], Items()] = ()
    layout: Annotated[int, Count()] = 0
    stem: Annotated[str, Line()] = ""


# Grammar: the closed lists, and what a line says that is in none of them.
#
# A word-list may use a word that our lists lack (*participle*). It is never dropped: the line keeps it as a
# problem until somebody decides. A pattern can decide for all lines: in `other (participle)`, `other` is our
# word and the book's own word in brackets goes into the note.

LISTS: Final[Mapping[str, frozenset[str]]] = MappingProxyType(
    {
        "part of speech": frozenset(p.value for p in PartOfSpeech),
        "gender": frozenset(g.value for g in Gender),
        "number": frozenset(n.value for n in Number),
    }
)
"""The words that each slot of grammar can hold."""

_OUTSIDE: Final = MappingProxyType(
    {
        "part of speech": Problem.NO_PART_OF_SPEECH,
        "gender": Problem.NO_GENDER,
        "number": Problem.NO_NUMBER,
    }
)
"""Message about a word that a slot cannot hold."""

_WITH_REMARK = re.compile(r"([^()]+?)\s*\((.+)\)\s*", re.DOTALL)


def listed_meaning(meaning: str) -> tuple[str, str]:
    """A meaning and the remark in brackets after it: `other (participle)` is `other` and `participle`."""
    found = _WITH_REMARK.fullmatch(meaning)
    return (found[1].strip(), found[2].strip()) if found else (meaning, "")


def outside_said(slot: str, word: str) -> CodedText:
    """A problem: a word is not in the list of its slot."""
    return _OUTSIDE[slot](word=word)


def outside_lists(parsed: ParsedLine) -> Iterator[tuple[str, str, str]]:
    """The grammar words not in any list, each with its slot and the name it belongs to."""
    told = [(parsed.headword, parsed.part_of_speech, parsed.gender, parsed.number)]
    told += [
        (equivalent.text, equivalent.part_of_speech, equivalent.gender, equivalent.number)
        for sense in parsed.senses
        for equivalent in sense.equivalents
    ]
    for name, *words in told:
        for slot, word in zip(LISTS, words, strict=True):
            if word and word not in LISTS[slot]:
                yield slot, word, name


def troubles_of(parsed: ParsedLine) -> tuple[Trouble, ...]:
    """The troubles of a line, and one for each word that no list has where none is kept for it.

    Lines read by an earlier version, and lines corrected by hand, hold such words without a trouble.
    """
    known = {trouble.why for trouble in parsed.troubles}
    more = dict.fromkeys(outside_said(slot, word) for slot, word, _ in outside_lists(parsed))
    return (*parsed.troubles, *(Trouble(1, why) for why in more if why not in known))


# Paths: where a part of a parsed line is, also in words.
#
# `("senses", 0, "equivalents", 1, "gender")` is the gender of the second equivalent of the first sense.
# Fields are those of `termbase.record.lines.ParsedLine`; places count from 0, in words from 1.

HEADWORD: Final[Path] = ("headword",)
STYLE: Final[Path] = ("style",)

PARTS_OF_PARTS: Final = (
    "sense %(number)s",
    "sense %(number)s %(part)s",
    "sense %(number)s equivalent %(place)s",
    "sense %(number)s equivalent %(place)s %(part)s",
    "sense %(number)s phrase %(phrase)s",
    "sense %(number)s phrase %(phrase)s %(part)s",
    "sense %(number)s phrase %(phrase)s equivalent %(place)s",
    "sense %(number)s phrase %(phrase)s equivalent %(place)s %(part)s",
)
"""What a part within a sense is called; translators can order it as their language does."""

_LISTS: Final = {
    "senses": ("sense", "number"),
    "equivalents": ("equivalent", "place"),
    "phrases": ("phrase", "phrase"),
}
_WORDS: Final = {
    "variants": "other spellings",
    "forms": "inflected forms",
    "gloss": "explanation",
    "see": "cross-reference",
}
"""Fields that are called otherwise in words."""


def equivalent_path(sense: int, place: int) -> Path:
    """The path of an equivalent of a sense, both counted from 0."""
    return ("senses", sense, "equivalents", place)


def field_of(slot: str) -> str:
    """The field of a slot of grammar: `part of speech` is `part_of_speech`."""
    return slot.replace(" ", "_")


def is_name(path: Path) -> bool:
    """Whether it is the headword or an equivalent of a sense, which become names of an entry."""
    return path == HEADWORD or (len(path) == 4 and path[0] == "senses" and path[2] == "equivalents")


def path_said(path: Path) -> str:
    """A part in words, a message: `sense 1 equivalent 2 gender`; a path of a newer version as it is."""
    template, values, rest = [], dict[str, object](), list(path)
    while len(rest) > 1 and isinstance(rest[1], int) and rest[0] in _LISTS:
        word, name = _LISTS[str(rest[0])]
        template.append(f"{word} %({name})s")
        values[name] = rest[1] + 1
        del rest[:2]
    if len(rest) == 1 and isinstance(rest[0], str):
        words = message(_WORDS.get(rest[0], rest[0].replace("_", " ")))
        if not template:
            return words
        template.append("%(part)s")
        values["part"] = words
    told = " ".join(template)
    if told not in PARTS_OF_PARTS or len(rest) > 1:
        return " ".join(str(step) for step in path)
    return message(told, **values)
