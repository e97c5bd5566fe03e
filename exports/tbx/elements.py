"""Finds elements of a file by their data category, whatever its style or year, and returns their text."""

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
"""Core elements whose type is a data category."""
GROUPS: Final = frozenset({"adminGrp", "descripGrp", "termNoteGrp", "transacGrp"})
HEADERS: Final = frozenset({"tbxHeader", "martifHeader", "header"})
ENTRIES: Final = frozenset({"conceptEntry", "termEntry", "entry"})
SECTIONS: Final = frozenset({"langSec", "langSet", "langGroup"})
TERMS: Final = frozenset({"termSec", "tig", "ntig", "termGroup"})
INLINE: Final = frozenset(
    {"hi", "foreign", "ph", "sc", "ec", "bpt", "ept", "it", "ut", "sub", "g", "x", "bx", "ex"}
)
"""Inline markup: that of both TBX standards and, from memory, of XLIFF 1.2."""
_INDENTED: Final = re.compile(r"[ \t]*\n[ \t]+")


def whole_text(element: etree._Element) -> str:
    """Return the text of an element and its descendants."""
    return "".join(str(part) for part in element.itertext())


@lru_cache(maxsize=4096)
def _local(tag: object) -> str:
    return tag.rpartition("}")[2] if isinstance(tag, str) else "entity"


def local_name(element: etree._Element) -> str:
    """Return the name of an element without its namespace."""
    return _local(element.tag)


def category(element: Element | None) -> str:
    """Return the data category of an element: its type in DCA style, its tag in DCT style."""
    if element is None:
        return ""
    name = local_name(element)
    return (element.get("type") or name) if name in META else name


def main_of(child: Element) -> tuple[str, Element]:
    """Return the data category of an element, or of the first in a group, and that element."""
    main = child[0] if local_name(child) in GROUPS and len(child) else child
    return category(main), main


def parts_of(section: Element) -> Iterator[Element]:
    """Yield the elements of a term section; in a 2008 file the term may be in a separate group."""
    for child in section:
        if local_name(child) == "termGrp":
            yield from child
        else:
            yield child


def is_named(entry: Element) -> bool:
    """Return whether a concept has a term with text."""
    return any(
        local_name(part) == "term" and line_text(part)
        for section in entry
        if local_name(section) in SECTIONS
        for term in section
        if local_name(term) in TERMS
        for part in parts_of(term)
    )


def source_in(group: Element) -> Element | None:
    """Return the first source in a group."""
    return next((part for part in group.iter() if category(part) == "source"), None)


def source_beside(element: Element) -> Element | None:
    """Return the source named in the group that contains an element."""
    group: Element | None = element.getparent()
    return source_in(group) if group is not None and local_name(group) in GROUPS else None


def holds_blocks(element: Element) -> bool:
    """Return whether an element contains more than text with inline markup."""
    return any(local_name(child) not in INLINE for child in element)


def target_of(element: Element) -> str:
    """Return the target of an element, without the # that some files put before an id."""
    return (element.get("target") or "").removeprefix("#")


def text_of(element: Element) -> str:
    """Return the text of an element, stripped."""
    return whole_text(element).strip()


def line_text(element: Element) -> str:
    """Return all text of an element, on one line."""
    return unicodedata.normalize("NFC", " ".join(whole_text(element).split()))


def own_text(element: Element) -> str:
    """Return an element's own text, without that of its children, on one line."""
    pieces = [element.text or "", *(child.tail or "" for child in element)]
    return unicodedata.normalize("NFC", " ".join(" ".join(pieces).split()))


def block_of(element: Element) -> str:
    """Return text in which line breaks count, without the indentation of the file."""
    return _INDENTED.sub(" ", whole_text(element).strip())


def language_around(element: Element) -> str:
    """Return the language of the section that contains an element."""
    for around in element.iterancestors():
        if language := around.get(LANG) or (around.get("lang") if local_name(around) in SECTIONS else ""):
            return str(language)
    return ""
