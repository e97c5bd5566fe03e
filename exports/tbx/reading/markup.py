"""Text of elements, with inline markup taken out."""

from lxml import etree

__all__ = ["local_name", "whole_text"]


def whole_text(element: etree._Element) -> str:
    """The text of an element and of everything in it."""
    return "".join(str(part) for part in element.itertext())


def local_name(element: etree._Element) -> str:
    """The name of an element without its namespace."""
    tag = element.tag
    return tag.rpartition("}")[2] if isinstance(tag, str) else "entity"
