"""The book as data: what the template sets, in order, with nothing left to word or to sort.

Every text is plain, so that nothing in the record can be taken for markup. `lang` fields are the primary
language subtag, by which the typesetter hyphenates. Empty fields are left out of the JSON.
"""

from msgspec import Struct

__all__ = [
    "Article", "Book", "ClauseText", "CodeText", "Drawing", "Front", "Group", "IndexEntry", "IndexGroup",
    "Judgement", "KeyLine", "Letter", "Name", "Part", "Picture", "Quotation", "Ref", "Relations",
    "ReverseLine", "Text", "Words", "Work",
]  # fmt: skip


class Text(Struct, frozen=True, omit_defaults=True):
    """A piece of running text in one language; `source` is the label of the work it is taken from."""

    text: str
    lang: str = ""
    source: str = ""


class Ref(Struct, frozen=True, omit_defaults=True):
    """A pointer to another article; `to` is empty where that article is not in the book."""

    text: str
    lang: str = ""
    to: str = ""


class Name(Struct, frozen=True, omit_defaults=True):
    """One name of a concept.

    Attributes:
        sign: the sign before a name that is not on record (rebuilt, coined).
        grammar: word class and gender, abbreviated.
        forms: label and form in turn: `pl.`, `codymau`.
        origin: in words, set apart from the name.
        mark: shape of the evidence mark; `evidence` says it in words, with dates.
        printed: the form as printed, where it differs.
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
    """One witness: its words, its work with date and place in it, and where else the same text stands."""

    text: str
    lang: str = ""
    date: str = ""
    source: str = ""
    also: str = ""
    kind: str = ""


class Judgement(Struct, frozen=True, omit_defaults=True):
    """The verdict under one rule code: word, mark, reasons; and the ruling that stands over it.

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
    """A picture of an entry: its file and size in pixels, what it shows, its caption, whose it is.

    `alt` is never empty; it is the caption where there is one. `lang` is empty where the book says both.
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
    """One line of the reverse part: its name and the heads it leads to; `see`: they are synonyms."""

    head: Name
    refs: tuple[Ref, ...]
    see: bool = False


class Letter(Struct, frozen=True, omit_defaults=True):
    """A section letter and what stands under it: articles, or lines with pointers."""

    letter: str
    items: tuple[Article | ReverseLine, ...]


class Part(Struct, frozen=True, omit_defaults=True):
    """A part of the book: its title, the language of its heads, its letters."""

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
        says: what was judged by, in the book's words.
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
    """A heading of the index by mechanic and the articles under it."""

    heading: str
    refs: tuple[Ref, ...]


class IndexGroup(Struct, frozen=True, omit_defaults=True):
    """One attribute of the mechanic."""

    title: str
    entries: tuple[IndexEntry, ...]


class KeyLine(Struct, frozen=True, omit_defaults=True):
    """One line of an explanation: the sign or short form, and what it means."""

    sign: str
    text: str


class Front(Struct, frozen=True, omit_defaults=True):
    """A section of the front matter."""

    title: str
    paragraphs: tuple[str, ...] = ()
    lines: tuple[KeyLine, ...] = ()


class Words(Struct, frozen=True):
    """The book's own words, which stand between what comes from the record (`wording.words_of`).

    Attributes:
        about: over the front matter.
        as_of: before the date of the edition.
        also: before a further name, and before where else a quotation stands.
        see: from a synonym to its article.
        printed: before the form as printed.
        caution, ruling: before a caution, before a ruling.
        tried: before the trials.
        elsewhere: before the names of living styles.
        fronts, backs: over the two sides of a sheet of cards.
        no_cards: in place of cards, where there are none.
        contents, landmarks: over the tables by which one finds one's way.
        accessibility: what the book does for those who do not see it.
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

    `lang` is the language of the book's own words, `own_lang` that of what the record says of itself: title,
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
