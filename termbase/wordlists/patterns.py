"""The line pattern: how one book sets out its word-list, as a small set of named settings.

A *layout* shows the order of a record as it is printed, with the names of the parts in CAPITALS in
place of the words: `HEADWORD, POS{ [STYLE]} SENSES`. Braces hold what may be missing; a new line in
the layout is a new line in the book; all else stands for itself (see `layouts.py`).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from termbase.languages import tags
from termbase.languages.files import ListWords, language, shipped_tags

__all__ = [
    "Abbreviation",
    "Breaks",
    "Cutting",
    "Ditto",
    "DittoRepeats",
    "Furniture",
    "Labels",
    "Layouts",
    "LinePattern",
    "Marks",
    "RecordCut",
    "in_languages",
    "or_words",
]


RecordCut = Literal["each line", "margin", "blank line", "headword line"]
DittoRepeats = Literal["headword", "first word", "word for word"]


@dataclass(frozen=True, slots=True)
class Abbreviation:
    """An abbreviation as printed, dot included, and its meaning in full."""

    printed: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Cutting:
    """How records are cut.

    Attributes:
        records: *each line* is a record; a record starts at the *margin* and indented lines go on with
            it; a *blank line* stands between records; a *headword line* is followed by its gloss lines.
        indent: from how many spaces a line counts as indented.
        gloss_lines: how many lines always follow a headword line (only for *headword line*); further
            lines belong to the record when indented or when they open with a sense number.
        headword_sign: a sign that only headword lines show, such as `<`: it tells where the next record
            begins after a stray line (only for *headword line*); empty for none.
        end: mark that closes a record and belongs to no word, such as a full stop; empty for none.
    """

    records: RecordCut = "each line"
    indent: int = 1
    gloss_lines: int = 1
    headword_sign: str = ""
    end: str = ""


@dataclass(frozen=True, slots=True)
class Layouts:
    """The layouts. Of several, the first that fits is used; for equivalents, the one with most parts.

    Attributes:
        record: of a whole record.
        sense: of one sense.
        equivalent: of one equivalent.
        phrase: of an indented line giving a phrase or example; none means that indented lines go on
            with the line above.
    """

    record: tuple[str, ...] = ("HEADWORD SENSES",)
    sense: tuple[str, ...] = ("EQUIVALENTS",)
    equivalent: tuple[str, ...] = ("TEXT",)
    phrase: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Marks:
    """Marks that separate senses and equivalents, and words before a cross-reference.

    Attributes:
        sense_number: the number of a first sense as printed: `1.`, `1)`, `(1)`, `a.`, `a)` or `(a)`;
            empty when senses are not numbered.
        senses: marks between senses that have no number.
        equivalents: marks between equivalents.
        see: words before a cross-reference (`see`, `gw.`).
    """

    sense_number: str = ""
    senses: tuple[str, ...] = ()
    equivalents: tuple[str, ...] = (",",)
    see: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Labels:
    """The book's abbreviations.

    Attributes:
        part_of_speech: meaning in full; a gender or number may follow after a comma
            (`noun, masculine`).
        gender, number: meaning in full.
        forms: labels of inflected forms (`pl.`: plural).
        plain_form: meaning of an inflected form printed without a label; empty: it needs one.
        style: full names of style labels, where the book shortens them; others stay as printed.
    """

    part_of_speech: tuple[Abbreviation, ...] = ()
    gender: tuple[Abbreviation, ...] = ()
    number: tuple[Abbreviation, ...] = ()
    forms: tuple[Abbreviation, ...] = ()
    plain_form: str = ""
    style: tuple[Abbreviation, ...] = ()


@dataclass(frozen=True, slots=True)
class Ditto:
    """Ditto marks, and what one repeats when it stands for a headword.

    Attributes:
        marks: as printed.
        repeats: the whole *headword* last printed in full, its *first word*, or *word for word* what
            stands above each mark. In the place of a style label, part of speech or equivalent a mark
            repeats the one of the line before.
    """

    marks: tuple[str, ...] = ()
    repeats: DittoRepeats = "headword"


@dataclass(frozen=True, slots=True)
class Breaks:
    """Words broken at the line end.

    Attributes:
        hyphens: characters that break a word there; none: lines end where words end.
        kept: words whose own hyphen stays when they are broken at it (`cross-buttock`). A word printed
            with its hyphen elsewhere on the page keeps it too.
    """

    hyphens: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Furniture:
    """Text on the page that belongs to no record.

    Attributes:
        running_heads: words of head and foot lines; a page number beside them is allowed for.
        page_numbers: whether a line of nothing but a number is a page number.
        section_letters: whether a line of nothing but a letter, or a double letter, heads a section.
        front_matter_ends: everything down to the last line holding these words is front matter.
        back_matter_begins: everything from the last line that is just this is back matter.
    """

    running_heads: tuple[str, ...] = ()
    page_numbers: bool = False
    section_letters: bool = False
    front_matter_ends: str = ""
    back_matter_begins: str = ""


@dataclass(frozen=True, slots=True)
class LinePattern:
    """How one source separates the parts of its records.

    Attributes:
        name: what the researcher calls it.
        description: one line on which books it suits.
        headword_language, equivalent_language: BCP 47 tags; empty when not told.
    """

    name: str
    description: str = ""
    headword_language: str = ""
    equivalent_language: str = ""
    cutting: Cutting = field(default_factory=Cutting)
    layouts: Layouts = field(default_factory=Layouts)
    marks: Marks = field(default_factory=Marks)
    labels: Labels = field(default_factory=Labels)
    ditto: Ditto = field(default_factory=Ditto)
    breaks: Breaks = field(default_factory=Breaks)
    furniture: Furniture = field(default_factory=Furniture)


# Fit a stock pattern to the languages of a word-list: their tags, and the labels that lists print in them.

_OR = "or VARIANTS"


def in_languages(pattern: LinePattern, headword: str, equivalent: str) -> LinePattern:
    """The pattern for a word-list whose headwords and equivalents are in these languages.

    The labels of both languages are added to those of the pattern. Where an abbreviation is in the pattern
    already, the pattern's meaning stays.

    Args:
        pattern: the pattern, as a rule one of `STOCK`.
        headword: BCP 47 tag of the headwords.
        equivalent: BCP 47 tag of the equivalents.

    Raises:
        BadInput: a tag is not well formed.
    """
    heads, others = language(headword).word_lists, language(equivalent).word_lists
    both = (heads, others)
    layouts = pattern.layouts
    return replace(
        pattern,
        headword_language=headword,
        equivalent_language=equivalent,
        layouts=replace(
            layouts,
            record=_with_or_words(layouts.record, heads),
            equivalent=_with_or_words(layouts.equivalent, others),
        ),
        marks=replace(pattern.marks, see=_see(pattern.marks.see, both)),
        labels=_labels(pattern.labels, both),
    )


def or_words(pattern: LinePattern) -> tuple[str, ...]:
    """The words between two spellings of a name: *or*, and those of the pattern's languages.

    A pattern that names no language takes those of every language there is a file for.
    """
    named = [tag for tag in (pattern.headword_language, pattern.equivalent_language) if tag]
    known = [tag for tag in named if tags.is_well_formed(tag)] if named else shipped_tags()
    return tuple(
        dict.fromkeys(("or", *(word for tag in known for word in language(tag).word_lists.or_words)))
    )


def _with_or_words(layouts: tuple[str, ...], words: ListWords) -> tuple[str, ...]:
    """The layouts, each that has *or* before other spellings once more with the words of the language."""
    return tuple(
        dict.fromkeys(
            text
            for layout in layouts
            for text in (layout, *(layout.replace(_OR, f"{word} VARIANTS") for word in words.or_words))
        )
    )


def _see(known: tuple[str, ...], lists: Iterable[ListWords]) -> tuple[str, ...]:
    """A pattern without cross-references stays without."""
    return tuple(dict.fromkeys((*known, *(word for words in lists for word in words.see)))) if known else ()


def _labels(labels: Labels, lists: Iterable[ListWords]) -> Labels:
    for words in lists:
        labels = replace(
            labels,
            part_of_speech=_rows(labels.part_of_speech, words.part_of_speech),
            gender=_rows(labels.gender, words.gender),
            number=_rows(labels.number, words.number),
            forms=_rows(labels.forms, words.forms),
        )
    return labels


def _rows(known: tuple[Abbreviation, ...], more: Mapping[str, str]) -> tuple[Abbreviation, ...]:
    """A pattern without such a table stays without: its book has no such labels."""
    if not known:
        return ()
    printed = {row.printed for row in known}
    return (*known, *(Abbreviation(key, meaning) for key, meaning in more.items() if key not in printed))
