"""The book as data, fully worded and in order, and the selection of what goes into it.

Every text is plain, so that nothing in the record can be interpreted as markup. `lang` fields are the primary
language subtag, used for hyphenation. Empty fields are left out of the JSON.
"""

from dataclasses import dataclass
from typing import Literal

from msgspec import Struct

from termbase.record.entries import Entry
from termbase.record.people import Termbase
from termbase.voice import ENGLISH, Voice

__all__ = [
    "BOTH_WAYS",
    "Article",
    "Book",
    "ClauseText",
    "CodeText",
    "Direction",
    "Drawing",
    "Front",
    "Group",
    "IndexEntry",
    "IndexGroup",
    "Judgement",
    "KeyLine",
    "Letter",
    "Name",
    "Paper",
    "Part",
    "Picture",
    "Quotation",
    "Ref",
    "Relations",
    "ReverseLine",
    "Selection",
    "Text",
    "Words",
    "Work",
]


class Text(Struct, frozen=True, omit_defaults=True):
    """Running text in one language; `source` is the label of the work it is taken from."""

    text: str
    lang: str = ""
    source: str = ""


class Ref(Struct, frozen=True, omit_defaults=True):
    """A reference to another article; `to` is empty if that article is not in the book."""

    text: str
    lang: str = ""
    to: str = ""


class Name(Struct, frozen=True, omit_defaults=True):
    """A name of a concept.

    Attributes:
        sign: the sign before a name that is not on record (rebuilt, coined).
        grammar: part of speech and gender, abbreviated.
        forms: alternating label and form: `pl.`, `codymau`.
        origin: in words, set apart from the name.
        mark: shape of the evidence mark; `evidence` gives it in words, with dates.
        printed: the printed form, if it differs.
        labels: register, region, status.
    """

    text: str
    lang: str = ""
    sign: str = ""
    said: str = ""
    grammar: str = ""
    forms: tuple[tuple[str, str], ...] = ()
    origin: str = ""
    mark: str = ""
    evidence: str = ""
    printed: str = ""
    labels: str = ""
    note: str = ""


class Group(Struct, frozen=True, omit_defaults=True):
    """The names in one vernacular."""

    language: str
    names: tuple[Name, ...]


class Quotation(Struct, frozen=True, omit_defaults=True):
    """One witness: its words, its work with date and place in it, and where else the same text is found."""

    text: str
    lang: str = ""
    date: str = ""
    source: str = ""
    also: str = ""
    kind: str = ""


class Judgement(Struct, frozen=True, omit_defaults=True):
    """The verdict under one rule code: word, mark, reasons, and the editor's ruling on it.

    Each reason ends with the number and the source of its clause, in brackets.
    """

    code: str
    word: str
    mark: str
    code_id: str = ""
    says: tuple[str, ...] = ()
    ruling: str = ""


class Drawing(Struct, frozen=True, omit_defaults=True):
    """A technique as a figure: SVG, and the same in words."""

    svg: str
    said: str


class Picture(Struct, frozen=True, omit_defaults=True):
    """A picture of an entry: its file and size in pixels, what it shows, its caption, its owner.

    `alt` is never empty; it is the caption if there is one. `lang` is empty if the book supplies both.
    """

    file: str
    width: int
    height: int
    alt: str
    caption: str = ""
    credit: str = ""
    lang: str = ""


class Relations(Struct, frozen=True, omit_defaults=True):
    """The relations of one kind."""

    kind: str
    to: tuple[Ref, ...]


class Article(Struct, frozen=True, omit_defaults=True):
    """A full article.

    Attributes:
        hurt: notices of trials in which someone was hurt; like `caution`, printed before the figure.
        trials: outcome, change, safety measures and injuries of each.
    """

    id: str
    head: Name
    draft: str = ""
    others: tuple[Name, ...] = ()
    names: tuple[Group, ...] = ()
    definitions: tuple[Text, ...] = ()
    note: str = ""
    known: tuple[str, ...] = ()
    figure: Drawing | None = None
    pictures: tuple[Picture, ...] = ()
    hurt: tuple[str, ...] = ()
    caution: str = ""
    quotations: tuple[Quotation, ...] = ()
    verdicts: tuple[Judgement, ...] = ()
    trials: tuple[str, ...] = ()
    relations: tuple[Relations, ...] = ()
    analogues: tuple[str, ...] = ()


class ReverseLine(Struct, frozen=True, omit_defaults=True):
    """A line of the reverse part: a name and the headwords it leads to; `see` marks synonyms."""

    head: Name
    refs: tuple[Ref, ...]
    see: bool = False


class Letter(Struct, frozen=True, omit_defaults=True):
    """A letter section: its articles, or lines with references."""

    letter: str
    items: tuple[Article | ReverseLine, ...]


class Part(Struct, frozen=True, omit_defaults=True):
    """A part of the book: its title, the language of its headwords, its letters."""

    title: str
    lang: str
    letters: tuple[Letter, ...]
    intro: str = ""


class Work(Struct, frozen=True, omit_defaults=True):
    """A work in the bibliography."""

    label: str
    kind: str = ""
    before: str = ""
    title: str = ""
    after: str = ""
    lang: str = ""


class ClauseText(Struct, frozen=True, omit_defaults=True):
    """A clause of a rule code.

    Attributes:
        number: as in its code.
        words: the source's own words, in `lang`; `unsaid` says that they are not recorded.
        source: label of the source.
        says: what the verdicts are based on, in the book's words.
    """

    number: str
    words: str = ""
    lang: str = ""
    source: str = ""
    says: str = ""
    unsaid: str = ""


class CodeText(Struct, frozen=True, omit_defaults=True):
    """A rule code in full."""

    id: str
    name: str
    about: str = ""
    clauses: tuple[ClauseText, ...] = ()


class IndexEntry(Struct, frozen=True, omit_defaults=True):
    """A heading of the index by mechanic, with its articles."""

    heading: str
    refs: tuple[Ref, ...]


class IndexGroup(Struct, frozen=True, omit_defaults=True):
    """One attribute of the mechanic."""

    title: str
    entries: tuple[IndexEntry, ...]


class KeyLine(Struct, frozen=True, omit_defaults=True):
    """A line of a key: a sign or abbreviation, and its meaning."""

    sign: str
    text: str


class Front(Struct, frozen=True, omit_defaults=True):
    """A section of the front matter."""

    title: str
    paragraphs: tuple[str, ...] = ()
    lines: tuple[KeyLine, ...] = ()


class Words(Struct, frozen=True):
    """The book's own words, printed between texts of the record (see `wording.words_of`).

    Attributes:
        about: heading of the front matter.
        as_of: before the date of the edition.
        also: before a further name, and before other places of a quotation.
        see: from a synonym to its article.
        printed: before the printed form.
        caution, ruling: before a caution, before a ruling.
        tried: before the trials.
        elsewhere: before names in living styles.
        fronts, backs: headings of the two sides of a sheet of cards.
        no_cards: printed if there are no cards.
        contents, landmarks: headings of the navigation tables.
        accessibility: what the book does for readers who cannot see it.
    """

    about: str
    as_of: str
    also: str
    see: str
    printed: str
    caution: str
    ruling: str
    tried: str
    elsewhere: str
    fronts: str
    backs: str
    no_cards: str
    contents: str
    landmarks: str
    accessibility: str


class Book(Struct, frozen=True):
    """The whole book.

    `lang` is the language of the book's own words, `own_lang` that of the termbase's own texts: title,
    notice, rights, notes.
    """

    title: str
    subtitle: str
    lang: str
    own_lang: str
    paper: str
    as_of: str
    imprint: tuple[str, ...]
    notice: str
    front: tuple[Front, ...]
    parts: tuple[Part, ...]
    rules_title: str
    rules: tuple[CodeText, ...]
    works_title: str
    works: tuple[Work, ...]
    index_title: str
    index: tuple[IndexGroup, ...]
    words: Words


Paper = Literal["a5", "a4"]
Direction = Literal["articles", "reverse"]
"""*articles*: working language to vernacular, in full; *reverse*: vernacular to working language, short."""

BOTH_WAYS: tuple[Direction, ...] = ("articles", "reverse")


@dataclass(frozen=True)
class Selection:
    """What is to be published.

    Attributes:
        codes: ids of the rule codes whose verdicts are printed, in that order; `None` for every code.
        drafts: whether entries that are not ready are included, marked as drafts.
        directions: which of the two parts are included.
        vernaculars: the vernaculars included; `None` for all of the termbase.
        figures: whether techniques are drawn.
        quotations: whether quotations are printed.
        mark_missing: whether to print the code point, in angle brackets, of a character that no font has; if
            not, such a character is an error and nothing is printed.
        pictures: whether pictures of entries are shown.
        voice: the language of the book's own words: headings, marks, verdicts, dates. Texts of the record
            stay in their own language.
        only: ids of the entries to include (drafts only if `drafts`); `None` for all.
        narrowed_to: the filters that led to `only`, as messages, for the title page.
    """

    codes: tuple[str, ...] | None = None
    drafts: bool = True
    directions: tuple[Direction, ...] = BOTH_WAYS
    vernaculars: tuple[str, ...] | None = None
    figures: bool = True
    quotations: bool = True
    mark_missing: bool = False
    pictures: bool = True
    voice: Voice = ENGLISH
    only: frozenset[str] | None = None
    narrowed_to: tuple[str, ...] = ()

    def vernaculars_of(self, termbase: Termbase) -> tuple[str, ...]:
        """Return the chosen vernaculars of the termbase."""
        return termbase.vernaculars if self.vernaculars is None else self.vernaculars

    def includes(self, entry: Entry) -> bool:
        """Return whether an entry is included."""
        return (self.drafts or entry.ready) and (self.only is None or entry.id in self.only)
