"""Opens a TBX file safely: identifies it, and yields its pieces one by one in flat memory.

No entity is expanded, nothing outside the file is read, no document type is loaded. A file that makes
declarations in its own document type is refused; one that only names a document type, as 2008 files do, is
read without it.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, Protocol, runtime_checkable
from xml.parsers import expat

from lxml import etree

from exports.tbx.categories import CORE, FIRST_NAMESPACE, MODULE_NAMESPACE
from exports.tbx.elements import ENTRIES, HEADERS, LANG, local_name
from exports.tbx.faults import HOW_TO_FIX, MOST_SHOWN, PIECES, Fault, fault, line_of, located, naming_file
from exports.tbx.version1 import KnownNames, names_in, upgrade
from termbase.errors import BadInput
from termbase.messages import joined, message

__all__ = ["Frame", "Head", "open_tbx", "pieces"]

OWN_DIALECT: Final = "TBX-Wordhold"
_PIECES_OF: Final = {
    "tbx": ("tbxHeader", "conceptEntry", "refObject"),
    "martif": ("martifHeader", "termEntry", "refObject"),
    "TBX": ("header", "entry", "conceptEntry", "termEntry", "refObject"),
}
_OBJECTS: Final = frozenset({"refObject"})
_AROUND: Final = {
    "body": ENTRIES,
    "refObjectSec": _OBJECTS,
    "refObjectList": _OBJECTS,
    "back": frozenset({"refObjectSec", "refObjectList"}),
    "text": frozenset({"front", "body", "back"}),
}
"""What is allowed in the elements around the pieces."""
_IN_ROOT: Final = HEADERS | {"text", "body", "back"}
_C: Final = f"{{{CORE}}}"
_ROOT_2008, _ROOT_MIN = "martif", "TBX"


@dataclass(frozen=True, slots=True)
class Head:
    """The data of the root element of a file.

    Attributes:
        name: the file's name, for messages.
        dialect: the dialect it states (`TBX-Basic`).
        style: `dca` or `dct`; empty if not stated.
        language: language of the file, if stated.
        legacy: whether the root is from before 2019, in no namespace.
        doctype: whether it names a document type, which was not read.
        root: name of the root.
        older: for a file in the first version of our dialect, the names that it knows.
    """

    name: str
    dialect: str
    style: str
    language: str
    legacy: bool = False
    doctype: bool = False
    root: str = "tbx"
    older: KnownNames | None = None

    @property
    def is_own(self) -> bool:
        """Return whether it is our own dialect, which is complete."""
        return self.dialect == OWN_DIALECT and self.style == "dct" and not self.legacy


@runtime_checkable
class _Declarations(Protocol):
    """What a document type declares."""

    def iterentities(self) -> Iterator[object]: ...
    def iterelements(self) -> Iterator[object]: ...


def open_tbx(path: Path, name: str = "") -> Head:
    """Read the root element of a file.

    Raises:
        BadInput: it is not TBX, not XML, or declares entities or its own document type.
    """
    name = name or path.name
    if not path.stat().st_size:
        raise BadInput(message("The file is empty."), where=name, fix=message("Choose it again."))
    with naming_file(path, name) as parsers, path.open("rb") as file:
        # Without huge_tree, so that libxml2 itself stops growing entities.
        reading = etree.iterparse(
            file, events=("start",), resolve_entities=False, no_network=True, load_dtd=False
        )
        parsers.append(reading)
        for _, root in reading:
            _refuse_declarations(root, path, name)
            spaces = _spaces(root, reading)
            head = _head(root, name, spaces)
            older = head.is_own and FIRST_NAMESPACE in spaces
            return replace(head, older=names_in(path)) if older else head
    raise BadInput(message("The file has no content."), where=name, fix=HOW_TO_FIX)


class Frame(Protocol):
    """Receives the elements around the pieces."""

    def frame(self, element: etree._Element, /) -> None:
        """Handle an element around the pieces, at its end; the last of its pieces is still in it."""

    def stray(self, parent: etree._Element, child: etree._Element | None, text: str, /) -> None:
        """Handle something that is not allowed around the pieces: a child element, or text."""


def pieces(path: Path, head: Head, frame: Frame | None = None) -> Iterator[etree._Element]:
    """Yield header, entries and back-matter objects in file order; each is cleared before the next is read.

    Args:
        frame: receives what is around the pieces.

    Raises:
        BadInput: the file is not well-formed, or has something where it is not allowed.
    """
    space = "" if head.legacy else _C
    names = _PIECES_OF[head.root]
    wanted = [space + piece for piece in names]
    around = {space + place: allowed for place, allowed in _AROUND.items()}
    around[space + head.root] = _IN_ROOT
    with naming_file(path, head.name) as parsers, path.open("rb") as file:
        reading = etree.iterparse(
            file, events=("end",), tag=[*wanted, *around], resolve_entities=False, no_network=True,
            load_dtd=False, huge_tree=True, remove_comments=True, remove_pis=True,
        )  # fmt: skip
        parsers.append(reading)
        known = frozenset(wanted)
        number = 0
        for _, element in reading:
            if element.tag in known:
                number += 1
                if head.older is not None:
                    upgrade(element, head.older)
                yield element
                stray = _let_go(element, frame)
            else:
                stray = _check_around(element, around[element.tag], frame)
            if stray is not None:
                raise located(stray, path, PIECES, number)


def _refuse_declarations(root: etree._Element, path: Path, name: str) -> None:
    """Raise an error if a file makes its own declarations."""
    document = root.getroottree().docinfo
    declared: object = document.internalDTD  # None if there is none, whatever the stubs say
    line = _declaration_line(path) if declared is not None else None
    if line or _declares_something(declared):
        raise BadInput(
            message("The file declares its own document type or entities; these are never read."),
            where=message("%(name)s, line %(line)s, DOCTYPE", name=name, line=line or 1),
            fix=message("Remove the declarations. %(mend)s", mend=HOW_TO_FIX),
        )


def _head(root: etree._Element, name: str, spaces: Sequence[str]) -> Head:
    tag = root.tag
    language, doctype = root.get(LANG) or "", bool(getattr(root.getroottree().docinfo, "doctype", ""))
    says = {key: (root.get(key) or "")[:MOST_SHOWN] for key in ("type", "style", "dialect")}
    if tag == f"{_C}tbx":
        _check_claim(root, name, says, spaces)
        return Head(name, says["type"], says["style"], language, doctype=doctype)
    if tag == _ROOT_2008:
        return Head(name, says["type"], "dca", language, legacy=True, doctype=doctype, root=_ROOT_2008)
    if tag == _ROOT_MIN:
        dialect = says["dialect"] or "TBX-Min"
        return Head(name, dialect, "", language, legacy=True, doctype=doctype, root=_ROOT_MIN)
    local = local_name(root)
    prefix, colon, _ = local.partition(":")
    if colon:  # a name keeps its prefix if the prefix is not declared
        raise BadInput(
            message("The prefix “%(prefix)s” is not declared.", prefix=prefix[:MOST_SHOWN]),
            where=message("%(name)s, line %(line)s", name=name, line=line_of(root)),
            fix=message(
                'Declare it there with xmlns:%(prefix)s="…". %(mend)s',
                prefix=prefix[:MOST_SHOWN],
                mend=HOW_TO_FIX,
            ),
        )
    if local in ("tbx", _ROOT_2008, _ROOT_MIN):
        space = etree.QName(root).namespace or "none"
        raise BadInput(
            message(
                "The root element is in the namespace %(space)s; the TBX namespace is %(core)s.",
                space=space,
                core=CORE,
            ),
            where=message(
                "%(name)s, line %(line)s, %(local)s, xmlns", name=name, line=line_of(root), local=local
            ),
            fix=HOW_TO_FIX,
        )
    raise BadInput(
        message("This is not a TBX file: its root element is %(local)r.", local=local),
        where=message("%(name)s, line %(line)s", name=name, line=line_of(root)),
        fix=message("Choose a file whose root element is tbx (ISO 30042:2019) or martif (TBX 2008)."),
    )


def _spaces(root: etree._Element, reading: Iterable[tuple[str, etree._Element]]) -> Sequence[str]:
    """Return the namespaces of our module that a file declares.

    If the file claims our dialect but does not declare one on the root, they are taken from the first element
    that does: some XML tools declare namespaces only where they are used.
    """

    def of_ours(element: etree._Element) -> Sequence[str]:
        uris = (uri for uri in element.nsmap.values() if uri)
        return [uri for uri in uris if uri.startswith(MODULE_NAMESPACE.rstrip("0123456789"))]

    if (found := of_ours(root)) or root.tag != f"{_C}tbx" or root.get("type") != OWN_DIALECT:
        return found
    for _, element in reading:
        if found := of_ours(element):
            return found
        before = element.getprevious()
        if before is not None:  # so that memory stays flat
            _empty(before)
    return ()


def _check_claim(root: etree._Element, name: str, says: Mapping[str, str], declared: Sequence[str]) -> None:
    """Raise an error if a file claims our dialect but is not in it, since half of it would be misread.

    A file that only has the name, in a style that ours never uses, is read as a file of another system.
    """
    if says["type"] != OWN_DIALECT:
        return
    known = not declared or not {FIRST_NAMESPACE, MODULE_NAMESPACE}.isdisjoint(declared)
    field = "style" if declared and known else "xmlns"
    line = message("%(name)s, line %(line)s", name=name, line=line_of(root))
    where = joined((line, "tbx", field), ", ")
    if not known:
        raise BadInput(
            message(
                "This version of TBX-Wordhold is unknown here: %(space)s.",
                space=declared[0][:MOST_SHOWN],
            ),
            where=where,
            fix=message("Open it with the version that wrote it, or a newer one."),
        )
    if declared and says["style"] != "dct":
        raise BadInput(
            message(
                "TBX-Wordhold is always in DCT style, but this file says “%(style)s”.", style=says["style"]
            ),
            where=where,
            fix=message('Set style="dct" there. %(mend)s', mend=HOW_TO_FIX),
        )
    if not declared and says["style"] == "dct":
        raise BadInput(
            message(
                "It says it is TBX-Wordhold but does not declare the module of that dialect, %(space)s.",
                space=MODULE_NAMESPACE,
            ),
            where=where,
            fix=message('State its dialect there, for example type="TBX-Basic". %(mend)s', mend=HOW_TO_FIX),
        )


def _declares_something(doctype: object) -> bool:
    if not isinstance(doctype, _Declarations):
        return False
    return bool(next(doctype.iterentities(), None) or next(doctype.iterelements(), None))


def _let_go(element: etree._Element, frame: Frame | None) -> Fault | None:
    """Drop a finished piece and those before it in the tree; return the error for anything else there."""
    _empty(element)
    parent = element.getparent()
    while parent is not None and (before := element.getprevious()) is not None:
        if before.tag != element.tag:
            return fault(message("It is not allowed here."), before)
        if frame is not None and before.tail and not before.tail.isspace():
            frame.stray(parent, None, before.tail)
        parent.remove(before)
    return None


def _empty(element: etree._Element) -> None:
    """Clear an element; the text after it stays."""
    element.clear(keep_tail=True)  # type: ignore[call-arg]  # the stubs are of an older lxml


def _check_around(place: etree._Element, allowed: frozenset[str], frame: Frame | None) -> Fault | None:
    """Check an element around the pieces, which still contains the last piece.

    Return the error for a child of a body or section that is not a piece. Report to `frame` anything else
    that is not allowed there.
    """
    if frame is not None:
        frame.frame(place)
    held = local_name(place) in ("body", "refObjectSec", "refObjectList")
    loose = [place.text or ""]
    for child in place:
        loose.append(child.tail or "")
        known = isinstance(child.tag, str) and local_name(child) in allowed
        if not known and held:
            return fault(message("It is not allowed here."), child)
        if not known and frame is not None:
            frame.stray(place, child, "")
    text = " ".join(" ".join(loose).split())
    if text and frame is not None:
        frame.stray(place, None, text)
    if held:
        place.clear()
    return None


class _Found(Exception):
    def __init__(self, line: int) -> None:
        self.line = line


def _declaration_line(path: Path) -> int | None:
    """Return the line of the first declaration in a file (of an entity, element, attributes or notation).

    None if there are no declarations, or expat cannot read the file.

    Nothing is expanded: reading stops at the first declaration, or at the root.
    """
    parser = expat.ParserCreate()

    def declared(*_: object) -> None:
        raise _Found(parser.CurrentLineNumber)

    def root(*_: object) -> None:
        raise _Found(0)

    parser.EntityDeclHandler = parser.ElementDeclHandler = declared
    parser.AttlistDeclHandler = parser.NotationDeclHandler = declared
    parser.StartElementHandler = root
    try:
        with path.open("rb") as file:
            parser.ParseFile(file)
    except _Found as found:
        return found.line or None
    except (expat.ExpatError, LookupError, ValueError):
        return None
    return None
