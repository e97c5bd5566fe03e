"""The grammar that every export is checked against, generated from the table of data categories.

RELAX NG, in our own words after ISO 30042:2019: the core structure as far as exports use it (no inline
markup), and each data category with its levels, picklist and target. It validates the pieces of a file one by
one, so memory stays flat for a file of any size.
"""

from functools import lru_cache
from pathlib import Path
from typing import Literal

from lxml import etree

from exports.tbx.categories import CATEGORIES, CORE, NAMESPACES, Category, Level
from exports.tbx.tags import OWN

__all__ = ["MODULE_GRAMMAR", "Which", "grammar"]

Which = Literal["dca", "dct", "wordhold"]
"""TBX-Basic in one of its styles, or TBX-Wordhold."""
MODULE_GRAMMAR = Path(__file__).parent / "schemas" / "Wordhold.rng"
"""The grammar of the private module of TBX-Wordhold."""

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
    parts.append(_define("termNote", _choice(_standing("termNote", Level.TERM, which))))
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
    found = []
    for define in module.iterfind(f"{{{_RNG}}}define"):
        define.set("ns", space)
        found.append(etree.tostring(define, encoding="unicode", with_tail=False))
    return found


def _level(level: Level, which: Which) -> str:
    """Return what is allowed at a level besides sections and terms: categories, alone or in groups, and
    notes."""
    admin, descrip = _standing("admin", level, which), _standing("descrip", level, which)
    more = ['<ref name="note"/>', *_standing("ref", level, which), *_standing("xref", level, which)]
    groups = [
        _group("adminGrp", admin, more),
        _group("descripGrp", descrip, [*more, *admin, *_private("descripNote", level, which)]),
        _group(
            "transacGrp",
            _standing("transac", level, which),
            ['<ref name="note"/>', '<ref name="date"/>', *_standing("transacNote", level, which)],
        ),
    ]
    return _define(f"aux.{level}", _choice([*more, *admin, *descrip, *groups]))


def _standing(element: str, level: Level, which: Which) -> list[str]:
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
    """Return the pattern of categories in DCA style: their core element once, so that its name alone selects
    the rule.

    Several rules for one name made checking five times slower.
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
