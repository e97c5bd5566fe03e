"""Checks TBX files: exports before they are handed out, and the ids and pointers of imported files.

A file is read piece by piece, so memory stays flat: it must be well-formed, every piece of an export must
match the grammar, ids must be unique, and every target must be an id in the file or an outside address.
Nothing is fetched and no entity is expanded.

`grammar` is RELAX NG in our own words after ISO 30042:2019, generated from the table of data categories: the
core structure as far as exports use it (no inline markup), and each data category with its levels, picklist
and target.
"""

import re
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import BinaryIO, Final, Literal, cast

from lxml import etree

from exports.tbx.categories import CATEGORIES, CORE, MODULE_NAMESPACE, NAMESPACES, Category, Level
from exports.tbx.faults import MOST_LINES, MOST_SHOWN, PIECES, Fault, fault, line_of, located, naming_file
from exports.tbx.opening import Frame, Head, pieces
from exports.tbx.tags import OWN
from exports.tbx.version1 import KnownNames, is_older, upgrade
from exports.tbx.xmltext import NameSet, Targets
from termbase.errors import WordholdError
from termbase.messages import joined, message
from termbase.store.bulk import collector_at_rest

__all__ = ["MODULE_GRAMMAR", "NotValid", "Which", "check_file", "check_pointers", "checked_pieces", "grammar"]

Which = Literal["dca", "dct", "wordhold"]
"""TBX-Basic in one of its styles, or TBX-Wordhold."""
MODULE_GRAMMAR = Path(__file__).parent / "schemas" / "Wordhold.rng"
"""The grammar of the private module of TBX-Wordhold."""

_C = f"{{{CORE}}}"
_PIECES = ("tbxHeader", "conceptEntry", "refObject")
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
_RNG = "http://relaxng.org/ns/structure/1.0"
_TYPES = "http://www.w3.org/2001/XMLSchema-datatypes"
_ID = '<optional><attribute name="id"><data type="NCName"/></attribute></optional>'
_LANGUAGE = '<attribute name="xml:lang"><data type="language"/></attribute>'
_MAY_LANGUAGE = f"<optional>{_LANGUAGE}</optional>"
_INTERNAL = '<attribute name="target"><data type="NCName"/></attribute>'
_EXTERNAL = '<attribute name="target"><data type="anyURI"><param name="pattern">https?://.+</param></data></attribute>'
_HEADER = f"""
<define name="p"><element name="p">{_MAY_LANGUAGE}
  <optional><attribute name="type"><data type="NMTOKEN"/></attribute></optional><text/>
</element></define>
<define name="tbxHeader"><element name="tbxHeader">
  <element name="fileDesc">
    <optional><element name="publicationStmt"><oneOrMore><ref name="p"/></oneOrMore></element></optional>
    <optional><element name="titleStmt">
      <element name="title"><text/></element><zeroOrMore><ref name="note"/></zeroOrMore>
    </element></optional>
    <element name="sourceDesc"><oneOrMore><ref name="p"/></oneOrMore></element>
  </element>
  <optional><element name="encodingDesc"><oneOrMore><ref name="p"/></oneOrMore></element></optional>
</element></define>
<define name="refObject"><element name="refObject">{_ID}
  <oneOrMore><element name="item">
    <optional><attribute name="type"><data type="NMTOKEN"/></attribute></optional><text/>
  </element></oneOrMore>
</element></define>
<define name="note"><element name="note">{_ID}{_MAY_LANGUAGE}<text/></element></define>
<define name="date"><element name="date"><data type="date"/></element></define>
<define name="term"><element name="term">{_ID}<text/></element></define>
"""
_ENTRY = f"""
<define name="conceptEntry"><element name="conceptEntry">
  <attribute name="id"><data type="NCName"/></attribute>
  <zeroOrMore><ref name="aux.conceptEntry"/></zeroOrMore><oneOrMore><ref name="langSec"/></oneOrMore>
</element></define>
<define name="langSec"><element name="langSec">{_LANGUAGE}
  <zeroOrMore><ref name="aux.langSec"/></zeroOrMore><oneOrMore><ref name="termSec"/></oneOrMore>
</element></define>
<define name="termSec"><element name="termSec">{_ID}
  <ref name="term"/>
  <zeroOrMore><ref name="termNote"/></zeroOrMore><zeroOrMore><ref name="aux.termSec"/></zeroOrMore>
</element></define>
"""


@lru_cache(maxsize=4)
def grammar(which: Which) -> etree.RelaxNG:
    """Return the grammar for the pieces of a file: header, concept entry, back-matter object.

    The TBX-Wordhold grammar takes the private module from the grammar that ships with the program.
    """
    parts = [_HEADER, _ENTRY, *(_level(level, which) for level in Level)]
    parts.append(_define("termNote", _choice(_patterns_of("termNote", Level.TERM, which))))
    if which == "wordhold":
        parts += _private_defines()
    start = "".join(f'<ref name="{name}"/>' for name in ("tbxHeader", "conceptEntry", "refObject"))
    spaces = "".join(f' xmlns:{module}="{uri}"' for module, uri in NAMESPACES.items())
    text = (
        f'<grammar xmlns="{_RNG}" ns="{CORE}" datatypeLibrary="{_TYPES}"{spaces}>'
        f"<start><choice>{start}</choice></start>{''.join(parts)}</grammar>"
    )
    return etree.RelaxNG(etree.fromstring(text))


def _private_defines() -> list[str]:
    module = etree.parse(str(MODULE_GRAMMAR)).getroot()
    space = module.get("ns") or ""
    defines = []
    for define in module.iterfind(f"{{{_RNG}}}define"):
        define.set("ns", space)
        defines.append(etree.tostring(define, encoding="unicode", with_tail=False))
    return defines


def _level(level: Level, which: Which) -> str:
    """Return what a level allows besides sections and terms: notes, and categories alone or in groups."""
    admin, descrip = _patterns_of("admin", level, which), _patterns_of("descrip", level, which)
    more = ['<ref name="note"/>', *_patterns_of("ref", level, which), *_patterns_of("xref", level, which)]
    groups = [
        _group("adminGrp", admin, more),
        _group("descripGrp", descrip, [*more, *admin, *_private("descripNote", level, which)]),
        _group(
            "transacGrp",
            _patterns_of("transac", level, which),
            ['<ref name="note"/>', '<ref name="date"/>', *_patterns_of("transacNote", level, which)],
        ),
    ]
    return _define(f"aux.{level}", _choice([*more, *admin, *descrip, *groups]))


def _patterns_of(element: str, level: Level, which: Which) -> list[str]:
    """Return the categories of a core element at a level, published and private, as they are written."""
    style: Literal["dca", "dct"] = "dca" if which == "dca" else "dct"
    return [*_written(_of(element, level), style), *_private(element, level, which)]


def _private(element: str, level: Level, which: Which) -> list[str]:
    if which != "wordhold":
        return []
    return [
        f'<ref name="wordhold.{c.name}"/>' for c in OWN.values() if c.element == element and level in c.levels
    ]


def _of(element: str, level: Level) -> list[Category]:
    return [c for c in CATEGORIES.values() if c.element == element and level in c.levels]


def _written(categories: list[Category], style: str) -> list[str]:
    if style == "dct":
        return [_tag(c) for c in categories]
    return [_element(categories)] if categories else []


def _element(categories: list[Category]) -> str:
    """Return the pattern of categories in DCA style, with their core element once.

    Its name alone then selects the rule; several rules for one name made checking five times slower.
    """
    name = categories[0].element
    language = "" if name == "xref" else _MAY_LANGUAGE
    return f'<element name="{name}">{_ID}{language}{_choice([_typed(c) for c in categories])}</element>'


def _typed(category: Category) -> str:
    target = _target(category, category.target == "external")
    kind = f'<attribute name="type"><value>{category.name}</value></attribute>'
    return f"<group>{kind}{target}{_content(category)}</group>"


def _tag(category: Category) -> str:
    """Return the pattern of a category in DCT style: an element in the namespace of its module."""
    target = _target(category, category.name != "responsibility") if category.tag_target else ""
    return f'<element name="{category.module}:{category.name}">{target}{_content(category)}</element>'


def _target(category: Category, required: bool) -> str:
    if not category.target:
        return ""
    attribute = _EXTERNAL if category.target == "external" else _INTERNAL
    return attribute if required else f"<optional>{attribute}</optional>"


def _content(category: Category) -> str:
    if not category.values:
        return "<text/>"
    return _choice([f"<value>{value}</value>" for value in category.values])


def _group(name: str, first: list[str], more: list[str]) -> str:
    if not first:
        return "<notAllowed/>"
    return f'<element name="{name}">{_ID}{_choice(first)}<zeroOrMore>{_choice(more)}</zeroOrMore></element>'


def _choice(parts: list[str]) -> str:
    return f"<choice>{''.join(parts)}</choice>"


def _define(name: str, content: str) -> str:
    return f'<define name="{name}">{content}</define>'


class NotValid(WordholdError):
    """A file that breaks the standard."""


def check_file(path: Path, which: Which, *, older: bool = False) -> None:
    """Check a whole file of TBX-Basic in either style or of TBX-Wordhold.

    Args:
        older: whether it is known to be of the first version of TBX-Wordhold; if not, the declarations in its
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
    """Check the elements around the pieces: their children in order; only the last piece is still there."""
    children = [etree.QName(child).localname for child in element]
    if name == "tbx":
        declared = ("TBX-Wordhold", "dct") if which == "wordhold" else ("TBX-Basic", which)
        kept = (element.get("type"), element.get("style")) == declared
        if not kept or not element.get("{http://www.w3.org/XML/1998/namespace}lang"):
            what = message("Dialect, style or language is declared wrongly.")
            raise _fault(what, line_of(element), element)
        good = children == ["tbxHeader", "text"]
    elif name == "text":
        good = children in ([], ["body"], ["back"], ["body", "back"])
    elif name == "back":
        good = all(child == "refObjectSec" for child in children)
    else:
        wanted = {"body": "conceptEntry", "refObjectSec": "refObject"}[name]
        good = bool(children) and all(child == wanted for child in children)
    if not good or (name == "refObjectSec" and not element.get("type")):
        raise _fault(
            message("It contains %(found)s.", found=", ".join(children) or message("nothing")),
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
        BadInput: one is not, and `loose` is None.
    """
    missing = {target for target in targets.without(ids) if head.is_own or not _NO_ID.search(target)}
    if not missing:
        return
    with naming_file(path, head.name):
        for target, error, number in _pointers_to(missing, path, head):
            if loose is None:
                raise located(error, path, PIECES, number)
            loose[target] = None


def _pointers_to(missing: set[str], path: Path, head: Head) -> Iterator[tuple[str, Fault, int]]:
    """Yield the pointers to missing targets in file order: target, what is wrong, number of the piece.

    Anything that may point out of the file (a picture, an address) is skipped.
    """
    for number, element in enumerate(pieces(path, head), 1):
        inside, images = cast("list[str]", _INSIDE(element)), cast("list[str]", _IMAGES(element))
        for pointer in (*inside, *images):
            if (target := pointer.removeprefix("#")) in missing:
                attribute = "target" if pointer in inside else "image"
                yield target, _nowhere(target, _with(element, attribute, pointer), attribute, head), number


def _nowhere(target: str, holder: etree._Element, attribute: str, head: Head) -> Fault:
    what = message("It points to “%(name)s”, which is not in this file.", name=target[:MOST_SHOWN])
    way_out = message(
        "To import the file anyway and keep such pointers as notes, use --keep-loose-targets "
        "or tick the box in the browser."
    )
    return fault(what, holder, attribute, fix="" if head.is_own else way_out)


def _too_long(element: etree._Element) -> Fault:
    for descendant in element.iter("*"):
        for attribute in ("id", "target"):
            if len(descendant.get(attribute) or "") > _LONGEST:
                what = message("It is longer than %(most)s characters.", most=_LONGEST)
                return fault(what, descendant, attribute)
    raise LookupError(element)


def _with(element: etree._Element, attribute: str, value: str) -> etree._Element:
    return next((e for e in element.iter("*") if e.get(attribute) == value), element)
