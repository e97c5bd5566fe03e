"""The data categories used by exports: those of TBX-Basic, and those of our own private module.

Source of the published ones: ISO 30042:2019 and the module descriptions Min and Basic of its dialect
TBX-Basic. `exports.tbx.tags` says which field of the record goes into which category.

TBX-Wordhold consists of core, min, basic and the private module. If the picklist of a published category
lacks a value, it gets `other` there and the full value in one of our categories. Number and register use the
names and registry ids of the published Linguist module; the values are ours, since its picklists lack some.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final, Literal

from termbase.record.entries import Gender, Number, Origin, PartOfSpeech, Register

__all__ = [
    "CATEGORIES",
    "CORE",
    "FIRST_NAMESPACE",
    "MODULE_NAMESPACE",
    "NAMESPACES",
    "OTHER",
    "PREFIX",
    "PRIVATE",
    "Attribute",
    "Category",
    "Level",
    "Module",
]


Module = Literal["min", "basic"]
CORE: Final = "urn:iso:std:iso:30042:ed-2"
"""Namespace of the core structure (ISO 30042:2019)."""
NAMESPACES: Final[Mapping[Module, str]] = MappingProxyType(
    {"min": "http://www.tbxinfo.net/ns/min", "basic": "http://www.tbxinfo.net/ns/basic"}
)
"""Namespace of each published module, for the style that writes a category as a tag."""
PREFIX: Final = "wh"
MODULE_NAMESPACE: Final = "urn:x-wordhold:tbx:2"
"""Namespace of the private module; the number is raised whenever files can no longer be read as before."""
FIRST_NAMESPACE: Final = "urn:x-wordhold:tbx:1"
"""Namespace of its first version, which can still be read (`exports.tbx.version1`)."""
OTHER: Final = "other"
"""The picklist value for anything not in the list; a note, or a category of ours, gives the value."""


class Level(StrEnum):
    """Where in an entry a data category is allowed."""

    CONCEPT = "conceptEntry"
    LANGUAGE = "langSec"
    TERM = "termSec"


@dataclass(frozen=True, slots=True)
class Attribute:
    """An attribute of a private category.

    Attributes:
        name: name of the attribute.
        values: the closed list of values, if there is one.
        points: its value is an id in the file.
        needed: it is required.
    """

    name: str
    values: tuple[str, ...] = ()
    points: bool = False
    needed: bool = False


@dataclass(frozen=True, slots=True)
class Category:
    """A data category, published or private.

    Attributes:
        name: the registered name; for a private category, its tag in the namespace of the module.
        element: the core element that carries it in DCA style, with `name` as its type; for a private
            category, the core element that it specialises (the metatype of the standard).
        module: the module it belongs to.
        levels: where it is allowed, alone or in a group.
        values: its picklist; empty for free text.
        target: whether it points into the file, to an outside address, or nowhere.
        tag_target: whether it may point in DCT style too (according to the grammar of its module).
        says: what a private category means, for the documentation.
        attributes: attributes of a private category, except those that hold fields (`exports.tbx.tags`).
        registry: its number in the registry of data categories (DatCatInfo), if a private category has one.
        empty: it has no text, only attributes.
    """

    name: str
    element: str
    module: Module | Literal["wh"]
    levels: tuple[Level, ...]
    values: tuple[str, ...] = ()
    target: Literal["", "internal", "external"] = ""
    tag_target: bool = False
    says: str = ""
    attributes: tuple[Attribute, ...] = ()
    registry: str = ""
    empty: bool = False


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

_READING = (Attribute("by"), Attribute("on"), Attribute("reopened"))


def _private(
    element: str,
    name: str,
    says: str,
    *attributes: Attribute,
    levels: tuple[Level, ...] = (),
    values: type[StrEnum] | None = None,
    registry: str = "",
    empty: bool = False,
) -> Category:
    """Return a private category: a termNote belongs to a term, any other to the concept, unless `levels`
    is given."""
    return Category(
        name, element, "wh", levels or ((_TERM,) if element == "termNote" else (_CONCEPT,)),
        tuple(member.value for member in values or ()),
        says=says, attributes=attributes, registry=registry, empty=empty,
    )  # fmt: skip


PRIVATE: Final = (
    _private("ref", "relationOutside", "A relation to an entry that is not in the file, because "
             "only a selection "
             "was written; its text is the kind.", Attribute("entry", needed=True)),
    _private("descrip", "technique", "One statement of the mechanical profile: the point, its basis, and the "
             "value; several values are separated by “; ”. Without attributes: there is a "
             "profile.", Attribute("point"), Attribute("basis", ("slip", "trial", "analogue", "reading")),
             Attribute("ref")),
    _private("descrip", "analogue", "The name of the same mechanic in a living style."),
    _private("descrip", "figure", "The caption of a picture; the picture is in the back matter.",
             Attribute("target", points=True, needed=True)),
    _private("admin", "ruling", "The reason for an editor's ruling on a verdict.",
             Attribute("target", points=True, needed=True)),
    _private("admin", "languageReading", "Who read the entry for language, and when; or why that reading is "
             "open again: one of our codes with its values, or a person's own words, as JSON.",
             *_READING, empty=True),
    _private("admin", "practiceReading", "The same for the reading for practice.", *_READING, empty=True),
    _private("descrip", "usage", "The usage note, which is printed.", levels=(_CONCEPT, _TERM)),
    _private("admin", "editorNote", "The editor's note, which is never printed."),
    _private("admin", "foreignNote", "An imported note: its text, its data category there, the file it came "
             "from, the language section it was in, what it is about, the language of its text, its "
             "target, and who accepted it for printing.",
             Attribute("category", needed=True),
             levels=(_CONCEPT, _TERM)),
    _private("admin", "version", "How many times the entry has been saved, if more than once."),
    _private("admin", "termOrder", "The order of the terms by id, if the language sections do not keep it."),
    _private("admin", "definitionOrder", "The order of the definitions by their number in the file, "
             "from 0, if "
             "the language sections do not keep it."),
    _private("descripNote", "definitionLanguage", "The language of a definition given with the concept, "
             "because no term is in that language."),
    _private("admin", "source", "The source of a definition, an analogue, a figure or a slip: a pointer; the "
             "text is its short label.", Attribute("target", points=True, needed=True), levels=_ALL),
    _private("transacNote", "dateAsKept", "When an entry was created or changed, if that is not an "
             "ISO date."),
    _private("termNote", "origin", "The origin of the name; never left out.", values=Origin),
    _private("termNote", "wordClass", "The part of speech, if partOfSpeech has no value for it.",
             values=PartOfSpeech),
    _private("termNote", "gender", "The gender, if grammaticalGender has no value for it.", values=Gender),
    _private("termNote", "grammaticalNumber", "The number of the form given as the term.", values=Number,
             registry="DC-251"),
    _private("termNote", "register", "The level of language.", values=Register, registry="DC-423"),
    _private("termNote", "pronunciation", "Pronunciation in IPA."),
    _private("termNote", "printed", "The printed form, if it differs from the term."),
    _private("termNote", "form", "An inflected form.", Attribute("label")),
    _private("termNote", "sortedAs", "The term with letters separated for sorting."),
    _private("termNote", "languageTag", "The language tag, if XML does not allow it; the section is then "
             "undetermined."),
    _private("termNote", "noTerm", "The entry has no term; TBX requires one, so an empty one is written.",
             empty=True),
    _private("admin", "slip", "The fields of a slip besides quotation and source; its text is the note.",
             Attribute("image", points=True), levels=(_TERM,)),
)  # fmt: skip
"""The data categories of the private module that are more than one field under its own name;
`exports.tbx.tags` adds the others, and the attributes that hold fields."""
