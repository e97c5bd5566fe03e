"""Detecting the encoding of a text table and the delimiter between its cells.

Both are detected from the file and shown, and a person can choose others.
"""

import csv
import io
from collections import Counter
from types import MappingProxyType
from typing import Final

from termbase.errors import BadInput
from termbase.messages import message
from termbase.transcripts import read_transcript

__all__ = ["DELIMITERS", "ENCODINGS", "delimiter_of", "encoding_of", "table_text"]

ENCODINGS: Final = MappingProxyType(
    {
        "utf-8": "utf_8",
        "windows-1252": "cp1252",
        "iso-8859-14": "iso8859_14",  # Latin 8, Celtic: it has the Welsh ŵ and ŷ
        "utf-16": "utf_16",
        "mac-roman": "mac_roman",
        "cp850": "cp850",  # DOS
    }
)
"""Encodings that a table can be read in, with Python's name for each (Python library reference, codecs)."""

_OF_EIGHT_BITS: Final = ("windows-1252", "iso-8859-14", "mac-roman", "cp850")  # most frequent first
_SMALL_LETTERS: Final = frozenset("áàâäãåéèêëíìîïóòôöõøúùûüẃẁŵẅýỳŷÿñçœæßḃċḋḟġṁṗṡṫ")
"""Letters with diacritics in the Celtic and western European languages, and the dotted ones of Gaelic
type."""

DELIMITERS: Final = (",", ";", "\t", "|")
_SAMPLE = 200_000  # bytes examined to detect the encoding
_ROWS = 50  # rows examined to detect the delimiter
_GZIP = b"\x1f\x8b"
_MARKS_OF_UTF16 = (b"\xff\xfe", b"\xfe\xff")
_MOST_BAD = 0.1  # share of bad characters among non-ASCII ones up to which a text counts as damaged UTF-8


def encoding_of(content: bytes) -> str:
    """Return the encoding of a text, one of `ENCODINGS`: UTF-8 if it is valid, else the most likely one.

    A text that is UTF-8 except for a few bytes counts as UTF-8: an error then says where it is damaged. Of
    the other encodings, the most likely is the one in which most non-ASCII characters are where such
    characters occur in print: accented letters within words, quotation marks beside them. A table has too few
    of them for the statistics of a general detector.
    """
    if content.startswith(_GZIP):
        return "utf-8"
    if content.startswith(_MARKS_OF_UTF16):
        return "utf-16"
    tried = content.decode("utf-8", "replace")
    bad, beyond = tried.count("\ufffd"), sum(1 for sign in tried if sign > "\x7f")
    if bad <= _MOST_BAD * beyond:
        return "utf-8"
    return max(_OF_EIGHT_BITS, key=lambda name: _plausibility(content[:_SAMPLE], ENCODINGS[name]))


def _plausibility(content: bytes, encoding: str) -> float:
    """Return the share of the non-ASCII characters that are in a plausible place; -1 if one is undefined."""
    try:
        text = f" {content.decode(encoding)} "
    except UnicodeDecodeError:
        return -1.0
    fits = [_is_plausible(sign, text[n - 1], text[n + 1]) for n, sign in enumerate(text) if sign > "\x7f"]
    return sum(fits) / len(fits) if fits else 0.0


def _is_plausible(sign: str, before: str, after: str) -> bool:
    if sign in _SMALL_LETTERS:
        return True
    if sign.lower() in _SMALL_LETTERS:
        return not before.islower()
    if sign in "“‘«":
        return after.isalnum() and not before.isalpha()
    if sign in "”»…":
        return not before.isspace() and not after.isalpha()
    if sign == "£":
        return after.isdigit()
    return (sign == "’" and not before.isspace()) or sign in "–—·°\u00a0"


def table_text(content: bytes, name: str, encoding: str, largest: int) -> str:
    """Return the text of a table.

    Args:
        content: the file.
        name: its name, for messages.
        encoding: one of `ENCODINGS`.
        largest: maximum number of bytes.

    Raises:
        BadInput: it is not text in that encoding, or too large.
    """
    if encoding in ("utf-8", "windows-1252"):
        return read_transcript(content, name, encoding=encoding, largest=largest)  # type: ignore[arg-type]
    if encoding not in ENCODINGS:
        raise BadInput(
            message("There is no encoding %(encoding)r.", encoding=encoding),
            where=name,
            fix=message("Choose one of: %(encodings)s.", encodings=", ".join(ENCODINGS)),
        )
    try:
        text = content.decode(ENCODINGS[encoding])
    except UnicodeDecodeError as error:
        raise BadInput(
            message("It cannot be read as %(encoding)s.", encoding=encoding),
            where=name,
            fix=message("Choose another encoding."),
        ) from error
    return read_transcript(text.encode(), name, largest=largest)


def delimiter_of(text: str) -> str:
    """Return the delimiter: the character that gives most rows as many cells as the heading."""
    return max(DELIMITERS, key=lambda sign: _regularity(text, sign))


def _regularity(text: str, sign: str) -> tuple[float, int]:
    """Return the share of rows with as many cells as the heading, if it has several; and their number."""
    csv.field_size_limit(len(text) + 1)
    widths: list[int] = []
    try:
        for cells in csv.reader(io.StringIO(text[:_SAMPLE], newline=""), delimiter=sign):
            if any(cell.strip() for cell in cells):
                widths.append(len(cells))
            if len(widths) > _ROWS:
                break
    except csv.Error:
        pass
    if not widths or widths[0] < 2:
        return 0.0, 0
    return Counter(widths)[widths[0]] / len(widths), widths[0]
