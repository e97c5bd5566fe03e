"""Checks which characters the fonts have, so that a missing one is reported before anything is printed."""

import logging
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING
from unicodedata import category, name

import msgspec

from exports.glossary.book.book import Article, Book, ReverseLine
from termbase.errors import BadInput
from termbase.loading import lazy_module
from termbase.messages import message

if TYPE_CHECKING:
    from fontTools import ttLib
else:
    ttLib = lazy_module("fontTools.ttLib")  # noqa: N816 - the library's own name

__all__ = [
    "PRINT_FONTS",
    "MissingCharacter",
    "MissingCharacters",
    "characters_of",
    "font_files",
    "missing_characters",
    "missing_in",
    "with_code_points",
]

logging.getLogger("fontTools").addHandler(logging.NullHandler())  # its log messages appear in our errors

PRINT_FONTS = Path(__file__).parent / "fonts"
"""The shipped print fonts, in the wheel as in a checkout."""


@dataclass(frozen=True)
class MissingCharacter:
    """A character that no font has.

    Attributes:
        character: the character.
        entry_id: the first entry that has it, or `termbase`.
        head: the headword of that entry.
    """

    character: str
    entry_id: str
    head: str

    @property
    def words(self) -> str:
        """Return it with its place: `U+4E00 CJK UNIFIED IDEOGRAPH-4E00 in c0007 (back-heel)`."""
        place = f"{self.entry_id} ({self.head})" if self.head else self.entry_id
        return f"{self.called} in {place}"

    @property
    def called(self) -> str:
        """Return its code point and name: `U+4E00 CJK UNIFIED IDEOGRAPH-4E00`."""
        return f"U+{ord(self.character):04X} {name(self.character, '')}".rstrip()


class MissingCharacters(BadInput):
    """Characters that no font has; nothing was printed. `characters` gives each with its first place."""

    def __init__(self, characters: Sequence[MissingCharacter]) -> None:
        self.characters = tuple(characters)
        shown = [c.words for c in self.characters[:10]]
        if len(self.characters) > len(shown):
            shown.append("…")
        super().__init__(
            message("No available font has these characters: %(characters)s.", characters="; ".join(shown)),
            where=self.characters[0].entry_id,
            fix=message(
                "Correct them, give a folder with a font that has them, or print them as code points."
            ),
        )


def font_files(folders: Iterable[Path]) -> tuple[Path, ...]:
    """Return the OpenType files in these folders, sorted."""
    return tuple(
        sorted(p for f in folders for p in Path(f).rglob("*") if p.suffix.lower() in (".otf", ".ttf"))
    )


@cache
def characters_of(path: Path) -> frozenset[int]:
    """Return the code points for which a font has a glyph, from the character map that a shaper uses.

    A code point mapped to glyph 0 has none (OpenType 1.9.1, `cmap`: the missing-glyph glyph).

    Raises:
        BadInput: the file is not an OpenType font.
        OSError: it cannot be read.
    """
    data = BytesIO(path.read_bytes())
    try:
        with ttLib.TTFont(data, lazy=True) as font:
            if font.flavor:  # web format: the typesetter does not read it
                raise ttLib.TTLibError(font.flavor)
            return frozenset(font.getBestCmap() or ())
    except Exception as error:  # damaged files make the library raise KeyError, struct.error …
        raise BadInput(
            message("This is not an OpenType font."),
            where=str(path),
            fix=message("Use an .otf or .ttf file."),
        ) from error


def missing_characters(book: Book, fonts: Sequence[Path]) -> tuple[MissingCharacter, ...]:
    """Return every character of the book that no font has, once, with the first entry that contains it."""
    return missing_in(_texts(book), fonts)


def missing_in(
    texts: Iterable[tuple[str, str, bytes]], fonts: Sequence[Path]
) -> tuple[MissingCharacter, ...]:
    """Return every character that no font has, once, with the first entry that contains it.

    Args:
        texts: entry id, headword, and the printed text as UTF-8.
        fonts: the font files.
    """
    known = _characters_of_all(tuple(fonts))
    missing: dict[str, MissingCharacter] = {}
    for entry_id, head, text in texts:
        for character in sorted(_characters(text) - missing.keys()):
            if ord(character) not in known and not _is_invisible(character):
                missing[character] = MissingCharacter(character, entry_id, head)
    return tuple(missing.values())


def with_code_points(data: bytes, lacking: Sequence[MissingCharacter]) -> bytes:
    """Return JSON in which these characters are replaced by their code points: `‹U+6295›`."""
    if not lacking:
        return data
    points = {ord(m.character): f"‹U+{ord(m.character):04X}›" for m in lacking}
    plain = data.decode().translate(points)
    return _ESCAPE.sub(lambda match: points.get(ord(_meant(match)), match[0]), plain).encode()


@cache
def _characters_of_all(fonts: tuple[Path, ...]) -> frozenset[int]:
    return frozenset().union(*map(characters_of, fonts))


_ESCAPE = re.compile(r"\\(?:u([0-9a-f]{4})|(.))")
"""A character that JSON writes as an escape: controls, the quotation mark, the reverse solidus."""
_SHORT = {"b": "\b", "f": "\f", "n": "\n", "r": "\r", "t": "\t"}


def _meant(escape: re.Match[str]) -> str:
    return chr(int(escape[1], 16)) if escape[1] else _SHORT.get(escape[2], escape[2])


def _characters(data: bytes) -> set[str]:
    """Return the characters of a JSON text that a font might lack."""
    characters = set() if data.isascii() else set(data.decode())
    if b"\\" in data:
        characters.update(map(_meant, _ESCAPE.finditer(data.decode())))
    return characters


def _texts(book: Book) -> Iterator[tuple[str, str, bytes]]:
    encode = msgspec.json.encode
    for item in (item for part in book.parts for letter in part.letters for item in letter.items):
        yield _id_of(item), item.head.text, encode(item)
    yield "rule codes", "", encode(book.rules)
    yield "bibliography", "", encode(book.works)
    yield (
        "termbase",
        book.title,
        encode(msgspec.structs.replace(book, parts=(), rules=(), works=(), index=())),
    )


def _id_of(item: Article | ReverseLine) -> str:
    if isinstance(item, Article):
        return item.id
    return next((ref.to for ref in item.refs if ref.to), "reverse part")


_SPACING = frozenset("\t\n\v\f\r\x85")
_SHOWN = re.compile("[\u0600-\u0605\u06dd\u070f\u0890\u0891\u08e2\U000110bd\U000110cd\U00013430-\U00013438]")
"""Format characters that are printed: signs over numbers, joiners of hieroglyphs (Unicode 16, chapter 23)."""


def _is_invisible(character: str) -> bool:
    """Return whether a character needs no glyph: format characters, and controls that are white space.

    The typesetter refuses all other controls, and a byte order mark inside a text.
    """
    kind = category(character)
    if kind == "Cc":
        return character in _SPACING
    if kind == "Cf":
        return character != "\ufeff" and not _SHOWN.match(character)
    return kind in ("Zl", "Zp") or character == "\u034f"
