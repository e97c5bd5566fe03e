"""Makes text and ids fit for XML 1.0 and reads them back; nothing is escaped anywhere else.

Sources: XML 1.0 (fifth edition), 2.2 for the characters allowed, 2.4, 2.11 and 3.3.3 for what must be escaped
so that a reader returns it unchanged; Namespaces in XML 1.0, 3 for names without a colon.
"""

import re
from functools import lru_cache

from lxml import etree

from exports.tbx.elements import whole_text
from termbase.languages import tags

__all__ = [
    "ESCAPE",
    "REPLACEMENT",
    "UNDETERMINED",
    "Escaper",
    "escape_forbidden",
    "language_attribute",
    "record_id",
    "safe_tag",
    "text_of",
    "unescape",
    "web_address",
    "xml_id",
    "xml_language",
]  # fmt: skip

ESCAPE = "\N{SYMBOL FOR ESCAPE}"
"""Encloses the hexadecimal code point of a character that XML 1.0 cannot hold, or of this sign itself."""
REPLACEMENT = "\N{REPLACEMENT CHARACTER}"
"""Replaces every character that XML 1.0 does not allow, where such characters are replaced."""
UNDETERMINED = "und"
"""Used for a tag that is not well formed (BCP 47, ISO 639-2)."""

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
        keeps: keep a character that XML cannot hold as its hexadecimal code point between two ESCAPE signs;
            otherwise replace it by REPLACEMENT and count it.

    Attributes:
        replaced: number of characters replaced so far.
    """

    __slots__ = ("_keeps", "replaced")

    def __init__(self, *, keeps: bool = False) -> None:
        self._keeps = keeps
        self.replaced = 0

    def text(self, text: str) -> str:
        """Return the text as element content.

        A carriage return is written as a reference, since XML parsers turn a bare one into a line feed. Line
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
        """Return the text as an attribute value in double quotation marks."""
        text = self.text(text)
        if '"' in text:
            text = text.replace('"', "&quot;")
        return text if text.isprintable() else text.replace("\n", "&#10;").replace("\t", "&#9;")

    def _allowed(self, text: str) -> str:
        """Return the text with only the characters that XML can hold."""
        if self._keeps:
            return escape_forbidden(text)
        text, replaced = _FORBIDDEN.subn(REPLACEMENT, text)
        self.replaced += replaced
        return text


def escape_forbidden(text: str) -> str:
    """Return text as an XML tree would hold it without loss, when it is neither written nor parsed."""
    return _FORBIDDEN_OR_SIGN.sub(lambda found: f"{ESCAPE}{ord(found[0]):x}{ESCAPE}", text)


def unescape(text: str) -> str:
    """Return the original text from what an XML parser returns for text escaped with `keeps`."""
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), text) if ESCAPE in text else text


def text_of(element: etree._Element) -> str:
    """Return the text of an element as it was before escaping with `keeps`."""
    return unescape(whole_text(element) if len(element) else element.text or "")


def xml_id(kind: str, record_id: str) -> str:
    """Return the XML name of a record: its own id if the store assigned it, otherwise one made from it.

    Two records never get the same name: an id of another form, as in an import, is put after its kind, and
    each character except letters, digits and hyphen becomes its code point in hexadecimal.

    >>> xml_id("entry", "c0001"), xml_id("entry", "7 a")
    ('c0001', 'entry.7_20_a')
    """
    prefix, digits = record_id[:1], record_id[1:]
    if prefix and prefix == _PREFIX[kind] and digits.isdecimal() and digits.isascii():
        return record_id
    return f"{kind}." + re.sub(r"[^A-Za-z0-9-]", lambda found: f"_{ord(found[0]):x}_", record_id)


def record_id(kind: str, name: str) -> str:
    """Return the record id from which `xml_id` made this name.

    >>> record_id("entry", "c0001"), record_id("entry", "entry.7_20_a")
    ('c0001', '7 a')
    """
    if "." not in name:  # as nearly all are
        return name
    before, dot, rest = name.partition(".")
    return _CODED.sub(lambda found: chr(int(found[1], 16)), rest) if dot and before == kind else name


def web_address(text: str) -> str:
    """Return the text if it is an http or https address made of the characters of RFC 3986, otherwise an
    empty text."""
    return text if _ADDRESS.fullmatch(text) and not _BAD_PERCENT.search(text) else ""


@lru_cache(maxsize=1024)
def safe_tag(tag: str) -> str:
    """Return the tag, or UNDETERMINED if it is not well formed (BCP 47)."""
    return tag.strip() if tags.is_well_formed(tag) else UNDETERMINED


@lru_cache(maxsize=1024)
def xml_language(tag: str) -> str:
    """Return the tag if XML allows it as `xml:lang`, otherwise UNDETERMINED."""
    return tag if _LANGUAGE.fullmatch(tag) else UNDETERMINED


def language_attribute(tag: str) -> str:
    """Return `xml:lang` with a space before it; empty if there is no tag."""
    return f' xml:lang="{tag}"' if tag else ""
