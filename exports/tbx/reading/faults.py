"""What is wrong with a file, with its place; and what was not understood, counted."""

from collections import Counter
from typing import cast

from lxml import etree

from exports.tbx.reading.markup import local_name, whole_text
from termbase.errors import BadInput

__all__ = ["MEND", "Unread", "fault", "line_of"]

MEND = "Correct it there, or leave it out; nothing was changed."
_LONGEST = 4000


def fault(what: str, element: etree._Element | None, field: str = "", *, mend: str = "") -> BadInput:
    """An error that names line, element and field."""
    places = []
    if element is not None:
        line = line_of(element)
        named = local_name(element)
        holder = element
        while holder is not None and not holder.get("id"):
            holder = cast("etree._Element", holder.getparent())
        own = element.get("id")
        places = [f"line {line}"] if line else []
        places.append(f"{named} {own}" if own else named)
        if holder is not None and holder is not element:
            places.append(f"in {local_name(holder)} {holder.get('id')}")
    if field and (element is None or field != local_name(element)):
        places.append(field)
    return BadInput(what, where=", ".join(places), mend=f"{mend} {MEND}".strip())


def line_of(element: etree._Element) -> int | None:
    """The line an element begins on."""
    return cast("int | None", element.sourceline)


class Unread:
    """Counts, by name, what a reader has no field for.

    Attributes:
        kept: data categories that stand in a note, by name.
        dropped: what was left out, by name.
        noted: what else a reader should know, each once.
    """

    def __init__(self) -> None:
        self.noted: dict[str, None] = {}
        self.kept: Counter[str] = Counter()
        self.dropped: Counter[str] = Counter()

    def note(self, element: etree._Element, whose: str = "") -> str:
        """The note that keeps what stands in an element: whose it is, its name, its text, where it points.

        Raises:
            BadInput: it is a reference to an entity, which is never expanded.
        """
        if not isinstance(element.tag, str):
            raise fault("There is a reference to an entity; entities are not read.", element.getparent())
        name = element.get("type") or local_name(element)
        self.kept[name] += 1
        return note_of(element, name, whose)


def note_of(element: etree._Element, name: str, whose: str = "") -> str:
    """`hook (en): name: text <target>`."""
    text = " ".join(whole_text(element).split())
    target = element.get("target")
    told = f"{text} <{target}>".strip() if target else text
    return ": ".join(filter(None, (whose, name, told)))[:_LONGEST]
