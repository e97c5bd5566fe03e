"""Turns text, ids and language tags into XML 1.0 and back; nothing is escaped anywhere else.

Sources: XML 1.0 (fifth edition), 2.2 for the characters allowed, 2.4, 2.11 and 3.3.3 for what must be escaped
so that a reader returns it unchanged; Namespaces in XML 1.0, 3 for names without a colon.

`NameSet` is a compact set of XML ids: nearly all are a letter and a number, so one bit each is enough.
"""

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache

from lxml import etree

from exports.tbx.elements import whole_text
from termbase.languages import tags

__all__ = [
    "ESCAPE",
    "REPLACEMENT",
    "UNDETERMINED",
    "Escaper",
    "NameSet",
    "Targets",
    "escape_forbidden",
    "language_attribute",
    "record_id",
    "safe_tag",
    "text_of",
    "unescape",
    "web_address",
    "xml_id",
    "xml_language",
]


ESCAPE = "\N{SYMBOL FOR ESCAPE}"
"""Encloses the hexadecimal code point of a character that XML 1.0 cannot hold, or of this sign itself."""
REPLACEMENT = "\N{REPLACEMENT CHARACTER}"
"""Replaces every character that XML 1.0 does not allow, where such characters are replaced."""
UNDETERMINED = "und"
"""Replaces a tag that is not well formed (BCP 47, ISO 639-2)."""

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
_WEB = ("http://", "https://")
_MOST_SEEN = 10_000
_SPARE = 1024
_MOST_DIGITS = 7  # ten million ids of one length: 1.25 MB of bits; longer ones are kept as text


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
    return _FORBIDDEN_OR_SIGN.sub(lambda match: f"{ESCAPE}{ord(match[0]):x}{ESCAPE}", text)


def unescape(text: str) -> str:
    """Return the original text from what an XML parser returns for text escaped with `keeps`."""
    return _ESCAPED.sub(lambda match: chr(int(match[1], 16)), text) if ESCAPE in text else text


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
    return f"{kind}." + re.sub(r"[^A-Za-z0-9-]", lambda match: f"_{ord(match[0]):x}_", record_id)


def record_id(kind: str, name: str) -> str:
    """Return the record id from which `xml_id` made this name.

    >>> record_id("entry", "c0001"), record_id("entry", "entry.7_20_a")
    ('c0001', '7 a')
    """
    if "." not in name:  # nearly always
        return name
    before, dot, rest = name.partition(".")
    return _CODED.sub(lambda match: chr(int(match[1], 16)), rest) if dot and before == kind else name


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


class NameSet:
    """A set of names, compared character by character."""

    def __init__(self) -> None:
        self._bits: dict[tuple[str, int], bytearray] = {}
        self._others: set[str] = set()

    def add(self, name: str) -> bool:
        """Add a name; return False if it was already present."""
        return self.add_all((name,)) is None

    def add_all(self, names: Iterable[str]) -> str | None:
        """Add names; return the first that was already present, or None."""
        every, others, twice = self._bits, self._others, None
        for name in names:
            digits = name[1:]
            length = len(digits)
            if length > _MOST_DIGITS or not (digits.isdecimal() and digits.isascii()):
                if name in others:
                    twice = twice or name
                others.add(name)
                continue
            number = int(digits)
            place, bit = number >> 3, 1 << (number & 7)
            try:
                bits = every[name[0], length]
                before = bits[place]
            except (KeyError, IndexError):  # rare: space is allocated for many at a time
                bits = self._grow(name[0], length, place)
                before = 0
            if before & bit:
                twice = twice or name
            else:
                bits[place] = before | bit
        return twice

    def _grow(self, letter: str, length: int, place: int) -> bytearray:
        bits = self._bits.setdefault((letter, length), bytearray())
        bits.extend(bytes(place + 1 - len(bits) + _SPARE))
        return bits

    def __contains__(self, name: str) -> bool:
        digits = name[1:]
        if not (digits.isdecimal() and digits.isascii() and len(digits) <= _MOST_DIGITS):
            return name in self._others
        bits = self._bits.get((name[0], len(digits)), b"")
        place = int(digits) >> 3
        return place < len(bits) and bool(bits[place] & 1 << (int(digits) & 7))

    def highest(self, letter: str) -> int:
        """Return the highest number after this letter; 0 if there is none."""
        numbers = [0]
        for (first, _), bits in self._bits.items():
            if first == letter:
                used = bits.rstrip(b"\0")
                last = len(used) - 1
                numbers.append(last * 8 + used[last].bit_length() - 1)
        numbers += [
            int(n[1:]) for n in self._others if n[:1] == letter and n[1:].isdecimal() and n[1:].isascii()
        ]
        return max(numbers)

    def without(self, other: "NameSet") -> Iterator[str]:
        """Yield the names that the other set lacks, in an order that depends only on the names."""
        yield from sorted(self._others - other._others)
        for (letter, length), bits in sorted(self._bits.items()):
            theirs = other._bits.get((letter, length), bytearray())
            for place, byte in enumerate(bits):
                left = byte & ~(theirs[place] if place < len(theirs) else 0)
                for bit in range(8):
                    if left >> bit & 1:
                        yield f"{letter}{place * 8 + bit:0{length}d}"


class Targets:
    """A compact set of the targets of a file's pointers."""

    def __init__(self) -> None:
        self._names = NameSet()
        self._seen: set[str] = set()  # the same sources and people are cited again and again

    def add_all(self, names: list[str]) -> None:
        """Add targets, except web addresses, which point out of the file."""
        new = set(names) - self._seen
        if not new:
            return
        if len(self._seen) < _MOST_SEEN:
            self._seen |= new
        self._names.add_all(name.removeprefix("#") for name in new if not name.startswith(_WEB))

    def without(self, ids: NameSet) -> Iterator[str]:
        """Yield the targets that are not among these ids."""
        return self._names.without(ids)
