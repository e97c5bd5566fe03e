"""Alphabetical order: sort keys and section letters from the alphabet in a language's file.

Keys compare like those of the Unicode Collation Algorithm (UTS 10) at its default settings: letters first,
then accents, then case, spaces and punctuation counting before letters; a letter of two characters (Welsh
*ch*, Breton *c'h*) is one letter unless U+034F parts it. The text itself ends the key, so that the order is
total. Nothing depends on the process's locale.
"""

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

from termbase.languages.files import LanguageFile, Order, per_language
from termbase.languages.folding import APOSTROPHES, HYPHENS, PARTING, modern_spelling

__all__ = ["double_letters", "order_names", "parted", "section", "sections", "sort_key"]

OTHER = "#"
"""The section of what begins with a figure or a sign; it sorts before the letters."""

# Order of signs and, lower down, of accents: Default Unicode Collation Element Table, CLDR root.
_SIGNS = "\t\n\r _-,;:!?.'\"()[]{}@*/\\&#%`^+<=>|~$0123456789"
_ACCENTS = "\u0301\u0300\u0306\u0302\u030c\u030a\u0308\u030b\u0303\u0307\u0338\u0327\u0328\u0304"
_EXPANSIONS = {"æ": "ae", "œ": "oe", "ß": "ss", "Æ": "AE", "Œ": "OE", "ẞ": "SS", "ø": "o", "Ø": "O"}
_EXPANSIONS |= {"đ": "d", "Đ": "D", "ł": "l", "Ł": "L", "ħ": "h", "Ħ": "H", "ŧ": "t", "Ŧ": "T"}
_MARK = re.compile("[\u0300-\u036f\u1ab0-\u1aff\u1dc0-\u1dff\u20d0-\u20ff]")
_PRIVATE = 0xE000
_PLAIN, _CAPITAL, _SECOND_PLAIN = "\x02", "\x03", "\x02"


class _Weights(dict[int, str]):
    """A table for `str.translate` that gives characters it has no entry for a weight by their number."""

    def __missing__(self, code: int) -> str:
        character = chr(code)
        if _MARK.match(character):
            weight = ""
        elif character.isupper() and len(character.lower()) == 1 and character.lower() != character:
            weight = self[ord(character.lower())]
        else:
            weight = "\xf0" + code.to_bytes(3, "big").decode("latin-1")
        self[code] = weight
        return weight


class _Accents(dict[int, str]):
    """A table for `str.translate` giving each mark its weight and each other character the plain one."""

    def __missing__(self, code: int) -> str:
        marked = _MARK.match(chr(code))
        self[code] = "\x7f" + code.to_bytes(3, "big").decode("latin-1") if marked else _SECOND_PLAIN
        return self[code]


class _Cases(dict[int, str]):
    """A table for `str.translate` giving each character the weight of its case."""

    def __missing__(self, code: int) -> str:
        character = chr(code)
        self[code] = "" if _MARK.match(character) else _CAPITAL if character.isupper() else _PLAIN
        return self[code]


@dataclass(frozen=True, slots=True)
class _Alphabet:
    """One order of letters, ready for use. Letters of several characters become private ones first."""

    letters: tuple[str, ...]
    compounds: re.Pattern[str] | None
    private: dict[str, str]
    primary: _Weights
    accents: _Accents
    cases: _Cases
    capitals: dict[str, str]
    old_print: bool

    def joined(self, text: str) -> str:
        """The text decomposed, each letter of several characters replaced by its private one."""
        if not text.isascii():
            text = unicodedata.normalize("NFD", modern_spelling(text) if self.old_print else text)
        if self.compounds:
            text = self.compounds.sub(self._private, text)
        return text

    def _private(self, found: re.Match[str]) -> str:
        return self.private[found[0]]

    def key(self, text: str) -> bytes:
        joined = self.joined(text)
        primary = joined.translate(self.primary)
        secondary = "" if joined.isascii() else joined.translate(self.accents).rstrip(_SECOND_PLAIN)
        tertiary = (
            "" if joined.islower() and joined.isascii() else joined.translate(self.cases).rstrip(_PLAIN)
        )
        return f"{primary}\0{secondary}\0{tertiary}\0".encode("latin-1") + text.encode(errors="surrogatepass")

    def section(self, text: str) -> str:
        joined = _MARK.sub("", self.joined(text))[:1]
        weight = joined.translate(self.primary)
        if not weight or weight < _FIRST_LETTER:
            return OTHER
        return self.capitals.get(weight[0], joined.upper())


_FIRST_LETTER = chr(0x40)


def sort_key(text: str, tag: str, order: str = "") -> bytes:
    """A key whose byte order is the alphabetical order of the language.

    Args:
        text: the term, or its sort form, in which U+034F parts letters that are not one.
        tag: the language.
        order: another order that its file offers (`order_names`); the usual one where empty or unknown.

    Raises:
        BadInput: the tag is not well formed.

    >>> sorted(["nos", "llaw", "lol"], key=lambda word: sort_key(word, "cy"))  # `ll` comes after `l`
    ['lol', 'llaw', 'nos']
    """
    return _alphabet(tag, order).key(text)


def section(text: str, tag: str, order: str = "") -> str:
    """The letter under which a text stands (`Ch`, `A`), `#` for figures and signs, its own for other scripts.

    Raises:
        BadInput: the tag is not well formed.

    >>> section("llaw", "cy")
    'Ll'
    """
    return _alphabet(tag, order).section(text)


def sections(tag: str, order: str = "") -> tuple[str, ...]:
    """The section letters of a language in their order, `#` not among them.

    Raises:
        BadInput: the tag is not well formed.
    """
    return tuple(letter.capitalize() for letter in _alphabet(tag, order).letters)


def double_letters(text: str, tag: str, order: str = "") -> tuple[tuple[int, str], ...]:
    """Positions of letters written with several characters: position and letters, `(2, "ng")`.

    No rule can say whether they are one letter or two (Welsh *Bangor*); the editor decides with `parted`.

    Raises:
        BadInput: the tag is not well formed.
    """
    compounds = _alphabet(tag, order).compounds
    whole = text.replace(PARTING, "")
    return tuple((found.start(), found[0]) for found in compounds.finditer(whole)) if compounds else ()


def parted(text: str, places: Iterable[int]) -> str:
    """The sort form of a text in which the letters at these places are two: U+034F after the first of each;
    empty where none is parted, since the text itself then sorts."""
    here = sorted({place + 1 for place in places if 0 <= place < len(text)})
    if not here:
        return ""
    ends = [*here, len(text)]
    return text[: here[0]] + "".join(f"{PARTING}{text[a:b]}" for a, b in zip(here, ends[1:], strict=True))


def order_names(tag: str) -> tuple[str, ...]:
    """Names of the orders other than the usual one that a termbase may choose for a language."""
    return tuple(_alphabets(tag))[1:]


def _alphabet(tag: str, order: str) -> _Alphabet:
    known = _alphabets(tag)
    return known.get(order) or known[""]


def _build_all(file: LanguageFile) -> dict[str, _Alphabet]:
    old_print = file.tag in ("ga", "gd")
    usual = {"": _build(file.alphabet, old_print)}
    return usual | {name: _build(order, old_print) for name, order in file.orders.items()}


_alphabets = per_language(_build_all)


def _build(order: Order, old_print: bool) -> _Alphabet:
    letters = tuple(order.letters.split())
    primary, accents, cases = _Weights(), _Accents(), _Cases()
    private: dict[str, str] = {}
    capitals: dict[str, str] = {}
    for place, sign in enumerate(_SIGNS):
        primary[ord(sign)] = chr(place + 3)
    for variants in (APOSTROPHES, HYPHENS):
        primary.update(dict.fromkeys(map(ord, variants), primary[ord(variants[0])]))
    primary[ord("\u00a0")] = primary[ord(" ")]
    for place, letter in enumerate(letters):
        weight = chr(0x40 + place)
        capitals[weight] = letter.capitalize()
        for case, written in enumerate((letter, letter.capitalize(), letter.upper())):
            if len(letter) > 1:
                stand_in = chr(_PRIVATE + 3 * place + case)
                for apostrophe in APOSTROPHES if "'" in letter else "'":
                    private[written.replace("'", apostrophe)] = stand_in
                code = ord(stand_in)
            else:
                code = ord(written)
            primary[code], cases[code] = weight, chr(2 + case) if len(letter) > 1 else chr(2 + (case > 0))
    for place, mark in enumerate(_ACCENTS):
        accents[ord(mark)] = chr(0x20 + place)
    for character, spelt in _EXPANSIONS.items():
        primary[ord(character)] = spelt.translate(primary)
        accents[ord(character)] = _SECOND_PLAIN + "\x1f" + _SECOND_PLAIN * (len(spelt) - 1)
        cases[ord(character)] = spelt.translate(cases)
    for table in (primary, accents, cases):
        table[ord(PARTING)] = ""
    longest_first = sorted(private, key=len, reverse=True)
    compounds = re.compile("|".join(map(re.escape, longest_first))) if private else None
    return _Alphabet(letters, compounds, private, primary, accents, cases, capitals, old_print)
