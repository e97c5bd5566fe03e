"""Where each field of the record goes in TBX: the table of writer, reader, grammar, report and documentation.

A field has a row only where it differs from the default. By default, a field of a record is a note after its
own label in TBX-Basic (in the back matter, an item with its own name), and in TBX-Wordhold a tag of ours, an
attribute of its record's tag, or an item, with its own name.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import Final

from exports.tbx.categories import CATEGORIES, OTHER, PREFIX, PRIVATE, Attribute, Category, Level
from exports.tbx.leftout import BASIC, WHOLE
from termbase.fields.declarations import (
    Count,
    DeclaredField,
    Flag,
    Id,
    Items,
    Member,
    Nested,
    Text,
    fields_of,
)
from termbase.record.entries import (
    Analogue,
    Entry,
    Figure,
    Gender,
    PartOfSpeech,
    Redirect,
    Ruling,
    Status,
    Term,
    TermType,
)
from termbase.record.foreign_notes import ForeignNote
from termbase.record.pages import Line, Page
from termbase.record.people import Image, Person
from termbase.record.sources import Slip, Source
from termbase.record.trials import Trial
from termbase.rules.clauses import RuleCode

__all__ = [
    "FIELDS", "NOTE_LABELS", "OPEN", "OWN", "Fate", "Field", "attributes_of", "free_fields", "noted_fields",
]  # fmt: skip

OPEN: Final = "open"
"""What a note says about a reading that nobody has signed."""


class Fate(StrEnum):
    """What happens to a value in TBX-Basic."""

    CARRIED = "carried"
    NOTED = "in a note"
    LEFT_OUT = "left out"


@dataclass(frozen=True, slots=True)
class Field:
    """Where a field of the record, or a computed value, goes in TBX.

    Attributes:
        path: record and field, `term.gender`.
        label: the label of its note, and its name in reports. Notes are read back by their label, so it never
            changes; a test checks that.
        fate: what usually happens to its values in TBX-Basic; None if its record is never written there.
        place: the data category or core element that carries it in TBX-Basic, or contains its note; `item
            title` is an item of this type in the back matter.
        values: from the record's value to the picklist's; a value that becomes OTHER is also given in a note.
        why: why it is in a note or left out; empty if TBX-Basic simply has no category for it.
        tag: the element in TBX-Wordhold, with the prefix of its module if it is not a core element; `p
            notice` and `item title` are elements with that type. Empty: it is not in the file.
        attribute: the attribute that holds it there; empty for the element's text.
        in_full: the private category that gives the value in full where the picklist has OTHER.
        how: more about TBX-Wordhold, for the documentation; if it is not in the file, the reason.
    """

    path: str
    label: str
    fate: Fate | None
    place: str
    values: Mapping[str, str] | None
    why: str
    tag: str
    attribute: str
    in_full: str
    how: str


@dataclass(frozen=True, slots=True)
class _Record:
    """The defaults for the fields of a record.

    Attributes:
        cls: its class.
        place: where its notes go in TBX-Basic; `item` for items; empty if its fields are never written there.
        tag: its element in TBX-Wordhold with an attribute for each field; `item` for items; just the prefix
            for one element per field.
    """

    cls: type
    place: str
    tag: str


_RECORDS: Final[Mapping[str, _Record]] = {
    "entry": _Record(Entry, Level.CONCEPT, f"{PREFIX}:"),
    "note": _Record(ForeignNote, "", f"{PREFIX}:foreignNote"),
    "ruling": _Record(Ruling, "projectSubset", f"{PREFIX}:ruling"),
    "analogue": _Record(Analogue, Level.CONCEPT, f"{PREFIX}:analogue"),
    "figure": _Record(Figure, Level.CONCEPT, f"{PREFIX}:figure"),
    "trial": _Record(Trial, Level.CONCEPT, "item"),
    "line": _Record(Line, "", "item"),
    "term": _Record(Term, Level.TERM, f"{PREFIX}:"),
    "slip": _Record(Slip, "descripGrp", f"{PREFIX}:slip"),
    "person": _Record(Person, "item", "item"),
    "source": _Record(Source, "item", "item"),
    "code": _Record(RuleCode, "item", "item"),
    "image": _Record(Image, "", "item"),
    "page": _Record(Page, "", "item"),
    "redirect": _Record(Redirect, "", "item"),
}
_NOT_HERE: Final = "-"


def _row(
    path: str,
    label: str = "",
    basic: str = "",
    own: str = "",
    *,
    values: Mapping[str, str] | None = None,
    in_full: str = "",
    why: str = "",
    how: str = "",
) -> Field:
    """Return a row; `basic` and `own` say where the field goes if that is not the default.

    Args:
        basic: a data category or element; `note`, or `note at` another place than the record's own; `item`
            and its type; `-` if it is never written.
        own: an element, with `@` and an attribute if that holds it; `-` if it is not in the file.
    """
    record, _, name = path.partition(".")
    made = _RECORDS.get(record)
    field = next((f for f in fields_of(made.cls) if f.name == name), None) if made else None
    reason = why or ("" if basic else str(BASIC.get(path, "")))
    fate, place = _in_basic(basic, field, made, reason)
    tag, _, attribute = (own or _in_own(field, made)).removeprefix(_NOT_HERE).partition("@")
    if not label and field is not None:
        label = str(field.word).capitalize()
    return Field(path, label, fate, place, values, reason, tag, attribute, in_full, how)


def _in_basic(
    basic: str, field: DeclaredField | None, made: _Record | None, reason: str
) -> tuple[Fate | None, str]:
    if basic == _NOT_HERE:
        return None, ""
    if basic.startswith("note at "):
        return Fate.NOTED, basic.removeprefix("note at ")
    if basic:
        return Fate.CARRIED, basic
    if reason:
        return Fate.LEFT_OUT, ""
    if made is None or field is None or not made.place:
        return None, ""
    return (Fate.CARRIED, f"item {field.name}") if made.place == "item" else (Fate.NOTED, made.place)


def _in_own(field: DeclaredField | None, made: _Record | None) -> str:
    if field is None or made is None:
        return _NOT_HERE
    if made.tag == "item":
        return f"item {field.name}"
    if made.tag.endswith(":"):
        return f"{made.tag}{field.in_camel_case}"
    return f"{made.tag}@{field.in_camel_case}"


def _item(path: str, label: str, kind: str = "") -> Field:
    """Return a row of a back-matter record; `kind` is the type of its item if that differs from the field's
    name.

    TBX-Basic has only some of these records.
    """
    record, _, name = path.partition(".")
    own = f"item {kind or name}"
    basic = own if _RECORDS[record].place == "item" else _NOT_HERE
    return _row(path, label, "" if path in BASIC else basic, own)


_PARTS_OF_SPEECH = {p.value: OTHER for p in PartOfSpeech} | {
    v: v for v in ("noun", "verb", "adjective", "adverb")
}
_GENDERS = {g.value: OTHER for g in Gender} | {v: v for v in ("masculine", "feminine", "neuter")}
_STATUSES = {s.value: f"{s.value}Term-admn-sts" for s in Status}
_TYPES = {
    TermType.FULL.value: "fullForm", TermType.VARIANT.value: "variant", TermType.SHORT.value: "shortForm",
    TermType.PHRASE.value: "phrase",
}  # fmt: skip
_HISTORY = str(WHOLE["termbase.version"])
_ON = "; `wh:dateAsKept` if no ISO date"
_CONCEPT, _TERM = f"note at {Level.CONCEPT}", f"note at {Level.TERM}"
_RULED, _NOTED = "note at projectSubset", "note at note"

_ROWS: Final = (
    _row("termbase.title", "Title", "titleStmt", "title"),
    _row("termbase.working_language", "Working language", "tbx", "tbx@xml:lang",
         how="`p workingLanguage` where XML does not allow the tag"),
    _row("termbase.vernaculars", "Vernaculars", "sourceDesc", "p vernacular"),
    _row("termbase.licence", "Licence", "publicationStmt", "p licence"),
    _row("termbase.rights", "Rights", "publicationStmt", "p rights"),
    _row("termbase.notice", "Notice", "sourceDesc", "p notice"),
    _row("termbase.id", "Id of the termbase", how=str(WHOLE["termbase.id"])),
    _row("termbase.version", "Version of the termbase", how=_HISTORY),
    _row("entry.id", "Entry", Level.CONCEPT, "conceptEntry@id"),
    _row("entry.topic", "Topic", "subjectField", "min:subjectField"),
    _row("entry.technique", "Technique"),
    _row("entry.usage_note", "Usage", own="wh:usage"),
    _row("entry.editor_note", "Editor's note"),
    _row("entry.foreign_notes", "Notes from elsewhere", _NOT_HERE, "wh:foreignNote"),
    _row("term.foreign_notes", "Notes from elsewhere on a name", _NOT_HERE, "wh:foreignNote"),
    _row("note.category", "Category of a note from elsewhere", "note"),
    _row("note.text", "Note from elsewhere", "note", "wh:foreignNote"),
    _row("note.target", "Address in a note from elsewhere", "xGraphic", "wh:foreignNote@pointer"),
    _row("note.language", "Language section of a note from elsewhere", Level.LANGUAGE),
    _row("note.text_language", "Language of a note from elsewhere", "note"),
    _row("note.about", "What a note from elsewhere speaks of", _NOTED),
    _row("note.file", "File that a note came from"),
    _row("note.accepted_by", "Who accepted a note for printing"),
    _row("note.accepted_on", "When a note was accepted for printing"),
    _row("entry.language_reading", "Read for language"),
    _row("entry.practice_reading", "Read for practice"),
    _row("entry.created_by", "Made by", "responsibility", "basic:responsibility", how="in the origination"),
    _row("entry.created_on", "Made on", "date", "date", how=f"in the origination{_ON}"),
    _row("entry.changed_by", "Changed by", "responsibility", "basic:responsibility",
         how="in the modification"),
    _row("entry.changed_on", "Changed on", "date", "date", how=f"in the modification{_ON}"),
    _row("entry.version", "Version of the entry"),
    _row("verdict.word", "Verdict by rule code", "projectSubset"),
    _row("verdict.reasons", "Verdict", _RULED),
    _row("ruling.code_id", "Editor's ruling", _RULED, "wh:ruling@target"),
    _row("ruling.verdict", "Verdict of the ruling", _RULED),
    _row("ruling.by", "Ruling by", _RULED),
    _row("ruling.on", "Ruling on", _RULED),
    _row("ruling.reason", "Reason of the ruling", _RULED, "wh:ruling"),
    _row("definition.language", "Language of the definition", Level.LANGUAGE, "langSec@xml:lang",
         how="`wh:definitionLanguage` where no term is in that language"),
    _row("definition.text", "Definition", "definition", "basic:definition"),
    _row("definition.source_id", "Source of the definition", "source", "wh:source@target"),
    _row("relation.kind", "Kind of relation", "crossReference", "basic:crossReference"),
    _row("relation.target_id", "Relation", "crossReference", "basic:crossReference@target",
         how="`wh:relationOutside` where the entry is not in the file"),
    _row("analogue.name", "Analogue", _CONCEPT, "wh:analogue"),
    _row("analogue.language", "Language of the analogue", _CONCEPT),
    _row("analogue.style", "Style of the analogue", _CONCEPT),
    _row("analogue.source_id", "Source of the analogue", _CONCEPT, "wh:source@target"),
    _row("figure.image_id", "Picture", own="wh:figure@target"),
    _row("figure.caption", "Figure", _CONCEPT, "wh:figure"),
    _row("figure.maker", "Maker of the figure", _CONCEPT),
    _row("figure.rights", "Rights in the figure", _CONCEPT),
    _row("figure.source_id", "Source of the figure", _CONCEPT, "wh:source@target"),
    _item("trial.entry_id", "Entry tried", "entry"),
    _row("trial.date", "Trial", _CONCEPT),
    _row("trial.outcome", "Outcome", _CONCEPT),
    _row("trial.place", "Place of the trial", _CONCEPT),
    _row("trial.people", "People of the trial"),
    _row("trial.code_id", "Rule code of the trial", _CONCEPT, "item code"),
    _row("trial.holds", "Holds", _CONCEPT),
    _row("trial.done", "Done", _CONCEPT),
    _row("trial.change", "Change", _CONCEPT),
    _row("trial.safety", "Safety measures", _CONCEPT),
    _row("trial.injuries", "Injuries", _CONCEPT),
    _row("trial.image_ids", "Pictures of the trial", own="item image"),
    _row("trial.id", "Id of the trial", own="refObject@id"),
    _row("trial.version", "Version of the trial"),
    _row("line.text", "Word-list line", _CONCEPT),
    _row("line.id", "Work on a word-list line", own="refObject@id", why=str(BASIC["line"])),
    _row("evidence.mechanic", "Evidence for the mechanic", _CONCEPT),
    _row("evidence.practice", "Evidence for the practice", _CONCEPT),
    _row("evidence.name", "Evidence for the name", _TERM),
    _row("term.id", "Term id", Level.TERM, "termSec@id"),
    _row("term.text", "Term", "term", "term", why="A term must have text."),
    _row("term.language", "Language", Level.LANGUAGE, "langSec@xml:lang"),
    _row("term.origin", "Origin"),
    _row("term.printed", "As printed"),
    _row("term.printed_language", "Language of the printed form", Level.LANGUAGE, "wh:printed@language"),
    _row("term.part_of_speech", "Part of speech", "partOfSpeech", "min:partOfSpeech",
         values=_PARTS_OF_SPEECH, in_full="wordClass"),
    _row("term.gender", "Gender", "grammaticalGender", "basic:grammaticalGender", values=_GENDERS,
         in_full="gender"),
    _row("term.number", "Number", own="wh:grammaticalNumber"),
    _row("term.forms", "Inflected form", own="wh:form", how="its label in the attribute `label`"),
    _row("term.pronunciation", "Pronunciation (IPA)"),
    _row("term.register", "Register"),
    _row("term.region", "Region", "geographicalUsage", "basic:geographicalUsage"),
    _row("term.usage_note", "Usage", own="wh:usage"),
    _row("term.status", "Status", "administrativeStatus", "min:administrativeStatus", values=_STATUSES),
    _row("term.type", "Type", "termType", "basic:termType", values=_TYPES),
    _row("term.sort_text", "Sorted as", own="wh:sortedAs"),
    _row("slip.id", "Slip", "descripGrp", "descripGrp@id"),
    _row("slip.source_id", "Source of the slip", "source", "wh:source@target"),
    _row("slip.text", "Quotation", "context", "basic:context", why="Its term has no text.",
         how="an `item text` where the slip waits for a term"),
    _row("slip.name", "Name as printed"),
    _row("slip.page", "Page", "source"),
    _row("slip.column", "Column", "source"),
    _row("slip.line", "Line", "source"),
    _row("slip.item", "Item", "source"),
    _row("slip.date", "Date", "source"),
    _row("slip.place", "Place"),
    _row("slip.kind", "Kind of quotation"),
    _row("slip.certainty", "Certainty"),
    _row("slip.note", "Note", own="wh:slip"),
    _row("slip.image_id", "Picture of the slip", own="wh:slip@image"),
    _row("slip.term_id", "Term of the slip", Level.TERM, "termSec", how="the term section that it is in"),
    _row("slip.joined_to", "One witness with slip", own="wh:slip@joined"),
    _row("slip.apart", "A witness of its own"),
    _row("slip.presence", "How the name is there"),
    _row("slip.version", "Version of the slip"),
    _row("slip.unsorted", "Slip without a term", why="A quotation is always in the section of a term."),
    _row("person.id", "Person", "refObject", "refObject@id"),
    _item("person.name", "Name", "fn"),
    _item("person.roles", "Role", "role"),
    _item("person.version", "Version of the person"),
    _row("source.id", "Source", "refObject", "refObject@id"),
    _item("source.label", "Short label"),
    _item("source.kind", "Kind of source"),
    _item("source.title", "Title"),
    _item("source.author", "Author"),
    _item("source.editor", "Editor"),
    _item("source.container", "Container", "container-title"),
    _item("source.publisher", "Publisher"),
    _item("source.place", "Place of publication", "publisher-place"),
    _item("source.issued", "Issued"),
    _item("source.pages", "Pages", "page"),
    _item("source.archive", "Archive"),
    _item("source.shelfmark", "Shelfmark", "archive_location"),
    _item("source.url", "Address", "URL"),
    _item("source.language", "Language of the source"),
    _item("source.styles", "Style covered", "style"),
    _item("source.rights", "Rights in the source"),
    _item("source.note", "Note on the source"),
    _item("source.pattern", "Line pattern of the source"),
    _item("source.version", "Version of the source"),
    _row("code.id", "Rule code", "refObject", "refObject@id"),
    _item("code.name", "Name of the rule code", "title"),
    _item("code.place", "Place of the rule code"),
    _item("code.period", "Period of the rule code"),
    _item("code.note", "Note on the rule code"),
    _item("code.sources", "Source of the rule code", "source"),
    _item("code.clauses", "Clause of a rule code", "clause"),
    _item("code.version", "Version of the rule code"),
    _row("image.id", "Picture kept", own="refObject@id"),
    _item("image.media_type", "Media type", "format"),
    _item("image.width", "Width in pixels"),
    _item("image.height", "Height in pixels"),
    _item("image.data", "Bytes of the picture"),
    _row("page.id", "Word-list page", own="refObject@id"),
    _item("page.source_id", "Word-list of the page", "source"),
    _item("page.number", "Number of the page"),
    _item("page.transcription", "Transcription"),
    _item("page.image_id", "Picture of the page", "image"),
    _item("page.version", "Version of the page"),
    _item("line.page_id", "Page of the line", "page"),
    _item("line.position", "Place on the page"),
    _item("line.first", "First printed line"),
    _item("line.parsed", "What the line says"),
    _item("line.corrected", "Corrected by hand"),
    _item("line.state", "State of the line"),
    _item("line.reason", "Reason of the state"),
    _item("line.entry_ids", "Entry of the line", "entry"),
    _item("line.version", "Version of the line"),
    _row("redirect.id", "Entry made one with another", own="refObject@id"),
    _item("redirect.target_id", "Entry it is part of now", "target"),
    _item("redirect.entry", "The entry as it was"),
    _item("redirect.beside", "The other entry as it was"),
    _item("redirect.made", "The two as one"),
    _item("redirect.folded", "Name that became one with another"),
    _item("redirect.trial_ids", "Trial that went over", "trial"),
    _item("redirect.line_ids", "Line that went over", "line"),
    _item("redirect.pointed", "Relation that led to it"),
    _item("redirect.redirect_ids", "Entry merged into it before", "redirect"),
    _item("redirect.by", "Merged by"),
    _item("redirect.on", "Merged on"),
    _item("redirect.version", "Version of the redirect"),
    _row("entry.terms", "Entry without a term", own=_NOT_HERE, why="TBX wants a term in every entry."),
    _row("page", "Word-list page"),
    _row("redirect", "Entry made one with another"),
    _row("history", "Earlier versions", _NOT_HERE, how=_HISTORY),
    _row("verdict", "Verdicts and evidence", _NOT_HERE,
         how="They are computed again from what is in the file."),
)  # fmt: skip


def _more_rows() -> Iterator[Field]:
    """Yield rows for fields without one. A record within a record, or a list of them, has its own rows
    instead."""
    named = {row.path for row in _ROWS}
    for record, made in _RECORDS.items():
        for field in fields_of(made.cls):
            path = f"{record}.{field.name}"
            if path in named or (made.tag != "item" and isinstance(field.is_a, Items | Nested)):
                continue
            plain = made.place == "item" or isinstance(field.is_a, Text | Member | Flag | Count)
            yield _row(path, basic="" if plain else _NOT_HERE)


FIELDS: Final[Mapping[str, Field]] = MappingProxyType({f.path: f for f in (*_ROWS, *_more_rows())})
"""Where each field of the record goes, by path."""
NOTE_LABELS: Final = tuple(f"{field.label}: " for field in FIELDS.values() if field.fate)
"""How a TBX-Basic note begins that holds a field or reports a computed value."""


def _private_categories() -> Iterator[Category]:
    by_tag: dict[str, list[Attribute]] = {}
    named = {category.name for category in PRIVATE}
    plain: dict[str, Category] = {}
    for path, declared in _declared():
        row = FIELDS[path]
        if not row.tag.startswith(f"{PREFIX}:"):
            continue
        name, words = row.tag.removeprefix(f"{PREFIX}:"), tuple(filter(None, declared.words))
        if row.attribute:
            values = ("yes",) if isinstance(declared.is_a, Flag) else words
            by_tag.setdefault(name, []).append(Attribute(row.attribute, values))
        elif name not in named:
            term = path.startswith("term.")
            element, level = ("termNote", Level.TERM) if term else ("admin", Level.CONCEPT)
            plain[name] = Category(name, element, PREFIX, (level,), words, says=f"{row.label}.")
    for category in (*PRIVATE, *plain.values()):
        known = {attribute.name for attribute in category.attributes}
        more = (a for a in by_tag.get(category.name, ()) if a.name not in known)
        yield replace(category, attributes=(*category.attributes, *more))


def _declared() -> Iterator[tuple[str, DeclaredField]]:
    for record, made in _RECORDS.items():
        for field in fields_of(made.cls):
            if (path := f"{record}.{field.name}") in FIELDS:
                yield path, field


OWN: Final[Mapping[str, Category]] = MappingProxyType({c.name: c for c in _private_categories()})
"""Every data category of the private module, by name, with all attributes."""


def noted_fields(record: str) -> tuple[DeclaredField, ...]:
    """Return the fields of a name, a slip or an entry that have a note of their own, in the order of
    FIELDS."""
    made = _RECORDS[record]
    by_path = {f"{record}.{field.name}": field for field in fields_of(made.cls)}
    noted = (p for p, f in FIELDS.items() if f.fate is Fate.NOTED and f.place == made.place)
    return tuple(by_path[path] for path in noted if path in by_path)


_WITH_A_RULE: Final = frozenset({"term.text", "term.language", "term.printed", "term.printed_language"})


@cache
def free_fields(record: str) -> tuple[str, ...]:
    """Return the fields of a name or an entry that are one element each in TBX-Wordhold, with the value as
    text.

    Those that are notes on a term come first, as the standard requires.
    """
    names = [
        field.name
        for field in fields_of(_RECORDS[record].cls)
        if isinstance(field.is_a, Text | Count | Flag)
        and not isinstance(field.is_a, Id)
        and f"{record}.{field.name}" not in _WITH_A_RULE
        and not (record == "entry" and field.is_a.bookkeeping)
    ]
    return tuple(sorted(names, key=lambda name: _element(f"{record}.{name}") != "termNote"))


@cache
def attributes_of(record: str) -> Mapping[str, str]:
    """Return the fields of a record that are attributes of its one element in TBX-Wordhold, with the names
    of the attributes."""
    made = _RECORDS[record]
    return {
        field.name: row.attribute
        for field in fields_of(made.cls)
        if (row := FIELDS[f"{record}.{field.name}"]).attribute and row.tag == made.tag
    }


def _element(path: str) -> str:
    """Return the core element that corresponds to a field in TBX-Wordhold."""
    prefix, _, name = FIELDS[path].tag.rpartition(":")
    return (OWN if prefix == PREFIX else CATEGORIES)[name].element
