"""Removing metadata (place, camera, comments) from picture files without changing a pixel.

Which parts of a file hold metadata: JPEG, ITU-T T.81 annex B and JFIF 1.02 (application segments, comments);
PNG, W3C Portable Network Graphics (Third Edition), section 11.3 (ancillary chunks); WebP, its container
specification (RIFF chunks). Colour profiles stay, since without them a picture looks different; so does the
EXIF orientation.
"""

import re
from collections.abc import Iterator
from typing import Final, Literal
from zlib import crc32

__all__ = ["NotUnderstood", "without_metadata"]

_PNG: Final = b"\x89PNG\r\n\x1a\n"
_PNG_KEPT: Final = frozenset(
    b"IHDR PLTE IDAT IEND tRNS cHRM gAMA iCCP sBIT sRGB cICP mDCV cLLI".split()
    + b"bKGD hIST pHYs sPLT acTL fcTL fdAT".split()
)
_WEBP_KEPT: Final = frozenset((b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ANIM", b"ANMF", b"ICCP"))
_EXIF_FLAG, _XMP_FLAG = 0x08, 0x04
_SCAN_END: Final = re.compile(rb"\xff+[^\x00\xd0-\xd7\xff]", re.DOTALL)
_START, _END, _SCAN, _COMMENT = 0xD8, 0xD9, 0xDA, 0xFE
_ALONE: Final = frozenset((0x01, *range(0xD0, 0xD8)))
_APPLICATION: Final = range(0xE0, 0xF0)
_APPLICATION_KEPT: Final = {0xE0: b"JFIF\x00", 0xE2: b"ICC_PROFILE\x00", 0xEE: b"Adobe"}


class NotUnderstood(ValueError):
    """The file does not follow its format."""


def without_metadata(data: bytes, orientation: int = 1) -> bytes:
    """Return the same picture file without metadata; only PNG, JPEG and WebP are accepted.

    Args:
        data: the file.
        orientation: orientation of the picture (EXIF tag 274, 1 to 8); kept in the file unless it is 1.

    Raises:
        NotUnderstood: the file has another format or is damaged.
    """
    try:
        if data.startswith(_PNG):
            return b"".join(_png(data, orientation))
        if data.startswith(b"\xff\xd8"):
            return b"".join(_jpeg(data, orientation))
        if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
            return _webp(data, orientation)
    except (IndexError, ValueError) as error:
        raise NotUnderstood(str(error)) from error
    raise NotUnderstood("neither PNG, JPEG nor WebP")


def _jpeg(data: bytes, orientation: int) -> Iterator[bytes]:
    yield data[:2]
    position, placed = 2, orientation == 1
    while True:
        if data[position] != 0xFF:
            raise NotUnderstood(f"no marker at byte {position}")
        while data[position + 1] == 0xFF:
            position += 1
        marker = data[position + 1]
        if marker == _END:
            yield b"\xff\xd9"
            return
        if marker in _ALONE:
            yield data[position : position + 2]
            position += 2
            continue
        end = position + 2 + _number(data, position + 2, 2, "big")
        segment = data[position:end]
        if len(segment) < 4 or end > len(data):
            raise NotUnderstood(f"a segment at byte {position} is cut off")
        position = end
        if not placed and marker != 0xE0:
            placed = True
            exif = b"Exif\x00\x00" + _exif(orientation)
            yield b"\xff\xe1" + (len(exif) + 2).to_bytes(2, "big") + exif
        if marker in _APPLICATION or marker == _COMMENT:
            begins = _APPLICATION_KEPT.get(marker)
            if begins is None or not segment[4:].startswith(begins):
                continue
        yield segment
        if marker == _SCAN:
            result = _SCAN_END.search(data, position)
            if (
                result is None
            ):  # truncated: browsers show what there is, so metadata before this point must go too
                yield data[position:]
                return
            yield data[position : result.start()]
            position = result.start()


def _png(data: bytes, orientation: int) -> Iterator[bytes]:
    yield _PNG
    position, placed = len(_PNG), orientation == 1
    while True:
        size, kind = _number(data, position, 4, "big"), data[position + 4 : position + 8]
        chunk = data[position : position + 12 + size]
        if len(chunk) < 12 + size:
            raise NotUnderstood(f"a chunk at byte {position} is cut off")
        position += len(chunk)
        if kind in (b"IDAT", b"IEND") and not placed:  # video readers overlook it after the picture
            placed = True
            yield _png_chunk(b"eXIf", _exif(orientation))
        if kind in _PNG_KEPT:
            yield chunk
        if kind == b"IEND":
            return


def _png_chunk(kind: bytes, content: bytes) -> bytes:
    return len(content).to_bytes(4, "big") + kind + content + crc32(kind + content).to_bytes(4, "big")


def _webp(data: bytes, orientation: int) -> bytes:
    kept: list[bytes] = []
    position, end = 12, 8 + _number(data, 4, 4, "little")
    if end > len(data):
        raise NotUnderstood("the file is cut off")
    while position + 8 <= end:
        kind, size = data[position : position + 4], _number(data, position + 4, 4, "little")
        chunk = data[position : position + 8 + size + size % 2]
        if len(chunk) < 8 + size:
            raise NotUnderstood(f"a chunk at byte {position} is cut off")
        position += len(chunk)
        if kind == b"VP8X":
            flags = chunk[8] & ~(_EXIF_FLAG | _XMP_FLAG) | (_EXIF_FLAG if orientation != 1 else 0)
            chunk = chunk[:8] + bytes((flags,)) + chunk[9:]
        if kind in _WEBP_KEPT:
            kept.append(chunk)
    if orientation != 1 and any(chunk.startswith(b"VP8X") for chunk in kept):
        exif = _exif(orientation)
        kept.append(b"EXIF" + len(exif).to_bytes(4, "little") + exif + b"\x00" * (len(exif) % 2))
    content = b"WEBP" + b"".join(kept)
    return b"RIFF" + len(content).to_bytes(4, "little") + content


def _exif(orientation: int) -> bytes:
    """Return EXIF data with only the orientation of a picture."""
    entry = (0x0112).to_bytes(2, "big") + (3).to_bytes(2, "big") + (1).to_bytes(4, "big")
    value = orientation.to_bytes(2, "big") + b"\x00\x00"
    return b"MM\x00*" + (8).to_bytes(4, "big") + (1).to_bytes(2, "big") + entry + value + b"\x00" * 4


def _number(data: bytes, start: int, size: int, order: Literal["big", "little"]) -> int:
    part = data[start : start + size]
    if len(part) < size:
        raise NotUnderstood("the file is cut off")
    return int.from_bytes(part, order)
