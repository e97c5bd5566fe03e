"""The data categories of TBX-Basic, and where each field of the record goes.

One table for all who need it: the writer takes names, levels, values and note labels from it, the grammar
that checks an export its levels and picklists, the loss report its words. A further dialect adds categories
and a column of places; nothing here has to change for it.

Source of CATEGORIES: ISO 30042:2019 and the module descriptions Min and Basic of its dialect TBX-Basic.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final, Literal

from exports.tbx.leftout import BASIC
from termbase.entries import Entry, Gender, PartOfSpeech, Status, Term, TermType
from termbase.fields import Count, Declared, Flag, Member, Text, fields_of
from termbase.people import Person
from termbase.rulecodes import RuleCode
from termbase.sources import Slip, Source

__all__ = [
    "CATEGORIES",
    "CORE",
    "FIELDS",
    "NAMESPACES",
    "OPEN",
    "OTHER",
    "Category",
    "Fate",
    "Field",
    "Level",
    "Module",
    "noted_fields",
]

Module = Literal["min", "basic"]
CORE: Final = "urn:iso:std:iso:30042:ed-2"
"""Namespace of the core structure (ISO 30042:2019)."""
NAMESPACES: Final[Mapping[Module, str]] = MappingProxyType(
    {"min": "http://www.tbxinfo.net/ns/min", "basic": "http://www.tbxinfo.net/ns/basic"}
)
"""Namespace of each module, for the style that writes a category as a tag."""
OPEN: Final = "open"
"""What a note says of a reading that nobody has signed."""
OTHER: Final = "other"
"""The picklist value for what the list does not name; a note then says what it is."""


class Level(StrEnum):
    """Where in an entry a data category may stand."""

    CONCEPT = "conceptEntry"
    LANGUAGE = "langSec"
    TERM = "termSec"


class Fate(StrEnum):
    """What becomes of a value."""

    CARRIED = "carried"
    NOTED = "in a note"
    LEFT_OUT = "left out"


@dataclass(frozen=True, slots=True)
class Category:
    """A data category.

    Attributes:
        name: as registered.
        element: the core element that carries it in DCA style, with `name` as its type.
        module: the module it belongs to.
        levels: where it may stand.
        values: its picklist; empty for free text.
        target: whether it points into the file, to an address outside, or nowhere.
        tag_target: whether it may point in DCT style too (the grammar of its module says so).
    """

    name: str
    element: str
    module: Module
    levels: tuple[Level, ...]
    values: tuple[str, ...] = ()
    target: Literal["", "internal", "external"] = ""
    tag_target: bool = False


@dataclass(frozen=True, slots=True)
class Field:
    """A field of the record, or something computed from it.

    Attributes:
        path: record and field, `term.gender`.
        label: what heads its note, and its name in the loss report.
        fate: what becomes of its values as a rule.
        place: the data category or core element that carries it, or holds its note; `item title` is an item
            of this type in the back matter.
        values: the record's value to the picklist's; what becomes OTHER is told in a note as well.
        why: why it is in a note or left out; empty where TBX-Basic simply has no category for it.
    """

    path: str
    label: str
    fate: Fate
    place: str = ""
    values: Mapping[str, str] | None = None
    why: str = ""


_CONCEPT, _LANGUAGE, _TERM = Level.CONCEPT, Level.LANGUAGE, Level.TERM
_ALL = (_CONCEPT, _LANGUAGE, _TERM)

_CATEGORIES = (
    Category(
        "administrativeStatus",
        "termNote",
        "min",
        (_TERM,),
        (
            "preferredTerm-admn-sts",
            "admittedTerm-admn-sts",
            "deprecatedTerm-admn-sts",
            "supersededTerm-admn-sts",
        ),
    ),
    Category("customerSubset", "admin", "min", (_CONCEPT, _TERM)),
    Category("externalCrossReference", "xref", "min", _ALL, target="external", tag_target=True),
    Category("partOfSpeech", "termNote", "min", (_TERM,), ("noun", "verb", "adjective", "adverb", OTHER)),
    Category("subjectField", "descrip", "min", (_CONCEPT,)),
    Category("context", "descrip", "basic", (_TERM,)),
    Category("crossReference", "ref", "basic", (_CONCEPT, _TERM), target="internal", tag_target=True),
    Category("definition", "descrip", "basic", (_CONCEPT, _LANGUAGE)),
    Category("geographicalUsage", "termNote", "basic", (_TERM,)),
    Category(
        "grammaticalGender", "termNote", "basic", (_TERM,), ("masculine", "feminine", "neuter", OTHER)
    ),
    Category("projectSubset", "admin", "basic", (_CONCEPT, _TERM)),
    Category("responsibility", "transacNote", "basic", _ALL, target="internal", tag_target=True),
    Category("source", "admin", "basic", _ALL, target="internal"),
    Category(
        "termLocation",
        "termNote",
        "basic",
        (_TERM,),
        (
            "checkBox", "comboBox", "comboBoxElement", "dialogBox", "groupBox", "informativeMessage",
            "interactiveMessage", "menuItem", "progressBar", "pushButton", "radioButton", "slider", "spinBox",
            "tab", "tableText", "textBox", "toolTip", "user-definedType",
        ),
    ),
    Category(
        "termType",
        "termNote",
        "basic",
        (_TERM,),
        ("fullForm", "acronym", "abbreviation", "shortForm", "variant", "phrase"),
    ),
    Category("transactionType", "transac", "basic", _ALL, ("origination", "modification")),
    Category("xGraphic", "xref", "basic", (_CONCEPT, _LANGUAGE), target="external", tag_target=True),
)  # fmt: skip
CATEGORIES: Final[Mapping[str, Category]] = MappingProxyType({c.name: c for c in _CATEGORIES})
"""Every data category of TBX-Basic, by name."""

_PARTS_OF_SPEECH = {p.value: OTHER for p in PartOfSpeech} | {
    v: v for v in ("noun", "verb", "adjective", "adverb")
}
_GENDERS = {g.value: OTHER for g in Gender} | {v: v for v in ("masculine", "feminine", "neuter")}
_STATUSES = {s.value: f"{s.value}Term-admn-sts" for s in Status}
_TYPES = {
    TermType.FULL.value: "fullForm",
    TermType.VARIANT.value: "variant",
    TermType.SHORT.value: "shortForm",
    TermType.PHRASE.value: "phrase",
}


def _carried(path: str, label: str, place: str, values: dict[str, str] | None = None) -> Field:
    return Field(path, label, Fate.CARRIED, place, values and MappingProxyType(values))


def _item(path: str, label: str, kind: str) -> Field:
    return Field(path, label, Fate.CARRIED, f"item {kind}")


def _noted(path: str, label: str, place: str, why: str = "") -> Field:
    return Field(path, label, Fate.NOTED, place, why=why)


def _left_out(path: str, label: str) -> Field:
    """A field, or the part it stands in, of which `exports.tbx.leftout` says why."""
    return Field(path, label, Fate.LEFT_OUT, why=str(BASIC.get(path) or BASIC[path.partition(".")[0]]))


def _lost(path: str, label: str, why: str) -> Field:
    """What is lost only of some records, or is no field of one."""
    return Field(path, label, Fate.LEFT_OUT, why=why)


_FIELDS = (
    _carried("termbase.title", "Title", "titleStmt"),
    _carried("termbase.working_language", "Working language", "tbx"),
    _carried("termbase.vernaculars", "Vernaculars", "sourceDesc"),
    _carried("termbase.licence", "Licence", "publicationStmt"),
    _carried("termbase.rights", "Rights", "publicationStmt"),
    _carried("termbase.notice", "Notice", "sourceDesc"),
    _left_out("termbase.id", "Id of the termbase"),
    _left_out("termbase.version", "Version of the termbase"),
    _carried("entry.id", "Entry", "conceptEntry"),
    _carried("entry.topic", "Topic", "subjectField"),
    _noted("entry.technique", "Technique", "conceptEntry"),
    _noted("entry.usage_note", "Usage", "conceptEntry"),
    _left_out("entry.editor_note", "Editor's note"),
    _carried("note.category", "Category of a note from elsewhere", "note"),
    _carried("note.text", "Note from elsewhere", "note"),
    _carried("note.target", "Address in a note from elsewhere", "xGraphic"),
    _carried("note.language", "Language section of a note from elsewhere", "langSec"),
    _carried("note.text_language", "Language of a note from elsewhere", "note"),
    _noted("note.about", "What a note from elsewhere speaks of", "note"),
    _left_out("note.file", "File that a note came from"),
    _left_out("note.accepted_by", "Who accepted a note for printing"),
    _left_out("note.accepted_on", "When a note was accepted for printing"),
    _noted("entry.language_reading", "Read for language", "conceptEntry"),
    _noted("entry.practice_reading", "Read for practice", "conceptEntry"),
    _carried("entry.created_by", "Made by", "responsibility"),
    _carried("entry.created_on", "Made on", "date"),
    _carried("entry.changed_by", "Changed by", "responsibility"),
    _carried("entry.changed_on", "Changed on", "date"),
    _left_out("entry.version", "Version of the entry"),
    _carried("verdict.word", "Verdict by rule code", "projectSubset"),
    _noted("verdict.reasons", "Verdict", "projectSubset"),
    _noted("ruling.code_id", "Editor's ruling", "projectSubset"),
    _noted("ruling.verdict", "Verdict of the ruling", "projectSubset"),
    _noted("ruling.by", "Ruling by", "projectSubset"),
    _noted("ruling.on", "Ruling on", "projectSubset"),
    _noted("ruling.reason", "Reason of the ruling", "projectSubset"),
    _carried("definition.language", "Language of the definition", "langSec"),
    _carried("definition.text", "Definition", "definition"),
    _carried("definition.source_id", "Source of the definition", "source"),
    _carried("relation.kind", "Kind of relation", "crossReference"),
    _carried("relation.target_id", "Relation", "crossReference"),
    _noted("analogue.name", "Analogue", "conceptEntry"),
    _noted("analogue.language", "Language of the analogue", "conceptEntry"),
    _noted("analogue.style", "Style of the analogue", "conceptEntry"),
    _noted("analogue.source_id", "Source of the analogue", "conceptEntry"),
    Field("figure.image_id", "Picture", Fate.LEFT_OUT, "xGraphic", why=str(BASIC["figure.image_id"])),
    _noted("figure.caption", "Figure", "conceptEntry"),
    _noted("figure.maker", "Maker of the figure", "conceptEntry"),
    _noted("figure.rights", "Rights in the figure", "conceptEntry"),
    _noted("figure.source_id", "Source of the figure", "conceptEntry"),
    _noted("trial.date", "Trial", "conceptEntry"),
    _noted("trial.outcome", "Outcome", "conceptEntry"),
    _noted("trial.place", "Place of the trial", "conceptEntry"),
    _left_out("trial.people", "People of the trial"),
    _noted("trial.code_id", "Rule code of the trial", "conceptEntry"),
    _noted("trial.holds", "Holds", "conceptEntry"),
    _noted("trial.done", "Done", "conceptEntry"),
    _noted("trial.change", "Change", "conceptEntry"),
    _noted("trial.safety", "Safety measures", "conceptEntry"),
    _noted("trial.injuries", "Injuries", "conceptEntry"),
    _left_out("trial.image_ids", "Pictures of the trial"),
    _left_out("trial.id", "Id of the trial"),
    _left_out("trial.version", "Version of the trial"),
    _noted("line.text", "Word-list line", "conceptEntry"),
    _left_out("line.id", "Work on a word-list line"),
    _noted("evidence.mechanic", "Evidence for the mechanic", "conceptEntry"),
    _noted("evidence.practice", "Evidence for the practice", "conceptEntry"),
    _noted("evidence.name", "Evidence for the name", "termSec"),
    _carried("term.id", "Term id", "termSec"),
    Field("term.text", "Term", Fate.CARRIED, "term", why="A term without text is no term."),
    _carried("term.language", "Language", "langSec"),
    _noted("term.origin", "Origin", "termSec"),
    _noted("term.printed", "As printed", "termSec"),
    _carried("term.printed_language", "Language of the printed form", "langSec"),
    _carried("term.part_of_speech", "Part of speech", "partOfSpeech", _PARTS_OF_SPEECH),
    _carried("term.gender", "Gender", "grammaticalGender", _GENDERS),
    _noted("term.number", "Number", "termSec"),
    _noted("term.forms", "Inflected form", "termSec"),
    _noted("term.pronunciation", "Pronunciation (IPA)", "termSec"),
    _noted("term.register", "Register", "termSec"),
    _carried("term.region", "Region", "geographicalUsage"),
    _noted("term.usage_note", "Usage", "termSec"),
    _carried("term.status", "Status", "administrativeStatus", _STATUSES),
    _carried("term.type", "Type", "termType", _TYPES),
    _noted("term.sort_text", "Sorted as", "termSec"),
    _carried("slip.id", "Slip", "descripGrp"),
    _carried("slip.source_id", "Source of the slip", "source"),
    Field("slip.text", "Quotation", Fate.CARRIED, "context", why="Its term has no text."),
    _noted("slip.name", "Name as printed", "descripGrp"),
    _carried("slip.page", "Page", "source"),
    _carried("slip.column", "Column", "source"),
    _carried("slip.line", "Line", "source"),
    _carried("slip.item", "Item", "source"),
    _carried("slip.date", "Date", "source"),
    _noted("slip.place", "Place", "descripGrp"),
    _noted("slip.kind", "Kind of quotation", "descripGrp"),
    _noted("slip.certainty", "Certainty", "descripGrp"),
    _noted("slip.note", "Note", "descripGrp"),
    _left_out("slip.image_id", "Picture of the slip"),
    _carried("slip.term_id", "Term of the slip", "termSec"),
    _noted("slip.joined_to", "One witness with slip", "descripGrp"),
    _noted("slip.apart", "A witness of its own", "descripGrp"),
    _noted("slip.presence", "How the name is there", "descripGrp"),
    _left_out("slip.version", "Version of the slip"),
    _lost("slip.unsorted", "Slip without a term", "A quotation stands in the section of a term."),
    _carried("person.id", "Person", "refObject"),
    _item("person.name", "Name", "fn"),
    _item("person.roles", "Role", "role"),
    _left_out("person.version", "Version of the person"),
    _carried("source.id", "Source", "refObject"),
    _item("source.label", "Short label", "label"),
    _item("source.kind", "Kind of source", "kind"),
    _item("source.title", "Title", "title"),
    _item("source.author", "Author", "author"),
    _item("source.editor", "Editor", "editor"),
    _item("source.container", "Container", "container-title"),
    _item("source.publisher", "Publisher", "publisher"),
    _item("source.place", "Place of publication", "publisher-place"),
    _item("source.issued", "Issued", "issued"),
    _item("source.pages", "Pages", "page"),
    _item("source.archive", "Archive", "archive"),
    _item("source.shelfmark", "Shelfmark", "archive_location"),
    _item("source.url", "Address", "URL"),
    _item("source.language", "Language of the source", "language"),
    _item("source.styles", "Style covered", "style"),
    _item("source.rights", "Rights in the source", "rights"),
    _item("source.note", "Note on the source", "note"),
    _left_out("source.pattern", "Line pattern of the source"),
    _left_out("source.version", "Version of the source"),
    _carried("code.id", "Rule code", "refObject"),
    _item("code.name", "Name of the rule code", "title"),
    _item("code.place", "Place of the rule code", "place"),
    _item("code.period", "Period of the rule code", "period"),
    _item("code.note", "Note on the rule code", "note"),
    _item("code.sources", "Source of the rule code", "source"),
    _left_out("code.clauses", "Clause of a rule code"),
    _left_out("code.version", "Version of the rule code"),
    _lost("entry.terms", "Entry without a term", "TBX wants a term in every entry."),
    _left_out("page", "Word-list page"),
    _left_out("redirect", "Entry made one with another"),
)
_ROWS: Final = {f.path: f for f in _FIELDS}
_NOTED_AT: Final[Mapping[str, tuple[type, str]]] = {
    "entry": (Entry, Level.CONCEPT), "term": (Term, Level.TERM), "slip": (Slip, "descripGrp"),
}  # fmt: skip


def _more_fields() -> Iterator[Field]:
    """Fields that no row names: in a note behind their word, and items of the objects of the back matter."""
    for record, (cls, place) in _NOTED_AT.items():
        for field in fields_of(cls):
            plain = isinstance(field.is_a, Text | Member | Flag | Count)
            if plain and f"{record}.{field.name}" not in _ROWS:
                yield _noted(f"{record}.{field.name}", str(field.word).capitalize(), place)
    for record, cls in (("person", Person), ("source", Source), ("code", RuleCode)):
        for field in fields_of(cls):
            if f"{record}.{field.name}" not in _ROWS:
                yield _item(f"{record}.{field.name}", str(field.word).capitalize(), field.name)


FIELDS: Final[Mapping[str, Field]] = MappingProxyType(_ROWS | {f.path: f for f in _more_fields()})
"""Where each field of the record goes, by path."""


def noted_fields(record: str) -> tuple[Declared, ...]:
    """The fields of a name, a slip or an entry that stand in a note of their own, in the order of FIELDS."""
    cls, place = _NOTED_AT[record]
    by_name = {field.name: field for field in fields_of(cls)}
    names = (
        p.removeprefix(f"{record}.") for p, f in FIELDS.items() if f.fate is Fate.NOTED and f.place == place
    )
    return tuple(by_name[name] for name in names if name in by_name)
