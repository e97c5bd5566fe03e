"""Text and ids made fit for XML 1.0; the only place where anything is escaped.

Sources: XML 1.0 (fifth edition), 2.2 for the characters allowed, 2.4 and 2.11 for what must be escaped so
that a reader gets it back unchanged; Namespaces in XML 1.0, 3 for names without a colon.
"""

import re

__all__ = ["REPLACEMENT", "Escaper", "record_id", "web_address", "xml_id"]

REPLACEMENT = "\N{REPLACEMENT CHARACTER}"
"""Stands for every character that XML 1.0 does not allow."""

_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_ADDRESS = re.compile(r"https?://[A-Za-z0-9\-._~:/?#\[\]@!$&'()*+,;=%]+")
_BAD_PERCENT = re.compile(r"%(?![0-9A-Fa-f]{2})")
_PREFIX = {
    "entry": "c", "term": "t", "source": "s", "slip": "q", "person": "p", "code": "r", "page": "w",
    "line": "l", "trial": "m", "image": "", "redirect": "",
}  # fmt: skip
_CODED = re.compile("_([0-9a-f]+)_")


class Escaper:
    """Escapes text for element content and for attribute values, and counts what XML cannot hold.

    Attributes:
        replaced: how many characters were replaced so far.
    """

    __slots__ = ("replaced",)

    def __init__(self) -> None:
        self.replaced = 0

    def text(self, text: str) -> str:
        """The text with markup escaped and every forbidden character replaced by REPLACEMENT.

        A carriage return is written as a reference, since a reader turns a bare one into a line feed. Line
        feed and tab stay as they are, so a value that holds one may stand in content only.

        >>> Escaper().text('R & "D" <1>')
        'R &amp; &quot;D&quot; &lt;1&gt;'
        """
        # Nearly all text is plain: printable excludes every control, surrogate and unassigned code point.
        if not text.isprintable():
            text, replaced = _FORBIDDEN.subn(REPLACEMENT, text)
            self.replaced += replaced
            text = text.replace("&", "&amp;").replace("\r", "&#13;")
        elif "&" in text:
            text = text.replace("&", "&amp;")
        if "<" in text:
            text = text.replace("<", "&lt;")
        if ">" in text:
            text = text.replace(">", "&gt;")
        if '"' in text:
            text = text.replace('"', "&quot;")
        return text


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
    if "." not in name:
        return name
    before, dot, rest = name.partition(".")
    if not dot or before != kind:
        return name
    return _CODED.sub(lambda found: chr(int(found[1], 16)), rest)


def web_address(text: str) -> str:
    """The text if it is an http or https address made of the characters of RFC 3986, else nothing."""
    return text if _ADDRESS.fullmatch(text) and not _BAD_PERCENT.search(text) else ""
