"""Checks the ids and pointers of a file: every id is unique, every pointer has a target in the file."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final, cast

from lxml import etree

from exports.tbx.categories import CORE, MODULE_NAMESPACE, NAMESPACES
from exports.tbx.faults import MOST_SHOWN, PIECES, Fault, fault, located, naming_file
from exports.tbx.nameset import NameSet, Targets
from exports.tbx.opening import Frame, Head, pieces
from termbase.messages import message

__all__ = ["check_pointers", "checked_pieces"]

_IDS = etree.XPath("descendant-or-self::*/@id", smart_strings=False)
_TARGETS = etree.XPath("descendant::*/@target", smart_strings=False)
_IMAGES = etree.XPath("descendant::w:slip/@image", namespaces={"w": MODULE_NAMESPACE}, smart_strings=False)
_INSIDE = etree.XPath(
    "descendant::*[not(self::c:xref or self::xref or self::m:externalCrossReference or self::b:xGraphic"
    " or self::languages)]/@target",
    namespaces={"c": CORE, "m": NAMESPACES["min"], "b": NAMESPACES["basic"]},
    smart_strings=False,
)
_NO_ID: Final = re.compile(
    r"[\s/:?#&%@()<>,;|\\]|\.(?:png|jpe?g|gif|svg|tiff?|bmp|pdf|html?|mp[34]|wav|ogg)$", re.IGNORECASE
)
"""A pointer with one of these may be an address or a file name, never an id."""
_LONGEST: Final = 2000  # characters of an id or a pointer


def checked_pieces(
    path: Path,
    head: Head,
    ids: NameSet,
    loose: dict[str, None] | None = None,
    frame: Frame | None = None,
) -> Iterator[etree._Element]:
    """Yield the pieces once, checking every id and pointer of the file; all ids are added to `ids`.

    Args:
        frame: receives what is around the pieces.
        loose: receives the pointers without a target in the file; without it they are an error, unless they
            cannot be meant as an id.

    Raises:
        BadInput: an id is used twice, or a pointer leads to nothing in the file.
    """
    targets = Targets()
    number = 0
    with naming_file(path, head.name):
        for number, element in enumerate(pieces(path, head, frame), 1):
            names, pointed = cast("list[str]", _IDS(element)), cast("list[str]", _TARGETS(element))
            twice = ids.add_all(names)
            if twice:
                what = message("The id “%(name)s” is used twice.", name=twice[:MOST_SHOWN])
                raise located(fault(what, _with(element, "id", twice), "id"), path, PIECES, number)
            targets.add_all(pointed)
            if len(max(*names, *pointed, "", "", key=len)) > _LONGEST:
                raise located(_too_long(element), path, PIECES, number)
            yield element
        check_pointers(targets, path, head, ids, loose)


def check_pointers(
    targets: Targets, path: Path, head: Head, ids: NameSet, loose: dict[str, None] | None = None
) -> None:
    """Check that all these targets are ids of the file; see `checked_pieces`.

    Raises:
        BadInput: one is not, and is not to be kept either.
    """
    missing = {found for found in targets.without(ids) if head.is_own or not _NO_ID.search(found)}
    if not missing:
        return
    with naming_file(path, head.name):
        for found, error, number in _pointers_to(missing, path, head):
            if loose is None:
                raise located(error, path, PIECES, number)
            loose[found] = None


def _pointers_to(missing: set[str], path: Path, head: Head) -> Iterator[tuple[str, Fault, int]]:
    """Yield the pointers to missing targets in file order: target, what is wrong, number of the piece.

    Anything that may point out of the file (a picture, an address) is skipped.
    """
    for number, element in enumerate(pieces(path, head), 1):
        inside, images = cast("list[str]", _INSIDE(element)), cast("list[str]", _IMAGES(element))
        for found in (*inside, *images):
            if (target := found.removeprefix("#")) in missing:
                attribute = "target" if found in inside else "image"
                yield target, _nowhere(target, _with(element, attribute, found), attribute, head), number


def _nowhere(target: str, holder: etree._Element, attribute: str, head: Head) -> Fault:
    what = message("It points to “%(name)s”, which is not in this file.", name=target[:MOST_SHOWN])
    way_out = message(
        "To import the file anyway and keep such pointers as notes, use --keep-loose-targets "
        "or tick the box in the browser."
    )
    return fault(what, holder, attribute, fix="" if head.is_own else way_out)


def _too_long(element: etree._Element) -> Fault:
    for found in element.iter("*"):
        for attribute in ("id", "target"):
            if len(found.get(attribute) or "") > _LONGEST:
                what = message("It is longer than %(most)s characters.", most=_LONGEST)
                return fault(what, found, attribute)
    raise LookupError(element)


def _with(element: etree._Element, attribute: str, value: str) -> etree._Element:
    return next((e for e in element.iter("*") if e.get(attribute) == value), element)
