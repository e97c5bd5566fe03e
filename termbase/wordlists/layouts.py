"""The layout syntax: reading a layout and making it ready to be laid over lines.

A layout shows a record as it is printed. Words in CAPITALS name the parts that stand there, braces hold
what may be missing, a new line is a new printed line, and all other signs and words stand for
themselves (whatever their case; a brace that is really printed is written twice). Spaces are generous:
one stands for any number, and after a comma, full stop or closing bracket for none as well. GAP stands for
the gap between two columns: a tab, or two spaces and more.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from termbase.errors import BadInput
from termbase.messages import joined, message
from termbase.wordlists.matching import PARTS, Found, Node, Stop, lay

__all__ = ["Layout", "Level", "describe_layout", "read_layout"]


@dataclass(frozen=True, slots=True)
class Level:
    """What a layout is of: its name in words, the part it must have, and those it may have."""

    name: str
    needs: str
    may: frozenset[str]


_ABBREVIATED = {"POS", "GENDER", "NUMBER", "LABELS", "STYLE"}
_OPENING = "([</{«“\"'"
_SPACE = r"(?:[^\S\n]+|(?<=\s))"
_MAYBE_SPACE = r"[^\S\n]*"
_GAP = r"(?:[^\S\n]*\t[^\S\n]*|[^\S\n]{2,})"
_COLUMNS = re.compile(r" *\t *")
_TOKEN = re.compile(
    r"(?P<brace>\{\{|\}\})|(?P<open>\{)|(?P<close>\})|(?P<line>[^\S\n]*\n[^\S\n]*)|(?P<space>[^\S\n]+)"
    r"|(?P<part>(?<!\w)[A-Z]{2,}(?!\w))|(?P<sign>.)"
)


@dataclass(slots=True)
class _Group:
    """A stretch in braces."""

    items: "list[_Item]"


@dataclass(slots=True)
class _Piece:
    """A sign (its regular expression and look) or a part (its name)."""

    part: str
    look: str
    expression: str = ""


_Item = _Group | _Piece


@dataclass(frozen=True, slots=True)
class Layout:
    """A layout ready to be laid over lines.

    Attributes:
        text: as written.
        parts: names of the parts in it.
    """

    text: str
    parts: frozenset[str]
    first: Node

    def lay(self, text: str, start: int, end: int, depths: Sequence[int] | None) -> Found | Stop:
        """Lay this over `text[start:end]`; return the parts found, or where it stopped.

        `depths` gives how many brackets are open before each character; None: take no account of them.
        """
        return lay(self.first, text, start, end, depths)


def read_layout(
    text: str,
    level: Level,
    listed: Callable[[str], str],
    forms: Callable[[bool], str],
    headword_start: str,
    where: str,
) -> Layout:
    """Read a layout.

    `listed` gives, for the name of an abbreviated part, an expression for what its table holds (empty
    for an empty table); `forms` one for how inflected forms begin, in brackets or not (empty: in any
    way); `headword_start` one for signs that belong to the headword (ditto marks).

    Raises:
        BadInput: braces do not pair, a name is unknown or does not belong on this level, a table is
            empty that the layout needs, two parts have nothing between them.
    """
    items = _read_items(text, level, where)
    names = _names(items)
    if level.needs not in names:
        raise BadInput(
            message("The layout for %(level)s has no %(part)s.", level=level.name, part=level.needs),
            where=where,
            fix=message(
                "Write %(part)s where the %(meaning)s is printed.",
                part=level.needs,
                meaning=message(PARTS[level.needs]),
            ),
        )
    builder = _Builder(listed, forms, headword_start, where)
    first = builder.build(items)
    return Layout(text, frozenset(names), first)


def describe_layout(text: str, level: Level) -> str:
    """Say in words what a layout shows, part after part.

    Raises:
        BadInput: the layout cannot be read.
    """
    return _describe(_read_items(text, level, message("layout")))


def _describe(items: list[_Item]) -> str:
    words: list[str] = []
    for item in items:
        if isinstance(item, _Group):
            words.append(message("optionally (%(parts)s)", parts=_describe(item.items)))
        elif item.part:
            words.append(message("the %(part)s", part=message(PARTS[item.part])))
        elif "\n" in item.look:
            words.append(message("on the next line"))
        elif item.look == "\t":
            words.append(message("a wide gap"))
        elif item.look.strip():
            words.append(f"“{item.look.strip()}”")
    return joined(words, ", ")


def _read_items(text: str, level: Level, where: str) -> list[_Item]:
    stack: list[list[_Item]] = [[]]
    for token in _TOKEN.finditer(text):
        kind, shown = token.lastgroup, token.group()
        if kind == "open":
            stack.append([])
        elif kind == "close":
            if len(stack) == 1:
                raise BadInput(
                    message(
                        "The closing brace at column %(column)s of the layout has no opening brace.",
                        column=token.start() + 1,
                    ),
                    where=where,
                    fix=message("Braces enclose optional parts and come in pairs."),
                )
            inner = stack.pop()
            if inner:
                stack[-1].append(_Group(inner))
        elif shown == "GAP":
            stack[-1].append(_Piece("", "\t"))
        elif kind == "part":
            _check_part(shown, level, where)
            stack[-1].append(_Piece(shown, shown))
        else:
            sign = shown[0] if kind == "brace" else "\n" if kind == "line" else shown
            stack[-1].append(_Piece("", " " if kind == "space" else sign))
    if len(stack) > 1:
        raise BadInput(
            message("A brace in the layout is not closed."),
            where=where,
            fix=message("Add the closing brace."),
        )
    return _merge(stack[0])


def _check_part(name: str, level: Level, where: str) -> None:
    if name not in level.may:
        known = ", ".join(part for part in PARTS if part in level.may)
        raise BadInput(
            message("%(part)s is not a part of %(level)s.", part=name, level=level.name),
            where=where,
            fix=message(
                "The parts are %(parts)s. Write words that are printed literally in lower case.", parts=known
            ),
        )


def _merge(items: list[_Item]) -> list[_Item]:
    """Join adjacent signs, here and inside groups."""
    merged: list[_Item] = []
    for item in items:
        if isinstance(item, _Group):
            merged.append(_Group(_merge(item.items)))
        elif not item.part and merged and isinstance(merged[-1], _Piece) and not merged[-1].part:
            merged[-1] = _Piece("", merged[-1].look + item.look)
        else:
            merged.append(item)
    for item in merged:
        if isinstance(item, _Piece) and not item.part:
            item.look = _COLUMNS.sub("\t", item.look)
            item.expression = _sign_expression(item.look)
    return merged


def _sign_expression(look: str) -> str:
    pieces: list[str] = []
    for index, sign in enumerate(look):
        if sign == "\n":
            pieces.append(r"[^\S\n]*\n")
        elif sign == "\t":
            pieces.append(_GAP)
        elif sign == " ":
            loose = (index > 0 and look[index - 1] in ",;:.)]>") or look[index + 1 : index + 2] in ("[", "<")
            pieces.append(_MAYBE_SPACE if loose else _SPACE)
        else:
            pieces.append(re.escape(sign))
    return "".join(pieces)


def _names(items: list[_Item]) -> list[str]:
    names: list[str] = []
    for item in items:
        if isinstance(item, _Group):
            names += _names(item.items)
        elif item.part:
            names.append(item.part)
    return names


class _Builder:
    """Turns the items of a layout into steps."""

    def __init__(
        self, listed: Callable[[str], str], forms: Callable[[bool], str], headword_start: str, where: str
    ) -> None:
        self.listed, self.forms, self.headword_start, self.where = listed, forms, headword_start, where
        self.count = 0

    def build(self, items: list[_Item]) -> Node:
        count = self._size(items)
        self.count = count + 1
        return self._chain(items, Node("end", self.count), "")

    def _size(self, items: list[_Item]) -> int:
        return sum(1 + self._size(item.items) if isinstance(item, _Group) else 1 for item in items)

    def _chain(self, items: list[_Item], after: Node, before: str) -> Node:
        """Build backwards, so that every step knows the next; orders fall towards the start."""
        node = after
        for index in range(len(items) - 1, -1, -1):
            item = items[index]
            preceding = items[index - 1] if index else None
            left = preceding.look if isinstance(preceding, _Piece) else "}" if preceding else before
            if isinstance(item, _Group):
                inner = self._chain(item.items, node, left)
                self.count -= 1
                node = Node("fork", self.count, after=inner, other=node)
            elif item.part:
                node = self._part(item.part, node, left)
            else:
                self.count -= 1
                sign = re.compile(item.expression, re.IGNORECASE)
                node = Node("sign", self.count, item.look, sign, after=node)
        return node

    def _part(self, name: str, following: Node, left: str) -> Node:
        self.count -= 1
        bracketed = left[-1:] != "" and left[-1] in _OPENING
        if name in _ABBREVIATED and not bracketed:
            table = self.listed(name)
            if not table:
                raise BadInput(
                    message("The layout has %(part)s, but there are no abbreviations for it.", part=name),
                    where=self.where,
                    fix=message(
                        "Fill in the table for %(meaning)s, or put %(part)s in brackets.",
                        meaning=message(PARTS[name]),
                        part=name,
                    ),
                )
            sign = re.compile(rf"[^\S\n]*(?<!\w){table}(?!\w)")
            return Node("listed", self.count, name, sign, after=following)
        start = (
            self.headword_start if name == "HEADWORD" else self.forms(bracketed) if name == "FORMS" else ""
        )
        node = Node("taken", self.count, name, re.compile(start), after=following)
        node.follow, node.to_end = self._follow(name, following)
        return node

    def _follow(self, name: str, following: Node) -> tuple[re.Pattern[str], bool]:
        starts: list[str] = []
        waiting = [following]
        while waiting:
            node = waiting.pop()
            if node.kind == "fork":
                waiting += [node.next, node.other]
            elif node.kind == "end":
                starts.append(r"\Z")
            elif node.kind in ("sign", "listed"):
                starts.append(node.sign.pattern)
            else:
                raise BadInput(
                    message(
                        "%(one)s and %(other)s are next to each other in the layout with "
                        "nothing between them.",
                        one=name,
                        other=node.shown,
                    ),
                    where=self.where,
                    fix=message(
                        "Put between them whatever separates them in print: a comma, a bracket, a space."
                    ),
                )
        union = re.compile("|".join(f"(?:{start})" for start in starts), re.IGNORECASE)
        return union, starts == [r"\Z"]
