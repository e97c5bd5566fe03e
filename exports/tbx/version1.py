"""Converts files of the first version of TBX-Wordhold to the current one while they are read.

They stored reasons and problems as English sentences, and parts of a line by name; see
`termbase.store.oldtexts`. Nothing else was different.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Final

import msgspec
from lxml import etree

from exports.tbx.categories import CORE, FIRST_NAMESPACE, MODULE_NAMESPACE, NAMESPACES
from exports.tbx.elements import local_name
from exports.tbx.tags import FIELDS
from exports.tbx.xmltext import escape_forbidden, text_of, unescape
from termbase.store.oldtexts.states import Texts, forward

__all__ = ["KnownNames", "is_older", "names_in", "upgrade"]

_C: Final = f"{{{CORE}}}"
_OLD, _NEW = f"{{{FIRST_NAMESPACE}}}", f"{{{MODULE_NAMESPACE}}}"
_READINGS: Final = frozenset({f"{_OLD}languageReading", f"{_OLD}practiceReading"})
_OBJECT: Final = f"{_C}refObject"
_RESPONSIBILITY: Final = f"{{{NAMESPACES['basic']}}}responsibility"


@dataclass(frozen=True)
class KnownNames:
    """The names that a file knows. An old sentence that names somebody else is a person's own words.

    Attributes:
        people: names of the people in the back matter, and of those who created or signed something.
        codes: names of the rule codes.
    """

    people: frozenset[str] = frozenset()
    codes: frozenset[str] = frozenset()

    @cached_property
    def texts(self) -> Texts:
        """Return the reader for its old texts."""
        return forward(self.people, self.codes)


def is_older(element: etree._Element) -> bool:
    """Return whether an element comes from a file of the first version."""
    return FIRST_NAMESPACE in element.nsmap.values()


def names_in(path: Path) -> KnownNames:
    """Return the names that a file of the first version knows, in one pass.

    Raises:
        lxml.etree.XMLSyntaxError: it is not well-formed.
    """
    people, codes = set[str](), set[str]()
    wanted = [_OBJECT, f"{_C}conceptEntry", _RESPONSIBILITY, *_READINGS]
    with path.open("rb") as file:
        reading = etree.iterparse(
            file, events=("end",), tag=wanted, resolve_entities=False, no_network=True, load_dtd=False,
            huge_tree=True, remove_comments=True, remove_pis=True,
        )  # fmt: skip
        for _, element in reading:
            if element.tag == _RESPONSIBILITY:
                people.add(text_of(element))
            elif element.tag in _READINGS:
                people.add(unescape(element.get("by") or ""))
            else:
                section = _section(element)
                if section == "respPerson":
                    people.update(_texts(element, _item_of("person.name")))
                elif section == "wordhold.ruleCode":
                    codes.update(_texts(element, _item_of("code.name")))
                element.clear()
    return KnownNames(frozenset(people - {""}), frozenset(codes - {""}))


def upgrade(element: etree._Element, names: KnownNames) -> None:
    """Convert a piece of a first-version file to the current version.

    What cannot be converted stays unchanged, and the reader reports it.
    """
    texts, section = names.texts, _section(element)
    if section == "wordhold.line":
        _each(element, _item_of("line.reason"), lambda text: _encoded(texts.aside(text)))
        _each(element, _item_of("line.parsed"), _document(texts.parsed))
    elif section == "wordhold.redirect":
        for name in ("entry", "beside", "made"):
            _each(element, _item_of(f"redirect.{name}"), _document(texts.entry))
    for inner in element.iter(f"{_OLD}*"):
        if inner.tag in _READINGS and (reopened := inner.get("reopened")):
            inner.set("reopened", escape_forbidden(_encoded(texts.reopened(unescape(reopened)))))
        inner.tag = f"{_NEW}{local_name(inner)}"


def _section(element: etree._Element) -> str:
    """Return the back-matter section of an object; empty for anything else."""
    parent = element.getparent()
    return "" if parent is None or element.tag != _OBJECT else parent.get("type") or ""


def _item_of(path: str) -> str:
    return FIELDS[path].tag.removeprefix("item ")


def _texts(element: etree._Element, kind: str) -> list[str]:
    return [text_of(item) for item in element if item.get("type") == kind]


def _each(element: etree._Element, kind: str, read: Callable[[str], str]) -> None:
    """Replace the text of every item of a kind with the converted text."""
    for item in element:
        if item.get("type") == kind:
            new = escape_forbidden(read(text_of(item)))
            for inner in list(item):
                item.remove(inner)
            item.text = new


def _document(read: Callable[[object], None]) -> Callable[[str], str]:
    def converted(text: str) -> str:
        try:
            document = msgspec.json.decode(text)
        except (msgspec.DecodeError, RecursionError):
            return text
        read(document)
        return _encoded(document)

    return converted


def _encoded(document: object) -> str:
    return msgspec.json.encode(document).decode()
