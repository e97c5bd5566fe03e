"""Checks a file against the standard, piece by piece: core structure, style, data categories of its dialect.

Data categories are checked against the table of TBX-Basic (`exports.tbx.categories`): level, picklist,
target. TBX-Min is its part in the module Min. For other dialects only the core structure and the style are
checked. `exports.tbx.validating` checks that ids are unique and that pointers have a target.
"""

import re
from collections.abc import Callable, Mapping
from typing import Final, cast

from lxml import etree

from exports.tbx.categories import CATEGORIES, CORE, NAMESPACES, Category, Level
from exports.tbx.elements import LANG, whole_text
from exports.tbx.faults import MOST_SHOWN, line_of
from exports.tbx.opening import Head
from exports.tbx.standard.breaches import Breach, Breaches
from exports.tbx.standard.core import (
    BACK,
    CORE_ELEMENTS,
    META,
    Element,
    Slot,
    is_date,
    is_id,
    is_language,
)
from termbase.messages import message

__all__ = ["StandardCheck"]

_C: Final = f"{{{CORE}}}"
_LEVELS: Final = {level.value: level for level in Level}
_MODULES: Final = {uri: module for module, uri in NAMESPACES.items()}
_DIALECTS: Final[Mapping[str, frozenset[str]]] = {
    "TBX-Min": frozenset({"min"}),
    "TBX-Basic": frozenset({"min", "basic"}),
}
"""The modules of each dialect with known categories."""
_WEB: Final = re.compile(r"https?://.+")
_MOST_KEPT: Final = 5_000
_WITHOUT_TEXT: Final = frozenset(
    _C + name for name, rules in CORE_ELEMENTS.items() if rules.slots is not None
)
_SHOWN_NAME: Final = {LANG: "xml:lang"}
_Node = etree._Element


class StandardCheck:
    """Checks one file; results go into `breaches`.

    Args:
        head: what the root element of the file says.
    """

    def __init__(self, head: Head) -> None:
        self.head = head
        self.breaches = Breaches()
        self._dct = head.style == "dct"
        self._good: set[tuple[str, ...]] = set()
        self._modules = _DIALECTS.get(head.dialect, frozenset())
        if head.legacy:
            self.breaches.unchecked = message(
                "It was not checked against the standard: ISO 30042:2019 does not cover files "
                "from before 2019."
            )

    def piece(self, piece: _Node) -> None:
        """Check a header, a concept entry or a back-matter object, with everything in it."""
        if self.head.legacy:
            return
        self._place(piece)
        self._within(piece)

    def frame(self, element: _Node) -> None:
        """Check an element around the pieces, at its end, but not its text; the last of its pieces is
        still in it."""
        if not self.head.legacy:
            self._element(element, "", "", [str(child.tag) for child in element])

    def text(self, parent: _Node, text: str) -> None:
        """Record text in an element around the pieces, which must not have any."""
        if not self.head.legacy:
            self._own_text(parent, text)

    # ---- the core structure

    def _place(self, piece: _Node) -> None:
        parent = piece.getparent()
        wanted = {"conceptEntry": "body", "refObject": "refObjectSec", "tbxHeader": "tbx"}
        if parent is not None and wanted.get(_name(piece)) != _name(parent):
            self._not_here(piece, parent)

    def _within(self, piece: _Node) -> None:
        """Check an element and everything in it, in file order."""
        ahead: list[tuple[_Node, str, str]] = [
            (piece, "", "")
        ]  # not by recursion: a file may be deeply nested
        while ahead:
            element, parent, above = ahead.pop()
            tag = element.tag
            if not isinstance(tag, str):
                continue
            children = list(element)
            self._element(element, parent, above, [str(child.tag) for child in children])
            if tag in _WITHOUT_TEXT:
                between = [element.text, *[child.tail for child in children]]
                if any(text and not text.isspace() for text in between):
                    self._own_text(element, "".join(filter(None, between)))
            ahead += [(child, tag, parent) for child in reversed(children)]

    def _element(self, element: _Node, parent: str, above: str, children: list[str]) -> None:
        """Check one element. A structure that was already found valid is not checked again."""
        attributes: dict[str, str] = dict(element.attrib)  # type: ignore[arg-type]  # all of it is text
        kind = (element.tag, parent, above, attributes.get("type", ""), *attributes, "", *children)
        if kind not in self._good:
            before = self.breaches.number
            self._built(element)
            if self.breaches.number == before and len(self._good) < _MOST_KEPT:
                self._good.add(kind)
        for name, value in attributes.items():
            if (name == "id" and not is_id(value)) or (name == LANG and not is_language(value)):
                self._bad_value(element, name, value)
        name = element.tag.rpartition("}")[2]
        if name == "date" and not is_date(element.text or ""):
            what = message("“%(value)s” is not a date.", value=_short(element.text or ""))
            self._add(element, what, self._core)
        category = CATEGORIES.get(attributes.get("type", "") if name in META else name)
        if category is not None and category.module in self._modules:
            self._of_value(element, category)

    def _built(self, element: _Node) -> None:
        """Check an element's name, place, attributes and children, but no values."""
        tag = element.tag
        if not tag.startswith(_C):
            self._module_tag(element, tag)
            return
        name = tag[len(_C) :]
        rules = CORE_ELEMENTS.get(name)
        if rules is None:
            self._add(element, message("The standard has no element %(name)s.", name=name), self._core)
            return
        self._attributes(element, rules)
        if rules.slots is None:
            for child in element:
                if isinstance(child.tag, str) and _name(child) not in rules.inline:
                    self._not_here(child, element)
        else:
            self._children(element, rules.slots)
        if name in META:
            self._category(element, name)
        if name == "tbx":
            self._root(element)

    def _attributes(self, element: _Node, rules: Element) -> None:
        for name in sorted(name for name in rules.needed if element.get(name) is None):
            what = message("The attribute %(name)s is missing.", name=_SHOWN_NAME.get(name, name))
            self._add(element, what, self._core)
        for name, value in cast("Mapping[str, str]", element.attrib).items():
            if name not in rules.allowed:
                what = message(
                    "%(element)s has no attribute %(name)s.",
                    element=_name(element),
                    name=_SHOWN_NAME.get(name, name),
                )
                self._add(element, what, self._core)
            elif (name in rules.values and value not in rules.values[name]) or (name == "type" and not value):
                self._bad_value(element, name, value)

    def _bad_value(self, element: _Node, name: str, value: str) -> None:
        what = message(
            "“%(value)s” is not a value of the attribute %(name)s.",
            value=_short(value),
            name=_SHOWN_NAME.get(name, name),
        )
        self._add(element, what, self._core)

    def _children(self, element: _Node, slots: tuple[Slot, ...]) -> None:
        counts, place = [0] * len(slots), 0
        for child in element:
            if not isinstance(child.tag, str):
                continue
            takes = _taking(child)
            at = next((n for n in range(place, len(slots)) if takes(slots[n])), None)
            if at is None:
                at = next((n for n in range(place) if takes(slots[n])), None)
                if at is None:
                    self._not_here(child, element)
                    continue
                what = message(
                    "%(element)s comes too late in %(parent)s: it must come before %(next)s.",
                    element=_name(child),
                    parent=_name(element),
                    next=", ".join(sorted(slots[place].names)),
                )
                self._add(child, what, self._core)
            place = max(place, at)
            counts[at] += 1
            if counts[at] == 2 and not slots[at].many:
                what = message(
                    "%(element)s occurs twice in %(parent)s.", element=_name(child), parent=_name(element)
                )
                self._add(child, what, self._core)
        for slot, count in zip(slots, counts, strict=True):
            if count < slot.least:
                what = message(
                    "%(parent)s must contain %(element)s.",
                    parent=_name(element),
                    element=" / ".join(sorted(slot.names)),
                )
                self._add(element, what, self._core)

    def _own_text(self, element: _Node, text: str) -> None:
        what = message(
            "%(parent)s must not contain text of its own: “%(text)s”.",
            parent=_name(element),
            text=_short(" ".join(text.split())),
        )
        self._add(element, what, self._core)

    def _root(self, element: _Node) -> None:
        for name, good in (
            ("type", re.fullmatch("TBX-.+", element.get("type") or "TBX-")),
            ("style", (element.get("style") or "dca") in ("dca", "dct")),
        ):
            if element.get(name) and not good:
                self._bad_value(element, name, element.get(name) or "")

    # ---- styles and data categories

    def _category(self, element: _Node, name: str) -> None:
        """Check a core element whose type is a data category."""
        if self._dct:
            around = {_name(a) for a in element.iterancestors()}
            if around.isdisjoint(BACK):
                what = message(
                    "%(element)s is not allowed in an entry of a file in DCT style.",
                    element=name,
                )
                self._add(element, what, self._style)
            return
        kind = element.get("type") or ""
        if not self._modules or not kind:
            return
        category = CATEGORIES.get(kind)
        if category is None or category.module not in self._modules or category.element != name:
            what = message(
                "“%(category)s” is not a data category of %(element)s in %(dialect)s.",
                category=_short(kind),
                element=name,
                dialect=self.head.dialect,
            )
            self._add(element, what, self._of_dialect)
            return
        self._of_category(element, category)

    def _module_tag(self, element: _Node, tag: str) -> None:
        """Check an element of a module."""
        name = _name(element)
        if self.head.style == "dca":
            what = message(
                "%(element)s is a module tag, which is not allowed in a file in DCA style.", element=name
            )
            self._add(element, what, self._style)
            return
        if not self._modules:
            return
        module = _MODULES.get(tag.partition("}")[0].removeprefix("{"))
        category = CATEGORIES.get(name)
        if category is None or category.module != module or module not in self._modules:
            what = message(
                "“%(category)s” is not a data category of %(dialect)s.",
                category=_short(name),
                dialect=self.head.dialect,
            )
            self._add(element, what, self._of_dialect)
            return
        for attribute in cast("Mapping[str, str]", element.attrib):
            if attribute != "target" or not category.tag_target:
                what = message(
                    "%(element)s has no attribute %(name)s.",
                    element=name,
                    name=_SHOWN_NAME.get(attribute, attribute),
                )
                self._add(element, what, self._of_dialect)
        self._of_category(element, category)

    def _of_category(self, element: _Node, category: Category) -> None:
        level, grouped = _level(element)
        if level is None or level not in category.levels:
            what = message(
                "%(category)s is not allowed at the level %(level)s, only at %(levels)s.",
                category=category.name,
                level=level.value if level else _name(cast("_Node", element.getparent())),
                levels=", ".join(category.levels),
            )
            self._add(element, what, self._of_dialect)
        elif grouped and category.element == "xref":
            what = message("%(category)s is not allowed in a group.", category=category.name)
            self._add(element, what, self._of_dialect)
        elif category.name == "crossReference" and self._dct and not element.get("target"):
            self._add(element, message("The attribute %(name)s is missing.", name="target"), self._of_dialect)

    def _of_value(self, element: _Node, category: Category) -> None:
        """Check the text of a data category, and its target address."""
        if category.values:
            value = whole_text(element).strip() if self._dct else whole_text(element)
            if value not in category.values:
                what = message(
                    "%(category)s must be one of %(values)s; here it is “%(value)s”.",
                    category=category.name,
                    values=", ".join(category.values),
                    value=_short(value),
                )
                self._add(element, what, self._of_dialect)
        if category.target == "external" and not _WEB.fullmatch(target := element.get("target") or ""):
            what = message(
                "%(category)s needs an http or https address as its target; here it is “%(value)s”.",
                category=category.name,
                value=_short(target),
            )
            self._add(element, what, self._of_dialect)

    # ---- reporting

    @property
    def _core(self) -> str:
        return message("core structure of ISO 30042:2019")

    @property
    def _style(self) -> str:
        return message("style %(style)s", style=self.head.style.upper())

    @property
    def _of_dialect(self) -> str:
        return message("data categories of %(dialect)s", dialect=self.head.dialect)

    def _not_here(self, child: _Node, parent: _Node) -> None:
        what = message(
            "%(element)s is not allowed in %(parent)s.", element=_name(child), parent=_name(parent)
        )
        self._add(child, what, self._core)

    def _add(self, element: _Node, what: str, rule: str) -> None:
        own = element.get("id")
        name = f"{_name(element)} {_short(own)}" if own else _name(element)
        self.breaches.add(Breach(line_of(element), name, what, rule))


def _taking(child: _Node) -> Callable[[Slot], bool]:
    """Return whether a slot accepts this child; a module element is allowed where its core element is."""
    tag = child.tag
    if tag.startswith(_C):
        name = tag[len(_C) :]
        return lambda slot: name in slot.names
    category = CATEGORIES.get(_name(child))
    if category is not None:
        return lambda slot: category.element in slot.names
    return lambda slot: slot.takes_modules


def _level(element: _Node) -> tuple[Level | None, bool]:
    """Return the level of the entry that contains an element, and whether it is in a group there."""
    grouped = False
    for around in element.iterancestors():
        name = _name(around)
        if name in _LEVELS:
            return _LEVELS[name], grouped
        grouped = True
    return None, grouped


def _name(element: _Node) -> str:
    tag = element.tag
    return tag.rpartition("}")[2] if isinstance(tag, str) else "entity"


def _short(text: str) -> str:
    return text if len(text) <= MOST_SHOWN else f"{text[:MOST_SHOWN]}…"
