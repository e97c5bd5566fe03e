"""TBX-Wordhold: the private module's data categories, and where every field of the record stands.

One table for all who need it: the writer and the reader take tags and attributes from PLACES, the grammar,
the rules, the module description and the documentation are made from OWN and PLACES, the loss report counts
by it.

TBX-Wordhold is core, min and basic (`exports.tbx.categories`) and one private module. A value that the
picklist of a published category has no word for stands there as `other`, and in a category of ours in full.
Number and register bear the names and registry ids of the published Linguist module; their values are ours,
since its picklists lack some of them.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from exports.tbx.categories import Level
from exports.tbx.leftout import WHOLE
from termbase.entries import (
    Analogue,
    Entry,
    Figure,
    Gender,
    Number,
    Origin,
    PartOfSpeech,
    Register,
    Ruling,
    Term,
)
from termbase.fields import Declared, Items, Nested, fields_of
from termbase.foreignnotes import ForeignNote
from termbase.pages import Line, Page
from termbase.people import Image, Person
from termbase.redirects import Redirect
from termbase.rulecodes import RuleCode
from termbase.sources import Certainty, Presence, Slip, SlipKind, Source
from termbase.trials import Trial

__all__ = [
    "ESCAPE",
    "FIRST_NAMESPACE",
    "MODULE_NAMESPACE",
    "OWN",
    "PLACES",
    "PREFIX",
    "Attribute",
    "OwnCategory",
    "Place",
]

PREFIX: Final = "wh"
MODULE_NAMESPACE: Final = "urn:x-wordhold:tbx:2"
"""Namespace of the private module; the number goes up when a file could no longer be read as before."""
FIRST_NAMESPACE: Final = "urn:x-wordhold:tbx:1"
"""That of its first version, which is still read (`exports.tbx.dialect.older`)."""
ESCAPE: Final = "\N{SYMBOL FOR ESCAPE}"
"""Encloses the hexadecimal code point of a character that XML 1.0 cannot hold, or of this sign itself."""


@dataclass(frozen=True, slots=True)
class Attribute:
    """An attribute of a private category: its name, its values if they are a closed list, whether it points
    at an id in the file, whether it is needed."""

    name: str
    values: tuple[str, ...] = ()
    points: bool = False
    needed: bool = False


@dataclass(frozen=True, slots=True)
class OwnCategory:
    """A data category of the private module.

    Attributes:
        name: its tag in the module's namespace.
        element: the core element it specialises (the metatype of the standard).
        levels: where it may stand, alone or in a group.
        says: what it means, for the documentation.
        values: its picklist; empty for free text.
        attributes: what it has besides its text.
        registry: its number in the registry of data categories (DatCatInfo), where it has one.
        empty: it has no text; its attributes say all.
    """

    name: str
    element: str
    levels: tuple[Level, ...]
    says: str
    values: tuple[str, ...] = ()
    attributes: tuple[Attribute, ...] = ()
    registry: str = ""
    empty: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """Where a field of the record stands in the file.

    Attributes:
        path: record and field, `term.gender`.
        label: its name in the loss report and the documentation.
        tag: the element, with the prefix of its module where it is not of the core; `p notice` and
            `item title` are elements with that type.
        attribute: the attribute that holds it; empty for the element's text.
        how: what else there is to know, for the documentation.
        left_out: it is not in the file; `how` says why.
    """

    path: str
    label: str
    tag: str
    attribute: str = ""
    how: str = ""
    left_out: bool = False


_CONCEPT, _LANGUAGE, _TERM = Level.CONCEPT, Level.LANGUAGE, Level.TERM
_HOW_KNOWN = ("slip", "trial", "analogue", "reading")


def _values(kind: type[PartOfSpeech | Gender | Number | Register | Origin]) -> tuple[str, ...]:
    return tuple(member.value for member in kind)


_READING = (Attribute("by"), Attribute("on"), Attribute("reopened"))
_OWN = (
    OwnCategory(
        "relationOutside", "ref", (_CONCEPT,),
        "A relation to an entry that is not in the file, since only some were written; its text is the kind.",
        attributes=(Attribute("entry", needed=True),),
    ),
    OwnCategory(
        "technique", "descrip", (_CONCEPT,),
        "One statement of the mechanical profile: what it speaks of, what it rests on, and the value; "
        "several values are parted by “; ”. Without attributes: there is a profile.",
        attributes=(Attribute("point"), Attribute("basis", _HOW_KNOWN), Attribute("ref")),
    ),
    OwnCategory(
        "analogue", "descrip", (_CONCEPT,), "What the same mechanic is called in a living style.",
        attributes=(Attribute("language"), Attribute("style")),
    ),
    OwnCategory(
        "figure", "descrip", (_CONCEPT,), "The caption of a picture; the picture is in the back matter.",
        attributes=(Attribute("target", points=True, needed=True), Attribute("maker"), Attribute("rights")),
    ),
    OwnCategory(
        "ruling", "admin", (_CONCEPT,), "The reason of an editor's ruling over a verdict.",
        attributes=(
            Attribute("target", points=True, needed=True), Attribute("verdict"), Attribute("by"),
            Attribute("on"),
        ),
    ),
    OwnCategory(
        "languageReading", "admin", (_CONCEPT,),
        "Who read the entry for language, and when; or why that reading is open again: a code of ours with "
        "its values, or a person's own words, as JSON.",
        attributes=_READING, empty=True,
    ),
    OwnCategory("practiceReading", "admin", (_CONCEPT,), "The same of the reading for practice.",
                attributes=_READING, empty=True),
    OwnCategory("usage", "descrip", (_CONCEPT, _TERM), "The usage note, which is printed."),
    OwnCategory("editorNote", "admin", (_CONCEPT,), "The editor's note, which is never printed."),
    OwnCategory(
        "foreignNote", "admin", (_CONCEPT, _TERM),
        "A note that came in from elsewhere: its text, its data category there, the file it came from, the "
        "language section it stood in, what it speaks of, the language of its text, where it points, and who "
        "accepted it for printing.",
        attributes=(
            Attribute("category", needed=True), Attribute("file"), Attribute("language"), Attribute("about"),
            Attribute("textLanguage"), Attribute("pointer"), Attribute("acceptedBy"), Attribute("acceptedOn"),
        ),
    ),
    OwnCategory("version", "admin", (_CONCEPT,), "How many times the entry was written, if more than once."),
    OwnCategory("termOrder", "admin", (_CONCEPT,), "The order of the terms by id, where the language "
                "sections do not keep it."),
    OwnCategory("definitionOrder", "admin", (_CONCEPT,), "The order of the definitions by number as they "
                "stand in the file, from 0, where the language sections do not keep it."),
    OwnCategory("definitionLanguage", "descripNote", (_CONCEPT,), "The language of a definition that stands "
                "with the concept, since no term is in that language."),
    OwnCategory("source", "admin", (_CONCEPT, _LANGUAGE, _TERM), "The source of a definition, an analogue, a "
                "figure or a slip: a pointer; the text is its short label.",
                attributes=(Attribute("target", points=True, needed=True),)),
    OwnCategory("dateAsKept", "transacNote", (_CONCEPT,), "When an entry was made or changed, where that is "
                "no ISO date."),
    OwnCategory("origin", "termNote", (_TERM,), "Where the name comes from; never left out.",
                _values(Origin)),
    OwnCategory("wordClass", "termNote", (_TERM,), "The part of speech, where partOfSpeech has no word for "
                "it.", _values(PartOfSpeech)),
    OwnCategory("gender", "termNote", (_TERM,), "The gender, where grammaticalGender has no word for it.",
                _values(Gender)),
    OwnCategory("grammaticalNumber", "termNote", (_TERM,), "The number of the form given as the term.",
                _values(Number), registry="DC-251"),
    OwnCategory("register", "termNote", (_TERM,), "The level of language.", _values(Register),
                registry="DC-423"),
    OwnCategory("pronunciation", "termNote", (_TERM,), "Pronunciation in the letters of the IPA."),
    OwnCategory("printed", "termNote", (_TERM,), "The form as printed, where it differs from the term.",
                attributes=(Attribute("language"),)),
    OwnCategory("form", "termNote", (_TERM,), "An inflected form.", attributes=(Attribute("label"),)),
    OwnCategory("sortedAs", "termNote", (_TERM,), "The term with letters parted for sorting."),
    OwnCategory("languageTag", "termNote", (_TERM,), "The tag of the language, where it is no tag that XML "
                "allows; the section is then undetermined."),
    OwnCategory("noTerm", "termNote", (_TERM,), "The entry has no term; TBX wants one, so an empty one "
                "stands for it.", empty=True),
    OwnCategory(
        "slip", "admin", (_TERM,), "What a slip holds besides quotation and source; its text is the note.",
        attributes=(
            Attribute("name"), Attribute("page"), Attribute("column"), Attribute("line"), Attribute("item"),
            Attribute("date"), Attribute("place"), Attribute("kind", tuple(k.value for k in SlipKind)),
            Attribute("certainty", tuple(c.value for c in Certainty)), Attribute("image", points=True),
            Attribute("joined"), Attribute("apart", ("yes",)),
            Attribute("presence", tuple(p.value for p in Presence if p)), Attribute("version"),
        ),
    ),
)  # fmt: skip

_HISTORY = str(WHOLE["termbase.version"])


def _item(path: str, label: str, kind: str, how: str = "") -> Place:
    return Place(path, label, f"item {kind}", how=how)


def _of(record: str, *rows: tuple[str, str] | tuple[str, str, str]) -> tuple[Place, ...]:
    """Fields of a record of the back matter: field, label, type of item where that is another word."""
    return tuple(_item(f"{record}.{row[0]}", row[1], row[2] if len(row) > 2 else row[0]) for row in rows)


_PLACES = (
    Place("termbase.title", "Title", "title"),
    Place("termbase.working_language", "Working language", "tbx", "xml:lang",
          "`p workingLanguage` where the tag is none that XML allows"),
    Place("termbase.vernaculars", "Vernaculars", "p vernacular"),
    Place("termbase.licence", "Licence", "p licence"),
    Place("termbase.rights", "Rights", "p rights"),
    Place("termbase.notice", "Notice", "p notice"),
    Place("termbase.id", "Id of the termbase", "", how=str(WHOLE["termbase.id"]), left_out=True),
    Place("termbase.version", "Version of the termbase", "", how=_HISTORY, left_out=True),
    Place("entry.id", "Entry", "conceptEntry", "id"),
    Place("entry.topic", "Topic", "min:subjectField"),
    Place("entry.technique", "Technique", "wh:technique"),
    Place("entry.usage_note", "Usage", "wh:usage"),
    Place("entry.editor_note", "Editor's note", "wh:editorNote"),
    Place("entry.language_reading", "Read for language", "wh:languageReading"),
    Place("entry.practice_reading", "Read for practice", "wh:practiceReading"),
    Place("entry.created_by", "Made by", "basic:responsibility", how="in the origination"),
    Place("entry.created_on", "Made on", "date", how="in the origination; `wh:dateAsKept` if no ISO date"),
    Place("entry.changed_by", "Changed by", "basic:responsibility", how="in the modification"),
    Place("entry.changed_on", "Changed on", "date",
          how="in the modification; `wh:dateAsKept` if no ISO date"),
    Place("entry.version", "Version of the entry", "wh:version"),
    Place("definition.language", "Language of the definition", "langSec", "xml:lang",
          "`wh:definitionLanguage` where no term is in that language"),
    Place("definition.text", "Definition", "basic:definition"),
    Place("definition.source_id", "Source of the definition", "wh:source", "target"),
    Place("relation.kind", "Kind of relation", "basic:crossReference"),
    Place("relation.target_id", "Relation", "basic:crossReference", "target",
          "`wh:relationOutside` where the entry is not in the file"),
    Place("analogue.name", "Analogue", "wh:analogue"),
    Place("analogue.language", "Language of the analogue", "wh:analogue", "language"),
    Place("analogue.style", "Style of the analogue", "wh:analogue", "style"),
    Place("analogue.source_id", "Source of the analogue", "wh:source", "target"),
    Place("figure.image_id", "Picture", "wh:figure", "target"),
    Place("figure.caption", "Figure", "wh:figure"),
    Place("figure.maker", "Maker of the figure", "wh:figure", "maker"),
    Place("figure.rights", "Rights in the figure", "wh:figure", "rights"),
    Place("figure.source_id", "Source of the figure", "wh:source", "target"),
    Place("entry.foreign_notes", "Notes from elsewhere", "wh:foreignNote"),
    Place("term.foreign_notes", "Notes from elsewhere on a name", "wh:foreignNote"),
    Place("note.category", "Category of a note from elsewhere", "wh:foreignNote", "category"),
    Place("note.text", "Note from elsewhere", "wh:foreignNote"),
    Place("note.file", "File that a note came from", "wh:foreignNote", "file"),
    Place("note.language", "Language section of a note from elsewhere", "wh:foreignNote", "language"),
    Place("note.about", "What a note from elsewhere speaks of", "wh:foreignNote", "about"),
    Place("note.text_language", "Language of a note from elsewhere", "wh:foreignNote", "textLanguage"),
    Place("note.target", "Address in a note from elsewhere", "wh:foreignNote", "pointer"),
    Place("note.accepted_by", "Who accepted a note for printing", "wh:foreignNote", "acceptedBy"),
    Place("note.accepted_on", "When a note was accepted for printing", "wh:foreignNote", "acceptedOn"),
    Place("ruling.code_id", "Editor's ruling", "wh:ruling", "target"),
    Place("ruling.verdict", "Verdict of the ruling", "wh:ruling", "verdict"),
    Place("ruling.by", "Ruling by", "wh:ruling", "by"),
    Place("ruling.on", "Ruling on", "wh:ruling", "on"),
    Place("ruling.reason", "Reason of the ruling", "wh:ruling"),
    Place("term.id", "Term id", "termSec", "id"),
    Place("term.text", "Term", "term"),
    Place("term.language", "Language", "langSec", "xml:lang"),
    Place("term.origin", "Origin", "wh:origin"),
    Place("term.part_of_speech", "Part of speech", "min:partOfSpeech", how="`other` with `wh:wordClass`"),
    Place("term.gender", "Gender", "basic:grammaticalGender", how="`other` with `wh:gender`"),
    Place("term.number", "Number", "wh:grammaticalNumber"),
    Place("term.register", "Register", "wh:register"),
    Place("term.status", "Status", "min:administrativeStatus"),
    Place("term.type", "Type", "basic:termType"),
    Place("term.region", "Region", "basic:geographicalUsage"),
    Place("term.pronunciation", "Pronunciation (IPA)", "wh:pronunciation"),
    Place("term.printed", "As printed", "wh:printed"),
    Place("term.printed_language", "Language of the printed form", "wh:printed", "language"),
    Place("term.forms", "Inflected form", "wh:form", how="its label in the attribute `label`"),
    Place("term.sort_text", "Sorted as", "wh:sortedAs"),
    Place("term.usage_note", "Usage", "wh:usage"),
    Place("slip.id", "Slip", "descripGrp", "id"),
    Place("slip.text", "Quotation", "basic:context", how="an `item text` where the slip waits for a term"),
    Place("slip.source_id", "Source of the slip", "wh:source", "target"),
    Place("slip.term_id", "Term of the slip", "termSec", how="the term section it stands in"),
    Place("slip.name", "Name as printed", "wh:slip", "name"),
    Place("slip.page", "Page", "wh:slip", "page"),
    Place("slip.column", "Column", "wh:slip", "column"),
    Place("slip.line", "Line", "wh:slip", "line"),
    Place("slip.item", "Item", "wh:slip", "item"),
    Place("slip.date", "Date", "wh:slip", "date"),
    Place("slip.place", "Place", "wh:slip", "place"),
    Place("slip.kind", "Kind of quotation", "wh:slip", "kind"),
    Place("slip.certainty", "Certainty", "wh:slip", "certainty"),
    Place("slip.note", "Note", "wh:slip"),
    Place("slip.image_id", "Picture of the slip", "wh:slip", "image"),
    Place("slip.joined_to", "One witness with slip", "wh:slip", "joined"),
    Place("slip.apart", "A witness of its own", "wh:slip", "apart"),
    Place("slip.presence", "How the name is there", "wh:slip", "presence"),
    Place("slip.version", "Version of the slip", "wh:slip", "version"),
    Place("person.id", "Person", "refObject", "id"),
    *_of("person", ("name", "Name", "fn"), ("roles", "Role", "role"), ("version", "Version of the person")),
    Place("source.id", "Source", "refObject", "id"),
    *_of(
        "source", ("label", "Short label"), ("kind", "Kind of source"), ("title", "Title"),
        ("author", "Author"), ("editor", "Editor"), ("container", "Container", "container-title"),
        ("publisher", "Publisher"), ("place", "Place of publication", "publisher-place"),
        ("issued", "Issued"), ("pages", "Pages", "page"),
        ("archive", "Archive"), ("shelfmark", "Shelfmark", "archive_location"), ("url", "Address", "URL"),
        ("language", "Language of the source"), ("styles", "Style covered", "style"),
        ("rights", "Rights in the source"), ("note", "Note on the source"),
        ("pattern", "Line pattern of the source"), ("version", "Version of the source"),
    ),
    Place("code.id", "Rule code", "refObject", "id"),
    *_of(
        "code", ("name", "Name of the rule code", "title"), ("place", "Place of the rule code"),
        ("period", "Period of the rule code"), ("note", "Note on the rule code"),
        ("sources", "Source of the rule code", "source"), ("clauses", "Clause of a rule code", "clause"),
        ("version", "Version of the rule code"),
    ),
    Place("image.id", "Picture kept", "refObject", "id"),
    *_of(
        "image", ("media_type", "Media type", "format"), ("width", "Width in pixels"),
        ("height", "Height in pixels"), ("data", "Bytes of the picture"),
    ),
    Place("page.id", "Word-list page", "refObject", "id"),
    *_of(
        "page", ("source_id", "Word-list of the page", "source"), ("number", "Number of the page"),
        ("transcription", "Transcription"), ("image_id", "Picture of the page", "image"),
        ("version", "Version of the page"),
    ),
    Place("line.id", "Word-list line", "refObject", "id"),
    *_of(
        "line", ("page_id", "Page of the line", "page"), ("position", "Place on the page"),
        ("text", "Text of the line"), ("first", "First printed line"), ("parsed", "What the line says"),
        ("corrected", "Corrected by hand"), ("state", "State of the line"), ("reason", "Reason of the state"),
        ("entry_ids", "Entry of the line", "entry"), ("version", "Version of the line"),
    ),
    Place("trial.id", "Trial", "refObject", "id"),
    *_of(
        "trial", ("entry_id", "Entry tried", "entry"), ("date", "Date of the trial"), ("outcome", "Outcome"),
        ("place", "Place of the trial"), ("people", "People of the trial"),
        ("code_id", "Rule code of the trial", "code"), ("holds", "Holds"), ("done", "Done"),
        ("change", "Change"), ("safety", "Safety measures"), ("injuries", "Injuries"),
        ("image_ids", "Pictures of the trial", "image"), ("version", "Version of the trial"),
    ),
    Place("redirect.id", "Entry made one with another", "refObject", "id"),
    *_of(
        "redirect", ("target_id", "Entry it is part of now", "target"), ("entry", "The entry as it was"),
        ("beside", "The other entry as it was"), ("made", "The two as one"),
        ("folded", "Name that became one with another"), ("trial_ids", "Trial that went over", "trial"),
        ("line_ids", "Line that went over", "line"), ("pointed", "Relation that led to it"),
        ("redirect_ids", "Entry merged into it before", "redirect"), ("by", "Merged by"), ("on", "Merged on"),
        ("version", "Version of the redirect"),
    ),
    Place("history", "Earlier states", "", how=_HISTORY, left_out=True),
    Place("verdict", "Verdicts and evidence", "", how="They are computed anew from what is in the file.",
          left_out=True),
)  # fmt: skip
_ROWS: Final = {p.path: p for p in _PLACES}
_RECORDS: Final[Mapping[str, type]] = {
    "entry": Entry, "term": Term, "analogue": Analogue, "figure": Figure, "ruling": Ruling,
    "note": ForeignNote, "slip": Slip, "person": Person, "source": Source, "code": RuleCode, "image": Image,
    "page": Page, "line": Line, "trial": Trial, "redirect": Redirect,
}  # fmt: skip
_ELEMENTS: Final = {
    "analogue": "analogue", "figure": "figure", "ruling": "ruling", "note": "foreignNote", "slip": "slip",
}  # fmt: skip
"""Records that are one element of ours with attributes."""


def _place(record: str, field: Declared) -> Place:
    """Where a field stands that no row names: an element or attribute of ours with its own name."""
    path, label, tag = f"{record}.{field.name}", str(field.word).capitalize(), field.in_camel_case
    if record in _ELEMENTS:
        return Place(path, label, f"{PREFIX}:{_ELEMENTS[record]}", tag)
    if record in ("entry", "term"):
        return Place(path, label, f"{PREFIX}:{tag}")
    return Place(path, label, f"item {field.name}")


def _more_places() -> Iterator[tuple[Place, Declared]]:
    for record, cls in _RECORDS.items():
        for field in fields_of(cls):
            whole = record in ("entry", *_ELEMENTS, "term") and isinstance(field.is_a, Items | Nested)
            if f"{record}.{field.name}" not in _ROWS and not whole:
                yield _place(record, field), field


_MORE: Final = tuple(_more_places())
PLACES: Final[Mapping[str, Place]] = MappingProxyType(_ROWS | {place.path: place for place, _ in _MORE})
"""Where every field of the record stands, by path."""


def _own_categories() -> Iterator[OwnCategory]:
    for category in _OWN:
        more = tuple(
            Attribute(place.attribute, field.words)
            for place, field in _MORE
            if place.attribute and place.tag == f"{PREFIX}:{category.name}"
        )
        yield replace(category, attributes=(*category.attributes, *more))
    for place, field in _MORE:
        record = place.path.partition(".")[0]
        if record in ("entry", "term"):
            element, level = ("termNote", _TERM) if record == "term" else ("admin", _CONCEPT)
            name = place.tag.removeprefix(f"{PREFIX}:")
            yield OwnCategory(name, element, (level,), f"{place.label}.", field.words)


OWN: Final[Mapping[str, OwnCategory]] = MappingProxyType({c.name: c for c in _own_categories()})
"""Every data category of the private module, by name."""
