"""Text and ids made fit for XML 1.0 and read back; the only place where anything is escaped.

Sources: XML 1.0 (fifth edition), 2.2 for the characters allowed, 2.4, 2.11 and 3.3.3 for what must be escaped
so that a reader gets it back unchanged; Namespaces in XML 1.0, 3 for names without a colon.
"""

import re
from functools import lru_cache

from lxml import etree

from exports.tbx.elements import whole_text
from termbase import tags

__all__ = [
    "ESCAPE", "REPLACEMENT", "UNDETERMINED", "Escaper", "bare", "kept", "language_attribute", "record_id",
    "safe_tag", "text_of", "web_address", "xml_id", "xml_language",
]  # fmt: skip

ESCAPE = "\N{SYMBOL FOR ESCAPE}"
"""Encloses the hexadecimal code point of a character that XML 1.0 cannot hold, or of this sign itself."""
REPLACEMENT = "\N{REPLACEMENT CHARACTER}"
"""Stands for every character that XML 1.0 does not allow, where it is replaced."""
UNDETERMINED = "und"
"""Stands for a tag that is not well formed (BCP 47, ISO 639-2)."""

_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_FORBIDDEN_OR_SIGN = re.compile(f"{_FORBIDDEN.pattern}|{ESCAPE}")
_ESCAPED = re.compile(f"{ESCAPE}([0-9a-f]+){ESCAPE}")
_LANGUAGE = re.compile("[A-Za-z]{1,8}(?:-[A-Za-z0-9]{1,8})*")
_ADDRESS = re.compile(r"https?://[A-Za-z0-9\-._~:/?#\[\]@!$&'()*+,;=%]+")
_BAD_PERCENT = re.compile(r"%(?![0-9A-Fa-f]{2})")
_PREFIX = {
    "entry": "c", "term": "t", "source": "s", "slip": "q", "person": "p", "code": "r", "page": "w",
    "line": "l", "trial": "m", "image": "", "redirect": "",
}  # fmt: skip
_CODED = re.compile("_([0-9a-f]+)_")


class Escaper:
    """Escapes text for element content and for attribute values.

    Args:
        keeps: a character that XML cannot hold is kept, as its hexadecimal code point between two ESCAPE
            signs; else it is replaced by REPLACEMENT and counted.

    Attributes:
        replaced: how many characters were replaced so far.
    """

    __slots__ = ("_keeps", "replaced")

    def __init__(self, *, keeps: bool = False) -> None:
        self._keeps = keeps
        self.replaced = 0

    def text(self, text: str) -> str:
        """The text as element content.

        A carriage return is written as a reference, since a reader turns a bare one into a line feed. Line
        feed and tab stay as they are.

        >>> Escaper().text('R & "D" <1>\\x0b')
        'R &amp; &quot;D&quot; &lt;1&gt;\ufffd'
        >>> Escaper(keeps=True).text('R & "D" <1>\\x0b')
        'R &amp; "D" &lt;1&gt;␛b␛'
        """
        # Nearly all text is plain: printable excludes every control, surrogate and unassigned code point.
        if not text.isprintable():
            text = self._allowed(text).replace("&", "&amp;").replace("\r", "&#13;")
        else:
            if ESCAPE in text:
                text = self._allowed(text)
            if "&" in text:
                text = text.replace("&", "&amp;")
        if "<" in text:
            text = text.replace("<", "&lt;")
        if ">" in text:
            text = text.replace(">", "&gt;")
        if '"' in text and not self._keeps:
            text = text.replace('"', "&quot;")
        return text

    def attribute(self, text: str) -> str:
        """The text as the value of an attribute in double quotation marks."""
        text = self.text(text)
        if '"' in text:
            text = text.replace('"', "&quot;")
        return text if text.isprintable() else text.replace("\n", "&#10;").replace("\t", "&#9;")

    def _allowed(self, text: str) -> str:
        """The text with characters that XML can hold only."""
        if self._keeps:
            return bare(text)
        text, replaced = _FORBIDDEN.subn(REPLACEMENT, text)
        self.replaced += replaced
        return text


def bare(text: str) -> str:
    """Text as a tree of XML holds it when nothing of it is lost, where it is neither written nor read."""
    return _FORBIDDEN_OR_SIGN.sub(lambda found: f"{ESCAPE}{ord(found[0]):x}{ESCAPE}", text)


def kept(text: str) -> str:
    """Text as it was before an `Escaper` that keeps, from what an XML reader gives."""
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), text) if ESCAPE in text else text


def text_of(element: etree._Element) -> str:
    """The text of an element as it was before an `Escaper` that keeps."""
    return kept(whole_text(element) if len(element) else element.text or "")


def xml_id(kind: str, record_id: str) -> str:
    """The XML name of a record: its own id where the store gave it, else one made from it.

    Two records never get the same name: an id of another shape, as an import may bring, is put behind its
    kind, and each character but letters, digits and hyphen becomes its code point in hexadecimal.

    >>> xml_id("entry", "c0001"), xml_id("entry", "7 a")
    ('c0001', 'entry.7_20_a')
    """
    prefix, digits = record_id[:1], record_id[1:]
    if prefix and prefix == _PREFIX[kind] and digits.isdecimal() and digits.isascii():
        return record_id
    return f"{kind}." + re.sub(r"[^A-Za-z0-9-]", lambda found: f"_{ord(found[0]):x}_", record_id)


def record_id(kind: str, name: str) -> str:
    """The id of the record that `xml_id` made this name of.

    >>> record_id("entry", "c0001"), record_id("entry", "entry.7_20_a")
    ('c0001', '7 a')
    """
    if "." not in name:  # as nearly all are
        return name
    before, dot, rest = name.partition(".")
    return _CODED.sub(lambda found: chr(int(found[1], 16)), rest) if dot and before == kind else name


def web_address(text: str) -> str:
    """The text if it is an http or https address made of the characters of RFC 3986, else nothing."""
    return text if _ADDRESS.fullmatch(text) and not _BAD_PERCENT.search(text) else ""


@lru_cache(maxsize=1024)
def safe_tag(tag: str) -> str:
    """The tag, or UNDETERMINED where it is not well formed (BCP 47)."""
    return tag.strip() if tags.is_well_formed(tag) else UNDETERMINED


@lru_cache(maxsize=1024)
def xml_language(tag: str) -> str:
    """The tag if XML allows it as `xml:lang`, else UNDETERMINED."""
    return tag if _LANGUAGE.fullmatch(tag) else UNDETERMINED


def language_attribute(tag: str) -> str:
    """`xml:lang` with a space before it; nothing where there is no tag."""
    return f' xml:lang="{tag}"' if tag else ""
