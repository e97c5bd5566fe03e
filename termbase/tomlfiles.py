"""Read untrusted TOML: its size and depth are checked before the parser sees it.

The standard library's parser sets no limits: one dotted key of 100,000 parts takes more than 20 GB, deep
brackets exhaust the stack, and a number of 100,000 digits raises an error that is not about TOML. So a small
scanner reads the text first and stops at anything beyond the limits below, which are far above what our files
need. Every reader of TOML in the program goes through here.
"""

import re
import tomllib
from pathlib import Path
from typing import Final

from termbase.errors import BadInput
from termbase.messages import message
from termbase.transcripts import read_transcript

__all__ = [
    "DEEPEST", "LARGEST", "LONGEST_WORD", "MOST_MARKS", "MOST_PARTS", "NotToml", "decode_toml", "read_toml",
    "toml_text",
]  # fmt: skip

LARGEST: Final = 8 * 1024 * 1024
"""Bytes of a file; 12,000 techniques with all they state take about 7 million."""
MOST_MARKS: Final = 250_000
"""Brackets, braces and dots in a file: each makes the parser keep about one kilobyte."""
MOST_PARTS: Final = 16
"""Parts of a dotted key; our files have three at most."""
DEEPEST: Final = 16
"""Brackets and braces within one another; our files have three at most."""
LONGEST_WORD: Final = 256
"""Characters of a number, a date or a name without quotation marks."""

# The order matters: three quotation marks before one. `*+` never goes back, so no text takes long.
_TOKEN: Final = re.compile(
    r'''
      (?P<text> """ (?: [^"\\] | \\[\s\S] | "(?!"") )*+ """ "{0,2}
              | \'\'\' (?: [^'] | '(?!'') )*+ \'\'\' '{0,2}
              | " (?: [^"\\\n] | \\. )*+ "
              | ' [^'\n]*+ ' )
    | (?P<open> [\[{] ) | (?P<close> [\]}] ) | (?P<dot> \. )
    | (?P<end> [=,\n] )
    | (?P<word> [\w+:-]++ )
    | (?P<gap> [^\S\n]++ | \#[^\n]*+ )
    ''',
    re.VERBOSE,
)
_AT: Final = re.compile(r" \((?:at line (\d+), column (\d+)|at end of document)\)$")


class NotToml(BadInput):
    """A text that is not TOML, or exceeds the limits.

    Attributes:
        line: where, from 1.
    """

    def __init__(self, what: str, *, where: str, fix: str, line: int, column: int = 0) -> None:
        place = (
            message("%(where)s, line %(line)s, column %(column)s", where=where, line=line, column=column)
            if column
            else message("%(where)s, line %(line)s", where=where, line=line)
        )
        super().__init__(what, where=place, fix=fix)
        self.line = line


def decode_toml(content: bytes, where: str) -> str:
    """Return the text of a TOML file unchanged; `where` names it.

    Raises:
        BadInput: it is larger than `LARGEST`, is empty, or is not UTF-8.
    """
    return read_transcript(content, where, largest=LARGEST, composed=False)


def toml_text(path: Path) -> str:
    """Return the text of a TOML file on disk.

    Raises:
        BadInput: as for `decode_toml`.
        OSError: the file cannot be read.
    """
    with path.open("rb") as file:
        return decode_toml(file.read(LARGEST + 1), str(path))


def read_toml(text: str, where: str) -> dict[str, object]:
    """Parse a TOML text into a table; `where` names its file or field.

    Raises:
        NotToml: it is not TOML, or exceeds the limits of this module.
    """
    plain = text.replace("\r\n", "\n")
    _check(plain, where)
    try:
        return tomllib.loads(plain)
    except tomllib.TOMLDecodeError as error:
        reason = str(error)
        at = _AT.search(reason)
        line, column = (int(at[1]), int(at[2])) if at and at[1] else (plain.rstrip().count("\n") + 1, 0)
        reason = _AT.sub("", reason)
        raise NotToml(
            message("This is not TOML: %(error)s.", error=reason[:1].lower() + reason[1:]),
            where=where,
            fix=message("Write each setting as name = value, with text in quotation marks."),
            line=line,
            column=column,
        ) from error


def _check(text: str, where: str) -> None:
    """Scan the text once; stop at what cannot be TOML, because the parser stops there too.

    Raises:
        NotToml: a limit is exceeded.
    """

    def beyond(what: str, fix: str) -> NotToml:
        line_start = text.rfind("\n", 0, place) + 1
        line = text.count("\n", 0, place) + 1
        return NotToml(what, where=where, fix=fix, line=line, column=place - line_start + 1)

    place = depth = dots = marks = 0
    if len(text) > LARGEST or len(text.encode("utf-8", "replace")) > LARGEST:
        raise beyond(
            message("The text is larger than %(size)s bytes.", size=f"{LARGEST:,}"),
            message("Split the file in two and import each part."),
        )
    while token := _TOKEN.match(text, place):
        kind = token.lastgroup
        if kind == "open":
            depth, dots, marks = depth + 1, 0, marks + 1
        elif kind == "close":
            depth, dots = depth - 1, 0
        elif kind == "dot":
            dots, marks = dots + 1, marks + 1
        elif kind == "end":
            dots = 0
        elif kind == "word" and token.end() - place > LONGEST_WORD:
            raise beyond(
                message(
                    "This number or name has %(n)s characters; the limit is %(most)s.",
                    n=f"{token.end() - place:,}",
                    most=LONGEST_WORD,
                ),
                message("Shorten it, or put text in quotation marks."),
            )
        if depth > DEEPEST:
            raise beyond(
                message("The brackets are nested too deep."),
                message("Nest them at most %(most)s deep.", most=DEEPEST),
            )
        if dots >= MOST_PARTS:
            raise beyond(
                message("A dotted name has too many parts."),
                message("Use at most %(most)s, or put text in quotation marks.", most=MOST_PARTS),
            )
        if marks > MOST_MARKS:
            raise beyond(
                message("The file has more than %(most)s brackets and dots.", most=f"{MOST_MARKS:,}"),
                message("Split the file in two and import each part."),
            )
        place = token.end()
