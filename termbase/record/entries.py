"""Concept entries: one idea each, whatever it is called; its terms, definitions and relations.

The model follows ISO 16642 and ISO 30042: concept entry > language section > term section. Records are
frozen; an edit creates a new record (`dataclasses.replace`) that the store writes in one act.
"""

from dataclasses import KW_ONLY, dataclass
from enum import StrEnum
from typing import Annotated, Final

from termbase.fields.declarations import (
    VERSION,
    Block,
    Date,
    Id,
    Items,
    Language,
    Line,
    Lines,
    Member,
    Nested,
    Reason,
    Reference,
)
from termbase.fields.notes import NOTHING_SAID, CodedText
from termbase.messages import message
from termbase.record.foreign_notes import ForeignNote
from termbase.technique.profile import Profile

__all__ = [
    "Analogue",
    "Definition",
    "Entry",
    "Figure",
    "FoldedName",
    "Gender",
    "InflectedForm",
    "Number",
    "Origin",
    "PartOfSpeech",
    "PointedAt",
    "Redirect",
    "Register",
    "Relation",
    "RelationKind",
    "Ruling",
    "Signature",
    "Status",
    "Term",
    "TermType",
    "Topic",
    "head",
    "heads",
    "names_for_rules",
]


class Topic(StrEnum):
    """The kind of thing that the concept is."""

    HOLD = "hold"
    THROW = "throw"
    TRIP = "trip"
    LIFT = "lift"
    KICK = "kick"
    BLOCK = "block"
    ESCAPE = "escape"
    STANCE = "stance"
    FALL = "fall"
    FOUL = "foul"
    PERSON = "person"
    GARMENT = "garment"
    GROUND = "ground"
    BOUT = "bout"
    OTHER = "other"


class Origin(StrEnum):
    """Where a name comes from; never blank, so that a guess is never mistaken for a record.

    `NOT_STATED` is for an imported name without a stated origin.
    """

    IN_USE = "in use"
    WORD_LIST = "word-list"
    REBUILT = "rebuilt"
    COINED = "coined"
    NOT_STATED = "not stated"

    @property
    def alone(self) -> str:
        """The word to use without a label saying that it is the origin of a name."""
        return message("origin not stated") if self is Origin.NOT_STATED else self.value


class Status(StrEnum):
    """Administrative status of a term (ISO 30042, data category administrativeStatus)."""

    PREFERRED = "preferred"
    ADMITTED = "admitted"
    DEPRECATED = "deprecated"
    SUPERSEDED = "superseded"


class TermType(StrEnum):
    """The form of the name that a term is."""

    FULL = "full form"
    VARIANT = "variant"
    SHORT = "short form"
    PHRASE = "phrase"


class PartOfSpeech(StrEnum):
    """Word class."""

    NOUN = "noun"
    VERB = "verb"
    VERBAL_NOUN = "verbal noun"
    ADJECTIVE = "adjective"
    ADVERB = "adverb"
    PREPOSITION = "preposition"
    PRONOUN = "pronoun"
    CONJUNCTION = "conjunction"
    INTERJECTION = "interjection"
    NUMERAL = "numeral"
    PHRASE = "phrase"
    OTHER = "other"


class Gender(StrEnum):
    """Grammatical gender; a noun may be used in two."""

    MASCULINE = "masculine"
    FEMININE = "feminine"
    BOTH = "masculine or feminine"
    NEUTER = "neuter"
    COMMON = "common"


class Number(StrEnum):
    """Grammatical number of the form given as the term."""

    SINGULAR = "singular"
    PLURAL = "plural"
    DUAL = "dual"
    COLLECTIVE = "collective"
    MASS = "mass"


class Register(StrEnum):
    """Level of language (ISO 12620: register)."""

    NEUTRAL = "neutral"
    TECHNICAL = "technical"
    COLLOQUIAL = "colloquial"
    SLANG = "slang"
    DIALECT = "dialect"
    LITERARY = "literary"


class RelationKind(StrEnum):
    """A relation as stored; its inverse is shown on the other entry, never stored."""

    BROADER = "broader"
    COUNTER_TO = "counter to"
    FOLLOWS = "follows"
    CONTRASTS = "contrasts with"
    SEE_ALSO = "see also"

    @property
    def inverse(self) -> str:
        """Return the name of the relation as seen from the other entry."""
        return _INVERSE[self]


_INVERSE = {
    RelationKind.BROADER: "narrower",
    RelationKind.COUNTER_TO: "countered by",
    RelationKind.FOLLOWS: "followed by",
    RelationKind.CONTRASTS: "contrasts with",
    RelationKind.SEE_ALSO: "see also",
}


_FROM_ELSEWHERE: Final = Items("note from elsewhere", merge="special", back="special")
_NAMES: Final = Items(
    "name",
    needed=True,
    merge="special",
    back="special",
    missing=(message("The entry has no name."), message("Give it at least one name in any language.")),
)
_PRINTED_LANGUAGE: Final = Language(merge="special", back="stays", heading="language as printed")
_NOTE_ON_NAME: Final = Block(merge="lines", back="stays", column="name_note", heading="note on the name")
_EDITOR_NOTE: Final = Block(merge="lines", back="lines", heading="editor's note")
_WHO: Final = Line(merge="keep", back="stays", bookkeeping=True)
_WHEN: Final = Date(merge="keep", back="stays", bookkeeping=True)


@dataclass(frozen=True)
class InflectedForm:
    """An inflected form.

    Attributes:
        label: what form it is: plural, genitive, verbal noun, or a word of your own.
        text: the form.
    """

    label: Annotated[str, Line(length="name", worded=True)]
    text: Annotated[str, Line(length="name", title=True)]


@dataclass(frozen=True)
class Term:
    """One name of the concept in one language.

    Attributes:
        id: given once and never used again.
        text: the name, normalised (NFC).
        language: BCP 47 tag.
        origin: where the name comes from; never empty.
        status: how far the name is recommended.
        type: what form of the name it is.
        part_of_speech: word class.
        gender: grammatical gender.
        number: grammatical number.
        forms: inflected forms.
        pronunciation: how it is pronounced.
        register: level of language.
        region: where it is used.
        usage_note: a note on the name.
        printed: the form as printed, where it differs.
        printed_language: the tag of the printed form, such as `ga-Latg` for Gaelic type.
        sort_text: separates letters for sorting only (U+034F); otherwise empty.
        foreign_notes: notes from another system.
    """

    id: Annotated[str, Id(column="name_id", bookkeeping=True)]
    text: Annotated[str, Line(needed=True, length="name", merge="keep", title=True, column="name")]
    language: Annotated[str, Language(needed=True, merge="keep")]
    origin: Annotated[Origin, Member(merge="special", back="stays")]
    _: KW_ONLY
    status: Annotated[Status | None, Member()] = None
    type: Annotated[TermType | None, Member()] = None
    part_of_speech: Annotated[PartOfSpeech | None, Member()] = None
    gender: Annotated[Gender | None, Member()] = None
    number: Annotated[Number | None, Member()] = None
    forms: Annotated[tuple[InflectedForm, ...], Items("form", heading="inflected forms")] = ()
    pronunciation: Annotated[str, Line()] = ""
    register: Annotated[Register | None, Member()] = None
    region: Annotated[str, Line()] = ""
    usage_note: Annotated[str, _NOTE_ON_NAME] = ""
    printed: Annotated[str, Line(length="name", back="stays", heading="as printed")] = ""
    printed_language: Annotated[str, _PRINTED_LANGUAGE] = ""
    sort_text: Annotated[str, Line(bookkeeping=True, back="special", column="sort_form", parted=True)] = ""
    foreign_notes: Annotated[tuple[ForeignNote, ...], _FROM_ELSEWHERE] = ()


@dataclass(frozen=True)
class Definition:
    """A definition of the concept in one language.

    Attributes:
        language: BCP 47 tag.
        text: the definition.
        source_id: the source, if the wording is not yours.
    """

    language: Annotated[str, Language(needed=True)]
    text: Annotated[str, Block(title=True)]
    source_id: Annotated[str, Reference("source", to="source")] = ""


@dataclass(frozen=True)
class Relation:
    """A relation from this entry to another.

    Attributes:
        kind: how the other entry relates to this one.
        target_id: id of the other entry.
    """

    kind: Annotated[RelationKind, Member(title=True)]
    target_id: Annotated[str, Reference("to", to="entry")]


@dataclass(frozen=True)
class Analogue:
    """The name of the same mechanic in a living style.

    Attributes:
        name: the name there.
        language: BCP 47 tag of the name.
        style: the living style.
        source_id: where that is stated.
    """

    name: Annotated[str, Line(length="name", title=True)]
    language: Annotated[str, Language()]
    style: Annotated[str, Line(length="name")]
    source_id: Annotated[str, Reference("source", to="source")] = ""


@dataclass(frozen=True)
class Figure:
    """An image with its caption, creator and rights.

    Attributes:
        image_id: id of the picture.
        caption: text below the figure.
        maker: who made it.
        rights: who holds the rights, and the licence.
        source_id: where it was taken from.
    """

    image_id: Annotated[str, Reference("picture", to="image", bookkeeping=True)]
    caption: Annotated[str, Block(title=True)]
    _: KW_ONLY
    maker: Annotated[str, Line()] = ""
    rights: Annotated[str, Block()] = ""
    source_id: Annotated[str, Reference("source", to="source")] = ""


@dataclass(frozen=True)
class Signature:
    """A reading (for language or for practice): signed if `by` and `on` are set, otherwise open.

    Attributes:
        by: who signed.
        on: the date of signing (ISO 8601).
        reopened: why it is open: something changed after signing, or somebody refused to sign
            (`termbase.codes.deeds.Reopened`, or that person's own words).
    """

    by: Annotated[str, Line()] = ""
    on: Annotated[str, Date()] = ""
    reopened: Annotated[CodedText, Reason("why it is open")] = NOTHING_SAID

    @property
    def signed(self) -> bool:
        """Whether the reading is signed."""
        return bool(self.by and self.on)


@dataclass(frozen=True)
class Ruling:
    """An editor's ruling over a computed verdict; both are always shown.

    Attributes:
        code_id: id of the rule code.
        verdict: the verdict that the editor gives.
        by: who ruled.
        on: the date (ISO 8601).
        reason: why.
    """

    code_id: Annotated[str, Reference("rule code", to="code", title=True)]
    verdict: Annotated[str, Line(worded=True)]
    by: Annotated[str, Line()]
    on: Annotated[str, Date()]
    reason: Annotated[str, Block()]


@dataclass(frozen=True)
class Entry:
    """One concept.

    Attributes:
        id: given once (`c0001`) and never used again.
        topic: what kind of thing the concept is.
        terms: its names.
        definitions: its definitions.
        technique: the technique profile.
        relations: relations to other entries.
        analogues: names of the same mechanic in living styles.
        figures: its figures.
        rulings: rulings over verdicts.
        usage_note: a note for readers.
        editor_note: a note for editors.
        foreign_notes: notes from another system.
        language_reading: the reading for language.
        practice_reading: the reading for practice.
        created_by: who made it.
        created_on: when it was made.
        changed_by: who changed it last.
        changed_on: when it was changed last.
        version: counts the writes.
    """

    id: Annotated[str, Id(column="entry", bookkeeping=True)]
    topic: Annotated[Topic | None, Member()] = None
    terms: Annotated[tuple[Term, ...], _NAMES] = ()
    _: KW_ONLY
    definitions: Annotated[tuple[Definition, ...], Items("definition", merge="special", back="special")] = ()
    technique: Annotated[Profile | None, Nested()] = None
    relations: Annotated[tuple[Relation, ...], Items("relation", merge="special", back="unites")] = ()
    analogues: Annotated[tuple[Analogue, ...], Items("analogue")] = ()
    figures: Annotated[tuple[Figure, ...], Items("figure")] = ()
    rulings: Annotated[tuple[Ruling, ...], Items("ruling", merge="special")] = ()
    usage_note: Annotated[str, Block(merge="ask both")] = ""
    editor_note: Annotated[str, _EDITOR_NOTE] = ""
    foreign_notes: Annotated[tuple[ForeignNote, ...], _FROM_ELSEWHERE] = ()
    language_reading: Annotated[Signature, Nested(merge="special")] = Signature()
    practice_reading: Annotated[Signature, Nested(merge="special")] = Signature()
    created_by: Annotated[str, _WHO] = ""
    created_on: Annotated[str, _WHEN] = ""
    changed_by: Annotated[str, _WHO] = ""
    changed_on: Annotated[str, _WHEN] = ""
    version: Annotated[int, VERSION] = 0

    @property
    def ready(self) -> bool:
        """Whether both readings are signed."""
        return self.language_reading.signed and self.practice_reading.signed

    def languages(self) -> tuple[str, ...]:
        """Return the languages of terms and definitions, in order of first appearance."""
        tags = [t.language for t in self.terms] + [d.language for d in self.definitions]
        return tuple(dict.fromkeys(tags))


_RANK = {Status.PREFERRED: 0, None: 1, Status.ADMITTED: 2, Status.DEPRECATED: 3, Status.SUPERSEDED: 4}


def names_for_rules(entry: Entry) -> frozenset[str]:
    """Return every name by which a rule can ban the technique of an entry."""
    more = entry.technique.names if entry.technique else ()
    return frozenset((*(t.text for t in entry.terms), *more))


def head(entry: Entry, language: str) -> Term | None:
    """Return the head term in a language: the preferred one, else the first suitable one."""
    return heads(entry).get(language)


def heads(entry: Entry) -> dict[str, Term]:
    """Return the head term of every language of the entry."""
    result: dict[str, Term] = {}
    for term in entry.terms:
        before = result.get(term.language)
        if before is None or _RANK[term.status] < _RANK[before.status]:
            result[term.language] = term
    return result


@dataclass(frozen=True)
class FoldedName:
    """A name merged with the same name of the other entry, and the slips that moved to it."""

    term_id: Annotated[str, Reference("bears witness to", to="term")]
    into: Annotated[str, Reference(to="term")]
    slip_ids: Annotated[tuple[str, ...], Lines(to="slip")] = ()


@dataclass(frozen=True)
class PointedAt:
    """A relation of another entry that led to the merged entry."""

    entry_id: Annotated[str, Reference("entry", to="entry")]
    kind: Annotated[RelationKind, Member(title=True)]


@dataclass(frozen=True)
class Redirect:
    """An entry merged into another, with everything needed to separate them again.

    Attributes:
        id: the entry that was merged; its id is never used again and leads to `target_id`.
        target_id: the entry it is part of now.
        entry: the entry as it was.
        beside: the entry it was merged into, as it was before.
        made: the merged entry, as it was right after.
        folded: its names that were merged with a name there; its other names moved with their ids.
        trial_ids, line_ids: its trials and lines that moved.
        pointed: relations of other entries that led to it.
        redirect_ids: entries that had been merged into it before.
        by, on: who merged them, on what day.
    """

    id: Annotated[str, Id(bookkeeping=True)]
    target_id: Annotated[str, Reference("to", to="entry")]
    entry: Annotated[Entry, Nested()]
    beside: Annotated[Entry, Nested()]
    made: Annotated[Entry, Nested()]
    _: KW_ONLY
    folded: Annotated[tuple[FoldedName, ...], Items()] = ()
    trial_ids: Annotated[tuple[str, ...], Lines(to="trial")] = ()
    line_ids: Annotated[tuple[str, ...], Lines(to="line")] = ()
    pointed: Annotated[tuple[PointedAt, ...], Items()] = ()
    redirect_ids: Annotated[tuple[str, ...], Lines(to="redirect")] = ()
    by: Annotated[str, Line()] = ""
    on: Annotated[str, Date()] = ""
    version: Annotated[int, VERSION] = 0
