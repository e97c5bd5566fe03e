"""Checks a TBX file before it is given out.

The file is read piece by piece in flat memory: it must be well-formed, every piece must match the grammar,
ids must be unique, and every target must be an id in the file or an outside address. Nothing is fetched and
no entity is expanded.
"""

from pathlib import Path
from typing import BinaryIO, cast

from lxml import etree

from exports.tbx.categories import CORE
from exports.tbx.faults import MOST_LINES, line_of
from exports.tbx.grammar import Which, grammar
from exports.tbx.nameset import NameSet, Targets
from exports.tbx.older import KnownNames, is_older, upgrade
from termbase.errors import WordholdError
from termbase.messages import joined, message
from termbase.store.bulk import collector_at_rest

__all__ = ["NotValid", "check_file"]

_C = f"{{{CORE}}}"
_PIECES = ("tbxHeader", "conceptEntry", "refObject")
_IDS = etree.XPath("descendant-or-self::*/@id", smart_strings=False)
_TARGETS = etree.XPath("descendant::*/@target", smart_strings=False)


class NotValid(WordholdError):
    """A file that breaks the standard."""


def check_file(path: Path, which: Which, *, older: bool = False) -> None:
    """Check a whole file of TBX-Basic in either style or of TBX-Wordhold.

    Args:
        older: it is known to be of the first version of TBX-Wordhold; otherwise the declarations in its
            header decide.

    Raises:
        NotValid: it breaks the standard; `where` gives line and element of the first fault.
    """
    ids, targets = NameSet(), Targets()
    with path.open("rb") as file, collector_at_rest():
        try:
            _check_elements(file, which, ids, targets, older=older)
        except etree.XMLSyntaxError as error:
            raise _fault(
                message("It is not well-formed: %(error)s", error=error.msg), error.lineno
            ) from error
    for name in targets.without(ids):
        raise _fault(message("The target %(name)r is not in this file.", name=name))


def _check_elements(file: BinaryIO, which: Which, ids: NameSet, targets: Targets, *, older: bool) -> None:
    rules = grammar(which)
    wanted = [_C + name for name in (*_PIECES, "refObjectSec", "body", "back", "text", "tbx")]
    # resolve_entities=False and no_network: nothing outside the file is ever read.
    reading = etree.iterparse(
        file, events=("end",), tag=wanted, resolve_entities=False, no_network=True, huge_tree=True,
        remove_comments=True, remove_pis=True,
    )  # fmt: skip
    valid = rules.validate
    for _, element in reading:
        name = element.tag.rpartition("}")[2]
        if name in _PIECES:
            if name == "tbxHeader" and which == "wordhold":
                older = older or is_older(element)
            if older:
                upgrade(element, KnownNames())
            if not valid(element):
                raise _broken(element, rules)
            _take_names(element, ids, targets)
            _let_go(element, rest=name != "tbxHeader")
        else:
            _check_frame(element, name, which)


def _broken(element: etree._Element, rules: etree.RelaxNG) -> NotValid:
    entry = rules.error_log.last_error
    if entry is None:
        return _fault(message("It does not follow the grammar."), line_of(element), element)
    line = entry.line if entry.line < MOST_LINES else line_of(element)
    return _fault(entry.message, line, element)


def _take_names(element: etree._Element, ids: NameSet, targets: Targets) -> None:
    twice = ids.add_all(cast("list[str]", _IDS(element)))
    if twice is not None:
        raise _fault(message("The id %(twice)r is used twice.", twice=twice), line_of(element), element)
    targets.add_all(cast("list[str]", _TARGETS(element)))


def _let_go(element: etree._Element, *, rest: bool) -> None:
    """Drop a finished piece and the pieces before it in the tree."""
    element.clear()
    parent = element.getparent()
    while rest and parent is not None and (before := element.getprevious()) is not None:
        if before.tag != element.tag:
            raise _fault(message("It is not allowed here."), line_of(before), before)
        parent.remove(before)


def _check_frame(element: etree._Element, name: str, which: Which) -> None:
    """Check the elements around the pieces: their children and the order of these; only the last piece is
    left."""
    found = [etree.QName(child).localname for child in element]
    if name == "tbx":
        declared = ("TBX-Wordhold", "dct") if which == "wordhold" else ("TBX-Basic", which)
        kept = (element.get("type"), element.get("style")) == declared
        if not kept or not element.get("{http://www.w3.org/XML/1998/namespace}lang"):
            what = message("Dialect, style or language is declared wrongly.")
            raise _fault(what, line_of(element), element)
        good = found == ["tbxHeader", "text"]
    elif name == "text":
        good = found in ([], ["body"], ["back"], ["body", "back"])
    elif name == "back":
        good = all(child == "refObjectSec" for child in found)
    else:
        wanted = {"body": "conceptEntry", "refObjectSec": "refObject"}[name]
        good = bool(found) and all(child == wanted for child in found)
    if not good or (name == "refObjectSec" and not element.get("type")):
        raise _fault(
            message("It contains %(found)s.", found=", ".join(found) or message("nothing")),
            line_of(element),
            element,
        )


def _line(element: etree._Element) -> int | None:
    return cast("int | None", element.sourceline)


def _fault(what: str, line: int | None = None, element: etree._Element | None = None) -> NotValid:
    places: list[str] = [message("line %(line)s", line=line)] if line else []
    if element is not None:
        name = etree.QName(element).localname
        places.append(f"{name} {element.get('id')}" if element.get("id") else name)
    fix = message(
        "Nothing was written. Correct the record there; if it looks right, this is a bug in the program."
    )
    return NotValid(what, where=joined(places, ", "), fix=fix)
