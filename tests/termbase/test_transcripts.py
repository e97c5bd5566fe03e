"""Taking in text: encodings, line ends, compressed files, and what is refused."""

import contextlib
import gzip
import zlib
from unicodedata import normalize

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.errors import BadInput
from termbase.transcripts import read_transcript


@given(text=st.text(st.characters(exclude_characters="\0\r\ufeff", codec="utf-8"), min_size=1))
def test_utf8_text_comes_in_as_nfc(text: str) -> None:
    assert read_transcript(text.encode(), "page") == normalize("NFC", text)


@given(content=st.binary(max_size=60))
def test_bytes_that_are_not_text_are_rejected_without_side_effects(content: bytes) -> None:
    with contextlib.suppress(BadInput):
        assert "\r" not in read_transcript(content, "page")


@pytest.mark.parametrize(
    ("content", "text"),
    [
        ("gŵr\n".encode(), "gŵr\n"),
        (b"\xef\xbb\xbfg\xc5\xb5r", "gŵr"),
        ("gw\u0302r".encode(), "gŵr"),
        (b"a\r\nb\rc\n", "a\nb\nc\n"),
    ],
    ids=["plain", "byte order mark", "decomposed", "line ends"],
)
def test_utf8_is_read(content: bytes, text: str) -> None:
    assert read_transcript(content, "page") == text


def test_windows_1252_is_read_on_request() -> None:
    # 0x93 and 0x94 are curly quotation marks: Unicode's CP1252.TXT mapping
    assert read_transcript(b"\x93t\xeate\x94", "page", encoding="windows-1252") == "“tête”"


@pytest.mark.parametrize(
    ("content", "what", "where"),
    [
        (b"", "0 bytes", "page"),
        (b"ab\ncd\0e", "NUL byte", "page, line 2, byte 6"),
        (b"ab\r\ncd\rt\xeate", "Byte 0xea is not UTF-8", "page, line 3, byte 9"),
        (b"\xef\xbb\xbfab\xff", "Byte 0xff is not UTF-8", "page, line 1, byte 6"),
        ("ab".encode("utf-16"), "UTF-16, not UTF-8", "page, line 1, byte 1"),
        ("ab".encode("utf-32"), "UTF-32, not UTF-8", "page, line 1, byte 1"),
        (b"ab\xc5", "Byte 0xc5 is not UTF-8", "page, line 1, byte 3"),
    ],
)
def test_invalid_utf8_is_rejected_with_line_and_byte(content: bytes, what: str, where: str) -> None:
    with pytest.raises(BadInput) as caught:
        read_transcript(content, "page")
    assert what in caught.value.what
    assert caught.value.where == where


def test_a_byte_without_meaning_in_windows_1252_is_refused() -> None:
    # 0x81 is undefined there: Unicode's CP1252.TXT mapping
    with pytest.raises(BadInput, match="0x81 has no meaning") as caught:
        read_transcript(b"a\nb\x81", "page", encoding="windows-1252")
    assert caught.value.where == "page, line 2, byte 4"


@pytest.mark.parametrize("members", [1, 3])
def test_gzip_of_one_member_or_several_is_unpacked(members: int) -> None:
    packed = b"".join(gzip.compress(f"gŵr {number}\r\n".encode()) for number in range(members))
    assert read_transcript(packed, "page") == "".join(f"gŵr {number}\n" for number in range(members))


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (gzip.compress(b"gwregys " * 50)[:-9], "cut off"),
        (gzip.compress(b"gwregys")[:10] + b"\xff" * 20, "are damaged"),
        (gzip.compress(b"gwregys") + b"more", "are damaged"),
        (gzip.compress(b""), "0 bytes"),
        (gzip.compress(b"a") * 65, "more than 64 gzip members"),
    ],
    ids=["cut short", "damaged", "trailing bytes", "empty", "many members"],
)
def test_bad_gzip_is_refused(content: bytes, what: str) -> None:
    with pytest.raises(BadInput, match=what):
        read_transcript(content, "page")


@pytest.mark.parametrize("pack", [bytes, gzip.compress], ids=["plain", "gzip"])
def test_the_ceiling_is_allowed_and_one_byte_more_is_not(pack: type[bytes]) -> None:
    assert len(read_transcript(pack(b"a" * 1000), "page", largest=1000)) == 1000
    with pytest.raises(BadInput, match="larger than 1,000 bytes"):
        read_transcript(pack(b"a" * 1001), "page", largest=1000)


def test_a_packed_file_that_unpacks_to_very_much_stops_at_the_ceiling() -> None:
    packer = zlib.compressobj(9, wbits=31)
    bomb = b"".join(packer.compress(b"\0" * 1_000_000) for _ in range(200)) + packer.flush()
    assert len(bomb) < 250_000
    with pytest.raises(BadInput, match="larger than 1,000,000 bytes"):
        read_transcript(bomb, "page", largest=1_000_000)
