"""Taking in the text of a transcription: bytes to Unicode text, or a clear refusal.

Text comes as UTF-8 (a byte order mark is allowed) or, on request, Windows-1252; it may be compressed
with gzip (dictzip files are gzip). Line ends become line feeds, the text NFC. Pure: no file is opened.
"""

import zlib
from typing import Literal
from unicodedata import normalize

from termbase.errors import BadInput
from termbase.messages import message

__all__ = ["LARGEST", "Encoding", "read_transcript"]

Encoding = Literal["utf-8", "windows-1252"]

LARGEST = 64 * 1024 * 1024
"""Largest text accepted, in bytes, before and after it is unpacked."""

_MOST_MEMBERS = 64  # files packed one after another; more is not a transcription
_GZIP = b"\x1f\x8b"
_BYTE_ORDER_MARKS = (
    (b"\x00\x00\xfe\xff", "UTF-32"),
    (b"\xff\xfe\x00\x00", "UTF-32"),
    (b"\xfe\xff", "UTF-16"),
    (b"\xff\xfe", "UTF-16"),
)
_UTF8_MARK = b"\xef\xbb\xbf"


def read_transcript(
    content: bytes, where: str, *, encoding: Encoding = "utf-8", largest: int = LARGEST, composed: bool = True
) -> str:
    """Return the text of a transcription; `where` names its file or field.

    Args:
        content: the file.
        where: what it is called in errors.
        encoding: of the text.
        largest: bytes that are taken at most.
        composed: bring the text to NFC.

    Raises:
        BadInput: there is nothing in it, it is larger than `largest`, the gzip data are damaged or cut
            short, it is no text (NUL), or it is not in the encoding told. The place names the line and
            the byte, both from 1.
    """
    if content.startswith(_GZIP):
        content = _unpack(content, where, largest)
    elif len(content) > largest:
        raise _too_large(where, largest)
    if not content:
        raise BadInput(
            message("The file is empty (0 bytes)."),
            where=where,
            fix=message("Choose the file that contains the text."),
        )
    for mark, name in _BYTE_ORDER_MARKS:
        if content.startswith(mark):
            raise BadInput(
                message("This is %(name)s, not UTF-8.", name=name),
                where=_place(content, 0, where),
                fix=message("Save the text as UTF-8."),
            )
    zero = content.find(b"\x00")
    if zero >= 0:
        raise BadInput(
            message("It contains a NUL byte, so it is not a text file."),
            where=_place(content, zero, where),
            fix=message("Save it as plain text in UTF-8."),
        )
    text = _decode(content, where, encoding).replace("\r\n", "\n").replace("\r", "\n")
    return normalize("NFC", text) if composed else text


def _unpack(content: bytes, where: str, largest: int) -> bytes:
    """Unpack gzip data of one member or several, never more than `largest` bytes."""
    pieces: list[bytes] = []
    room = largest
    if len(content) > largest:
        raise _too_large(where, largest)
    while content:
        if len(pieces) == _MOST_MEMBERS:
            raise BadInput(
                message("It contains more than %(n)s gzip members.", n=_MOST_MEMBERS),
                where=where,
                fix=message("Decompress it first."),
            )
        unpacker = zlib.decompressobj(wbits=31)
        try:
            piece = unpacker.decompress(content, room + 1)
        except zlib.error as error:
            raise BadInput(
                message("The gzip data are damaged."),
                where=where,
                fix=message("Download or pack the file again."),
            ) from error
        room -= len(piece)
        if room < 0:
            raise _too_large(where, largest)
        pieces.append(piece)
        if not unpacker.eof:
            raise BadInput(
                message("The gzip data are cut off."),
                where=where,
                fix=message("Download or pack the file again."),
            )
        content = unpacker.unused_data.lstrip(b"\x00")
    return b"".join(pieces)


def _too_large(where: str, largest: int) -> BadInput:
    return BadInput(
        message("The text is larger than %(size)s bytes.", size=f"{largest:,}"),
        where=where,
        fix=message("Add it in parts, a page or a chapter at a time."),
    )


def _decode(content: bytes, where: str, encoding: Encoding) -> str:
    if encoding == "windows-1252":
        try:
            return content.removeprefix(_UTF8_MARK).decode("cp1252")
        except UnicodeDecodeError as error:
            raise BadInput(
                message("Byte %(byte)s has no meaning in Windows-1252.", byte=f"{content[error.start]:#04x}"),
                where=_place(content, error.start, where),
                fix=message("Try it as UTF-8."),
            ) from error
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _not_utf8(content, where) from error


def _not_utf8(content: bytes, where: str) -> BadInput:
    """Where UTF-8 ends, found in the content itself: a decoder that skips the mark counts without it."""
    try:
        content.decode("utf-8")
    except UnicodeDecodeError as error:
        return BadInput(
            message("Byte %(byte)s is not UTF-8.", byte=f"{content[error.start]:#04x}"),
            where=_place(content, error.start, where),
            fix=message("Save the text as UTF-8, or choose Windows-1252 as its encoding."),
        )
    return BadInput(message("This is not UTF-8."), where=where, fix=message("Save the text as UTF-8."))


def _place(content: bytes, offset: int, where: str) -> str:
    before = content[:offset]
    ends = before.count(b"\n") + before.count(b"\r") - before.count(b"\r\n")
    return message("%(where)s, line %(line)s, byte %(byte)s", where=where, line=ends + 1, byte=offset + 1)
