"""Text of the record as text of the file and back, every character of it.

XML 1.0 cannot hold some characters (2.2), and a reader changes others: a bare carriage return becomes a line
feed (2.11), a line feed or tab in an attribute a space (3.3.3). The former stand between two ESCAPE signs as
their code point, the latter as character references.
"""

import re

from lxml import etree

from exports.tbx.dialect.table import ESCAPE
from exports.tbx.reading.markup import whole_text

__all__ = ["attribute", "bare", "content", "kept", "text_of"]

_FORBIDDEN = re.compile(f"[^\t\n\r\x20-\u241a\u241c-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]|{ESCAPE}")
_ESCAPED = re.compile(f"{ESCAPE}([0-9a-f]+){ESCAPE}")


def content(text: str) -> str:
    """Text as element content.

    >>> content("R & <D>\\x0b")
    'R &amp; &lt;D&gt;␛b␛'
    """
    # Nearly all text is plain: printable excludes every control, surrogate and unassigned code point.
    if not text.isprintable():
        text = _FORBIDDEN.sub(_escaped, text).replace("&", "&amp;").replace("\r", "&#13;")
    else:
        if ESCAPE in text:
            text = _FORBIDDEN.sub(_escaped, text)
        if "&" in text:
            text = text.replace("&", "&amp;")
    if "<" in text:
        text = text.replace("<", "&lt;")
    if ">" in text:
        text = text.replace(">", "&gt;")
    return text


def bare(text: str) -> str:
    """Text as a tree of XML holds it, where it is neither written nor read."""
    return _FORBIDDEN.sub(_escaped, text)


def attribute(text: str) -> str:
    """Text as the value of an attribute in double quotation marks."""
    text = content(text)
    if '"' in text:
        text = text.replace('"', "&quot;")
    return text if text.isprintable() else text.replace("\n", "&#10;").replace("\t", "&#9;")


def kept(text: str) -> str:
    """Text as it was before `content` or `attribute`, from what an XML reader gives."""
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), text) if ESCAPE in text else text


def text_of(element: etree._Element) -> str:
    """The text of an element as it was before `content`."""
    return kept(whole_text(element) if len(element) else element.text or "")


def _escaped(found: re.Match[str]) -> str:
    return f"{ESCAPE}{ord(found[0]):x}{ESCAPE}"
