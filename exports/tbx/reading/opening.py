"""Opening a TBX file safely: what it is, its pieces one by one in flat memory, its ids and pointers.

No entity is expanded, nothing outside the file is read, no document type is loaded. A file that declares
anything in a document type of its own is refused; one that only names a document type, as files of 2008 do,
is read without it.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, cast

from lxml import etree

from exports.tbx.categories import CORE, NAMESPACES
from exports.tbx.dialect.table import MODULE_NAMESPACE
from exports.tbx.nameset import NameSet
from exports.tbx.reading.faults import MEND, fault, line_of
from termbase.errors import BadInput

__all__ = ["LANG", "PIECES", "Head", "checked_pieces", "open_tbx", "pieces"]

LANG: Final = "{http://www.w3.org/XML/1998/namespace}lang"
_C: Final = f"{{{CORE}}}"
PIECES: Final = ("tbxHeader", "conceptEntry", "refObject", "martifHeader", "termEntry")
_IDS = etree.XPath("descendant-or-self::*/@id", smart_strings=False)
_TARGETS = etree.XPath(
    "descendant::*[not(self::c:xref or self::xref or self::m:externalCrossReference or self::b:xGraphic)]"
    "/@target"
    " | descendant::w:slip/@image",
    namespaces={"c": CORE, "m": NAMESPACES["min"], "b": NAMESPACES["basic"], "w": MODULE_NAMESPACE},
    smart_strings=False,
)
_ROOT_2008 = "martif"


@dataclass(frozen=True, slots=True)
class Head:
    """What the root of a file says.

    Attributes:
        name: the file's name, for messages.
        dialect: what it calls itself (`TBX-Basic`).
        style: `dca` or `dct`; empty where it does not say.
        language: of the file, where it says so.
        legacy: it has the root of TBX 2008.
        doctype: it names a document type, which was not read.
    """

    name: str
    dialect: str
    style: str
    language: str
    legacy: bool = False
    doctype: bool = False


def open_tbx(path: Path, name: str = "") -> Head:
    """Look at the root of a file.

    Raises:
        BadInput: it is no TBX, no XML, or declares entities or a document type of its own.
    """
    name = name or path.name
    if not path.stat().st_size:
        raise BadInput("The file is empty.", where=name, mend="Choose it again.")
    with _told(name) as told, path.open("rb") as file:
        # Without huge_tree here, so that libxml2 itself stops entities that grow.
        reading = etree.iterparse(
            file, events=("start",), resolve_entities=False, no_network=True, load_dtd=False
        )
        told.append(reading)
        for _, root in reading:
            return _head(root, name)
    raise BadInput("There is nothing in the file.", where=name, mend=MEND)


def pieces(path: Path, head: Head) -> Iterator[etree._Element]:
    """Header, entries and objects of the back matter in the order of the file; each is gone at the next.

    Raises:
        BadInput: the file is not well-formed, or something stands where it may not.
    """
    space = "" if head.legacy else _C
    wanted = [space + piece for piece in PIECES]
    places = [space + place for place in ("body", "refObjectSec", "refObjectList")]
    with _told(head.name) as told, path.open("rb") as file:
        reading = etree.iterparse(
            file, events=("end",), tag=[*wanted, *places], resolve_entities=False, no_network=True,
            load_dtd=False, huge_tree=True, remove_comments=True, remove_pis=True,
        )  # fmt: skip
        told.append(reading)
        known = frozenset(wanted)
        for _, element in reading:
            if element.tag in known:
                yield element
                _let_go(element)
            else:
                _check_place(element)
                element.clear()


def checked_pieces(path: Path, head: Head, ids: NameSet) -> Iterator[etree._Element]:
    """The pieces once through, with every id and pointer of the file checked; all ids go into `ids`.

    Raises:
        BadInput: an id is used twice, or a pointer leads to nothing in the file.
    """
    targets = NameSet()
    with _told(head.name):
        for element in pieces(path, head):
            twice = ids.add_all(cast(list[str], _IDS(element)))
            if twice is not None:
                raise fault(f"The id {twice!r} is used twice.", _with(element, "id", twice), "id")
            targets.add_all(
                found.removeprefix("#")
                for found in set(cast(list[str], _TARGETS(element)))
                if not found.startswith(("http://", "https://"))
            )
            yield element
        for found in targets.without(ids):
            raise fault(
                f"It points at {found!r}, which is nothing in this file.", *_pointer(path, head, found)
            )


def _pointer(path: Path, head: Head, target: str) -> tuple[etree._Element | None, str]:
    for element in pieces(path, head):
        if any(found.removeprefix("#") == target for found in cast(list[str], _TARGETS(element))):
            for name in (target, f"#{target}"):
                for attribute in ("target", "image"):
                    holder = _with(element, attribute, name)
                    if holder is not element:
                        return holder, attribute
    return None, "target"


def _with(element: etree._Element, attribute: str, value: str) -> etree._Element:
    return next((e for e in element.iter() if isinstance(e.tag, str) and e.get(attribute) == value), element)


def _head(root: etree._Element, name: str) -> Head:
    document: Any = root.getroottree().docinfo  # the stubs know only half of it
    if _declares_something(document.internalDTD):
        raise BadInput(
            "The file declares a document type or entities of its own; they are never read.",
            where=f"{name}, line 1, DOCTYPE", mend=f"Take the declarations out. {MEND}",
        )  # fmt: skip
    tag = root.tag
    language = root.get(LANG) or ""
    if tag == f"{_C}tbx":
        return Head(
            name, root.get("type") or "", root.get("style") or "", language, doctype=bool(document.doctype)
        )
    if tag == _ROOT_2008:
        return Head(
            name, root.get("type") or "", "dca", language, legacy=True, doctype=bool(document.doctype)
        )
    local = etree.QName(root).localname
    if local in ("tbx", _ROOT_2008):
        space = etree.QName(root).namespace or "none"
        raise BadInput(
            f"The namespace of the root is {space}; that of TBX is {CORE}.",
            where=f"{name}, line {line_of(root)}, {local}, xmlns", mend=MEND,
        )  # fmt: skip
    raise BadInput(
        f"This is no TBX file: its root is {local!r}.", where=f"{name}, line {line_of(root)}",
        mend="Choose a file whose root is tbx (ISO 30042:2019) or martif (TBX of 2008).",
    )  # fmt: skip


def _declares_something(found: Any) -> bool:
    if found is None:
        return False
    return bool(next(found.iterentities(), None) or next(found.iterelements(), None))


def _let_go(element: etree._Element) -> None:
    """Drop a piece that is done with, and the pieces before it in the tree."""
    element.clear()
    parent = element.getparent()
    while parent is not None and (before := element.getprevious()) is not None:
        if before.tag != element.tag:
            raise fault("It may not stand here.", before)
        parent.remove(before)


def _check_place(element: etree._Element) -> None:
    """Nothing but its pieces stands in the body and in a section; of these at most the last is left."""
    allowed = {"body": ("conceptEntry", "termEntry")}.get(etree.QName(element).localname, ("refObject",))
    for child in element:
        if not isinstance(child.tag, str) or etree.QName(child).localname not in allowed:
            raise fault("It may not stand here.", child)


@contextmanager
def _told(name: str) -> Iterator[list[Any]]:
    """Say of faults of the XML, and of those found on the way, in which file they are.

    The parser is put into the list that is given, since it alone knows the first of its faults.
    """
    parsers: list[Any] = []
    try:
        yield parsers
    except etree.XMLSyntaxError as error:
        faults = [f for f in (parsers[0].error_log if parsers else ()) if f.level_name != "WARNING"]
        message, number = (faults[0].message, faults[0].line) if faults else (str(error.msg), error.lineno)
        line = f", line {number}" if number else ""
        what = f"It is not well-formed XML: {message.rstrip('.')}."
        mend = f"The file may have been cut short. {MEND}"
        raise BadInput(what, where=f"{name}{line}", mend=mend) from error
    except BadInput as error:
        if error.where.startswith(name):
            raise
        where = ", ".join(filter(None, (name, error.where)))
        raise BadInput(error.what, where=where, mend=error.mend) from error
