"""Pictures from outside are measured before they are drawn or unpacked."""

import io
import zlib
from pathlib import Path

import PIL.Image
import pytest

import termbase
from termbase.errors import BadInput
from termbase.media.pictures import FEWEST_DOTS, MOST_DRAWN, read_picture
from tests.limited import printed_within

ROOT = Path(termbase.__file__).parents[1]
GIGABYTE = 1 << 30


def pdf(width: object, height: object, image: tuple[bytes, bytes] = (b"", b"")) -> bytes:
    """A PDF of one page: a line, or an image given by its dictionary and its data."""
    about, data = image
    draws = b"q 100 0 0 100 0 0 cm /I Do Q" if data else b"0 0 m 100 100 l S"
    named = b"/XObject<</I 5 0 R>>" if data else b""
    size = f"{width} {height}".encode()
    objects = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 %b]/Contents 4 0 R/Resources<<%b>>>>" % (size, named),
        b"<</Length %d>>stream\n%b\nendstream" % (len(draws), draws),
        b"<</Type/XObject/Subtype/Image%b/Length %d>>stream\n%b\nendstream" % (about, len(data), data),
    ]
    out, offsets = b"%PDF-1.4\n", []
    for number, content in enumerate(objects, 1):
        offsets.append(len(out))
        out += b"%d 0 obj\n%b\nendobj\n" % (number, content)
    table = b"".join(b"%010d 00000 n \n" % offset for offset in offsets)
    trailer = b"trailer<</Size 6/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF" % len(out)
    return out + b"xref\n0 6\n0000000000 65535 f \n" + table + trailer


def drawn_in_a_gigabyte(data: bytes) -> str:
    """What `read_picture` says of a file, in a process that may take one gigabyte and no more."""
    code = (
        "import sys\n"
        "from termbase.errors import BadInput\n"
        "from termbase.media.pictures import read_picture\n"
        "try:\n"
        "    picture = read_picture(sys.stdin.buffer.read(), 'x.pdf')\n"
        "    print(picture.media_type, picture.width, picture.height)\n"
        "except BadInput as error:\n"
        "    print(error)\n"
    )
    return printed_within(GIGABYTE, code, data)


def test_a_page_of_a_pdf_is_drawn_at_200_dots_an_inch() -> None:
    picture = read_picture(pdf(595, 842), "x.pdf")
    assert (picture.media_type, picture.width, picture.height) == ("image/png", 1653, 2339)


def test_a_large_page_is_drawn_smaller_and_in_little_memory() -> None:
    said = drawn_in_a_gigabyte(pdf(5000, 5000))
    assert said == "image/png 5478 5478"
    assert MOST_DRAWN * 1.01 > 5478 * 5478
    assert FEWEST_DOTS <= 5478 / 5000 * 72


@pytest.mark.parametrize(
    ("width", "height", "millimetres"),
    [
        (14_400, 14_400, "5,080 by 5,080"),
        (10, 10_000_000, "4 by 3,527,778"),
        (30_000, 2_000, "10,583 by 706"),
    ],
)
def test_an_absurd_page_is_refused_before_it_is_drawn(width: int, height: int, millimetres: str) -> None:
    said = drawn_in_a_gigabyte(pdf(width, height))
    assert f"x.pdf: Page 1 of the PDF measures {millimetres} mm. That is too large to draw." in said
    assert "Save the PDF with a smaller page" in said


def test_a_large_image_within_a_page_is_drawn_in_little_memory() -> None:
    packed = zlib.compressobj(9)
    data = b"".join(packed.compress(bytes(60_000)) for _ in range(20_000)) + packed.flush()
    about = b"/Width 20000/Height 20000/ColorSpace/DeviceRGB/BitsPerComponent 8/Filter/FlateDecode"
    assert drawn_in_a_gigabyte(pdf(595, 842, (about, data))) == "image/png 1653 2339"


def test_a_large_jpeg_2000_image_within_a_page_is_refused_whatever_the_page_says_of_it() -> None:
    out = io.BytesIO()
    PIL.Image.new("L", (8000, 8000)).save(out, "JPEG2000")
    about = b"/Width 10/Height 10/ColorSpace/DeviceGray/BitsPerComponent 8/Filter/JPXDecode"
    with pytest.raises(BadInput, match="8000 by 8000 pixels"):
        read_picture(pdf(595, 842, (about, out.getvalue())), "x.pdf")
    with pytest.raises(BadInput, match="has 1 pages, so it has no page 2"):
        read_picture(pdf(595, 842), "x.pdf", pdf_page=2)


@pytest.mark.parametrize("kind", ["PNG", "WEBP", "JPEG"])
def test_a_picture_of_too_many_pixels_is_refused_with_its_size(kind: str) -> None:
    out = io.BytesIO()
    PIL.Image.new("L" if kind != "WEBP" else "RGB", (16_000, 4_000)).save(out, kind)
    with pytest.raises(BadInput, match="16000 by 4000 pixels"):
        read_picture(out.getvalue(), "x.png")


@pytest.mark.parametrize("side", [10_000, 60_000])
def test_a_picture_that_is_enormous_is_called_too_large_not_damaged(side: int) -> None:
    row = bytes(1 + side // 8)
    packed = zlib.compressobj(9)
    data = b"".join(packed.compress(row) for _ in range(10)) + packed.flush()

    def chunk(name: bytes, content: bytes) -> bytes:
        return len(content).to_bytes(4) + name + content + zlib.crc32(name + content).to_bytes(4)

    head = side.to_bytes(4) * 2 + bytes((1, 0, 0, 0, 0))
    png = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")
    with pytest.raises(BadInput) as refused:
        read_picture(png, "x.png")
    assert refused.value.fix == "Scale it to less than 60 million pixels."
