"""Elements of a file by their data category, whichever style or year they are of, and the texts in them."""

import re
import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from typing import Final

from lxml import etree

__all__ = [
    "ENTRIES", "GROUPS", "HEADERS", "LANG", "META", "SECTIONS", "TERMS", "Element", "block_of",
    "category", "holds_blocks", "is_named", "language_around", "line_text", "local_name", "main_of",
    "own_text", "parts_of", "source_beside", "source_in", "target_of", "text_of", "whole_text",
]  # fmt: skip

Element = etree._Element
LANG: Final = "{http://www.w3.org/XML/1998/namespace}lang"
META: Final = frozenset(
    {"admin", "adminNote", "descrip", "descripNote", "ref", "termNote", "transac", "transacNote", "xref"}
)
"""Core elements that carry a data category as their type."""
GROUPS: Final = frozenset({"adminGrp", "descripGrp", "termNoteGrp", "transacGrp"})
HEADERS: Final = frozenset({"tbxHeader", "martifHeader", "header"})
ENTRIES: Final = frozenset({"conceptEntry", "termEntry", "entry"})
SECTIONS: Final = frozenset({"langSec", "langSet", "langGroup"})
TERMS: Final = frozenset({"termSec", "tig", "ntig", "termGroup"})
INLINE: Final = frozenset(
    {"hi", "foreign", "ph", "sc", "ec", "bpt", "ept", "it", "ut", "sub", "g", "x", "bx", "ex"}
)
"""Markup within a text: that of both TBX standards and, from memory, of XLIFF 1.2."""
_INDENTED: Final = re.compile(r"[ \t]*\n[ \t]+")


def whole_text(element: etree._Element) -> str:
    """The text of an element and of everything in it."""
    return "".join(str(part) for part in element.itertext())


@lru_cache(maxsize=4096)
def _local(tag: object) -> str:
    return tag.rpartition("}")[2] if isinstance(tag, str) else "entity"


def local_name(element: etree._Element) -> str:
    """The name of an element without its namespace."""
    return _local(element.tag)


def category(element: Element | None) -> str:
    """The name of the data category of an element: its type in DCA style, its tag in DCT."""
    if element is None:
        return ""
    name = local_name(element)
    return (element.get("type") or name) if name in META else name


def main_of(child: Element) -> tuple[str, Element]:
    """The data category of an element, or of the first in a group, and that element."""
    main = child[0] if local_name(child) in GROUPS and len(child) else child
    return category(main), main


def parts_of(section: Element) -> Iterator[Element]:
    """What stands in a term section; in one of 2008 the term may stand in a group of its own."""
    for child in section:
        if local_name(child) == "termGrp":
            yield from child
        else:
            yield child


def is_named(entry: Element) -> bool:
    """Whether a concept has a term with text."""
    return any(
        local_name(part) == "term" and line_text(part)
        for section in entry
        if local_name(section) in SECTIONS
        for term in section
        if local_name(term) in TERMS
        for part in parts_of(term)
    )


def source_in(group: Element) -> Element | None:
    """The first source that stands in a group."""
    return next((part for part in group.iter() if category(part) == "source"), None)


def source_beside(element: Element) -> Element | None:
    """The source that is named in the group that an element stands in."""
    group: Element | None = element.getparent()
    return source_in(group) if group is not None and local_name(group) in GROUPS else None


def holds_blocks(element: Element) -> bool:
    """Whether something stands in an element that is no markup of a text: then it is no text itself."""
    return any(local_name(child) not in INLINE for child in element)


def target_of(element: Element) -> str:
    """Where an element points, without the sign that some put before an id."""
    return (element.get("target") or "").removeprefix("#")


def text_of(element: Element) -> str:
    """All text in an element."""
    return whole_text(element).strip()


def line_text(element: Element) -> str:
    """All text in an element, on one line."""
    return unicodedata.normalize("NFC", " ".join(whole_text(element).split()))


def own_text(element: Element) -> str:
    """What stands in an element that holds others beside them, on one line."""
    pieces = [element.text or "", *(child.tail or "" for child in element)]
    return unicodedata.normalize("NFC", " ".join(" ".join(pieces).split()))


def block_of(element: Element) -> str:
    """Text whose line breaks count, but not the indentation of the file."""
    return _INDENTED.sub(" ", whole_text(element).strip())


def language_around(element: Element) -> str:
    """The language of the section that an element stands in."""
    for around in element.iterancestors():
        if found := around.get(LANG) or (around.get("lang") if local_name(around) in SECTIONS else ""):
            return str(found)
    return ""
