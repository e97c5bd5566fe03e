"""The core elements of TBX: their attributes, and which children are allowed in which order.

Source: the core structure of ISO 30042:2019 (grammar core.rng, namespace `urn:iso:std:iso:30042:ed-2`), in
our own words. In DCT style, every module element takes the place of the core element that it specialises.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from types import MappingProxyType
from typing import Final

__all__ = ["BACK", "CORE_ELEMENTS", "META", "Element", "Slot", "is_date", "is_id", "is_language"]

META: Final = frozenset(
    {"admin", "adminNote", "descrip", "descripNote", "ref", "termNote", "transac", "transacNote", "xref"}
)
"""Elements that carry a data category: as their type in DCA style; in DCT style module tags replace them."""
BACK: Final = frozenset({"refObjectSec", "refObject", "itemSet", "itemGrp", "item", "tbxHeader"})


@dataclass(frozen=True, slots=True)
class Slot:
    """A position in the order of children: which are allowed, the minimum number, whether more than one."""

    names: frozenset[str]
    least: int = 0
    many: bool = True

    @property
    def takes_modules(self) -> bool:
        """Return whether a module element is allowed there."""
        return not self.names.isdisjoint(META)


@dataclass(frozen=True, slots=True)
class Element:
    """A core element.

    Attributes:
        needed, allowed: names of the attributes that are required and allowed.
        slots: its children in their order; None if it contains text.
        inline: markup allowed within its text.
        values: the closed lists among its attributes.
    """

    needed: frozenset[str]
    allowed: frozenset[str]
    slots: tuple[Slot, ...] | None = None
    inline: frozenset[str] = frozenset()
    values: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


_LANG: Final = "{http://www.w3.org/XML/1998/namespace}lang"
_NOTE_TEXT: Final = frozenset({"ec", "foreign", "hi", "ph", "sc"})
_ALL: Final = "id lang target datatype type"
_AUX: Final = "admin adminGrp descrip descripGrp note ref transacGrp xref"
_LINKS: Final = "admin adminGrp note ref transacGrp xref"


def _attributes(names: str) -> frozenset[str]:
    return frozenset(_LANG if name == "lang" else name for name in names.split())


def _one(name: str) -> Slot:
    return Slot(frozenset({name}), least=1, many=False)


def _may(name: str) -> Slot:
    return Slot(frozenset({name}), many=False)


def _any(names: str) -> Slot:
    return Slot(frozenset(names.split()))


def _some(names: str) -> Slot:
    return Slot(frozenset(names.split()), least=1)


def _holds(*slots: Slot, allowed: str = "id", needed: str = "") -> Element:
    return Element(_attributes(needed), _attributes(f"{allowed} {needed}"), slots)


def _text(
    inline: frozenset[str] = frozenset(),
    allowed: str = "id lang",
    needed: str = "",
    values: Mapping[str, tuple[str, ...]] = MappingProxyType({}),
) -> Element:
    return Element(_attributes(needed), _attributes(f"{allowed} {needed}"), None, inline, values)


_CATEGORY: Final = _text(_NOTE_TEXT, _ALL, "type")
_PLAIN_CATEGORY: Final = _text(frozenset(), _ALL, "type")
_YES_NO: Final = ("yes", "no")
_HIGHLIGHTS: Final = ("entailedTerm", "hotkey", "italics", "bold", "superscript", "subscript", "math")
CORE_ELEMENTS: Final[Mapping[str, Element]] = MappingProxyType(
    {
        "tbx": _holds(_one("tbxHeader"), _one("text"), allowed="", needed="lang type style"),
        "tbxHeader": _holds(_one("fileDesc"), _may("encodingDesc"), _may("revisionDesc")),
        "fileDesc": _holds(_may("publicationStmt"), _may("titleStmt"), _one("sourceDesc")),
        "publicationStmt": _holds(_some("p")),
        "titleStmt": _holds(_one("title"), _any("note"), allowed="id lang"),
        "title": _text(),
        "sourceDesc": _holds(_some("p"), allowed="id lang"),
        "encodingDesc": _holds(_some("p")),
        "revisionDesc": _holds(_some("change"), allowed="id lang"),
        "change": _holds(_some("p"), allowed="id lang"),
        "p": _text(_NOTE_TEXT, "id lang type"),
        "text": _holds(_may("body"), _may("back")),
        "body": _holds(_some("conceptEntry")),
        "conceptEntry": _holds(_any(_AUX), _some("langSec"), needed="id"),
        "langSec": _holds(_any(_AUX), _some("termSec"), allowed="", needed="lang"),
        "termSec": _holds(_one("term"), _any("termNote termNoteGrp"), _any(_AUX)),
        "term": _text(frozenset({"hi"}), "id"),
        "adminGrp": _holds(_one("admin"), _any("adminNote note ref xref")),
        "descripGrp": _holds(
            _one("descrip"), _any("admin adminGrp descripNote note ref transacGrp xref")
        ),
        "termNoteGrp": _holds(_one("termNote"), _any(_LINKS)),
        "transacGrp": _holds(_one("transac"), _any("date note ref transacNote xref")),
        "admin": _CATEGORY,
        "descrip": _CATEGORY,
        "termNote": _CATEGORY,
        "adminNote": _PLAIN_CATEGORY,
        "descripNote": _PLAIN_CATEGORY,
        "ref": _PLAIN_CATEGORY,
        "transac": _PLAIN_CATEGORY,
        "transacNote": _PLAIN_CATEGORY,
        "xref": _text(frozenset(), "id", "target type"),
        "note": _text(_NOTE_TEXT),
        "date": _text(frozenset(), "id"),
        "back": _holds(_any("refObjectSec")),
        "refObjectSec": _holds(_some("refObject"), needed="type"),
        "refObject": _holds(_some("itemSet itemGrp item")),
        "itemSet": _holds(_some("itemGrp item"), allowed="id type"),
        "itemGrp": _holds(_one("item"), _any(_LINKS)),
        "item": _text(_NOTE_TEXT, "id type"),
        "foreign": _text(_NOTE_TEXT),
        "hi": _text(
            frozenset(), "target type",
            values={"type": _HIGHLIGHTS},
        ),
        "ph": _text(frozenset(), "type"),
        "sc": _text(frozenset(), "isolated", "id", values={"isolated": _YES_NO}),
        "ec": _text(
            frozenset(), "startRef isolated disp equiv id type subtype target",
            values={"isolated": _YES_NO, "type": ("fmt", "ui", "quote", "link", "image", "other")},
        ),
    }
)  # fmt: skip
"""Every core element, by name."""

_ID: Final = re.compile(r"[^\W\d][\w.·-]*")
_LANGUAGE: Final = re.compile("[A-Za-z]{1,8}(?:-[A-Za-z0-9]{1,8})*")
_ZONE: Final = re.compile(r"(?:Z|[+-]\d\d:\d\d)?\Z")


def is_id(text: str) -> bool:
    """Return whether it can be an id (a name without a colon: Namespaces in XML 1.0, 3; near enough)."""
    return _ID.fullmatch(text) is not None


def is_language(text: str) -> bool:
    """Return whether it has the form of a language tag (XML Schema 1.1 part 2, 3.4.3)."""
    return _LANGUAGE.fullmatch(text) is not None


def is_date(text: str) -> bool:
    """Return whether it is a date, or a date with time (XML Schema 1.1 part 2, 3.3.7 and 3.3.9), of the
    years 1 to 9999."""
    plain = text.strip()
    try:
        if "T" in plain:
            datetime.fromisoformat(plain)
        else:
            date.fromisoformat(_ZONE.sub("", plain))
            return len(_ZONE.sub("", plain)) == len("2026-01-01")
    except ValueError:
        return False
    return True
