"""Pictures from outside: PNG, JPEG, WebP or one page of a PDF, measured before they are drawn or unpacked.

Scans and facsimiles keep every pixel. No picture keeps what its file says of place and camera.
"""

import hashlib
import io
import math
from dataclasses import replace
from typing import Final

from PIL import ExifTags, ImageCms, ImageOps
from PIL import Image as Pictures
from pypdfium2 import PdfDocument, PdfImage, PdfiumError, PdfPage
from pypdfium2 import raw as pdfium

from termbase.errors import BadInput
from termbase.media.metadata import NotUnderstood, without_metadata
from termbase.messages import message
from termbase.record.people import Image

__all__ = [
    "FEWEST_DOTS",
    "LIST",
    "MOST_DRAWN",
    "MOST_PIXELS",
    "PAGE",
    "PRINT",
    "orientation_of",
    "read_figure",
    "read_photograph",
    "read_picture",
    "scaled",
    "stripped",
    "upright_size",
]


MOST_PIXELS: Final = 60_000_000
"""Larger pictures are refused: an A3 page at 600 dots an inch has 70 million, at 400 it has 31 million."""
DOTS_PER_INCH: Final = 200
"""A page of a PDF is drawn at this size, or smaller where that would be more than `MOST_DRAWN`."""
MOST_DRAWN: Final = 30_000_000
"""Pixels of a drawn page: a broadsheet newspaper (600 by 750 mm) at 200 dots an inch has 28 million."""
LONGEST_SIDE: Final = 20_000
"""Pixels of the longer side of a drawn page."""
FEWEST_DOTS: Final = 72
"""Dots an inch; a page that would have to be drawn smaller is refused (common practice, no source)."""
_POINTS_PER_INCH: Final = 72
_MM_PER_INCH: Final = 25.4
_KEPT: Final = {"PNG": "image/png", "JPEG": "image/jpeg", "MPO": "image/jpeg", "WEBP": "image/webp"}
"""Media types by format. MPO is a JPEG with more pictures behind it, as phones write it; the first stays."""
_READ: Final = ("PNG", "JPEG", "WEBP")  # the library opens an MPO as JPEG


def read_picture(data: bytes, where: str, *, pdf_page: int = 1) -> Image:
    """A picture from a file's bytes: PNG, JPEG, WebP, or one page of a PDF; every pixel is kept.

    Args:
        data: the file.
        where: its name, for messages.
        pdf_page: which page of a PDF, from 1.

    Raises:
        BadInput: it has another format, is damaged, or is too large.
    """
    if not data:
        raise BadInput(
            message("The file is empty (0 bytes)."), where=where, fix=message("Choose the picture again.")
        )
    if data[:1024].lstrip().startswith(b"%PDF"):
        data = _page_of_pdf(data, where, pdf_page)
    try:
        with Pictures.open(io.BytesIO(data), formats=_READ) as picture:
            kind, (width, height) = picture.format or "", picture.size
            if width * height > MOST_PIXELS:
                raise _too_large(width, height, where)
            turned = orientation_of(picture)
            picture.load()
    except BadInput:
        raise
    except (Pictures.DecompressionBombError, Pictures.DecompressionBombWarning) as error:
        raise BadInput(
            message("The picture is too large."),
            where=where,
            fix=message("Scale it to less than 60 million pixels."),
        ) from error
    except Exception as error:  # damaged files make the library raise nearly anything
        raise BadInput(message("This is not a readable picture."), where=where,
                       fix=message("Use a PNG, JPEG or WebP file, or a PDF.")) from error  # fmt: skip
    return stripped(Image("", _KEPT[kind], *upright_size(width, height, turned), data))


def stripped(image: Image) -> Image:
    """The same picture without metadata, every pixel as it was; its sizes are those of the picture upright.

    A picture without an id gets one: the first 16 hex digits of the SHA-256 of its bytes. Data that
    cannot be read as a picture is returned unchanged.
    """
    try:
        with Pictures.open(io.BytesIO(image.data), formats=_READ) as picture:
            turned, size = orientation_of(picture), picture.size
            try:
                data = without_metadata(image.data, turned)
            except NotUnderstood:  # readable, though not built as it should be: written again, pixel by pixel
                out = io.BytesIO()
                ImageOps.exif_transpose(picture).save(out, "PNG", icc_profile=picture.info.get("icc_profile"))
                data = out.getvalue()
                image = replace(image, media_type=_KEPT["PNG"])
        image = replace(image, data=data)
        if (image.width, image.height) == size:
            width, height = upright_size(*size, turned)
            image = replace(image, width=width, height=height)
    except Exception:  # damaged files make the library raise nearly anything; nobody can look at them either
        pass
    return image if image.id else replace(image, id=hashlib.sha256(image.data).hexdigest()[:16])


def orientation_of(picture: Pictures.Image) -> int:
    """Which way up the file says a picture is (EXIF tag 274): 1 to 8, 1 where it says nothing."""
    turned = picture.getexif().get(ExifTags.Base.Orientation, 1)
    return turned if isinstance(turned, int) and 1 <= turned <= 8 else 1


def upright_size(width: int, height: int, orientation: int) -> tuple[int, int]:
    """Width and height of a picture once it is turned upright."""
    return (height, width) if orientation >= 5 else (width, height)


def _too_large(width: int, height: int, where: str) -> BadInput:
    return BadInput(
        message("The picture is %(width)s by %(height)s pixels.", width=width, height=height),
        where=where,
        fix=message("Scale it to less than 60 million pixels."),
    )


def _page_of_pdf(data: bytes, where: str, number: int) -> bytes:
    """One page of a PDF as a PNG file."""
    try:
        with PdfDocument(data) as document:
            if not 1 <= number <= len(document):
                raise BadInput(
                    message(
                        "The PDF has %(n)s pages, so it has no page %(page)s.", n=len(document), page=number
                    ),
                    where=where,
                    fix=message("Enter the number of one of its pages."),
                )
            page = document[number - 1]
            scale = _scale(page, number, where)
            _check_images(page, where)
            # In this order of bytes the picture shares the memory that was drawn into.
            drawn = page.render(scale=scale, rev_byteorder=True).to_pil()
            out = io.BytesIO()
            drawn.convert("RGB").save(out, "PNG")
    except PdfiumError as error:
        raise BadInput(
            message("The PDF cannot be read."), where=where, fix=message("Save it again without a password.")
        ) from error
    return out.getvalue()


def _scale(page: PdfPage, number: int, where: str) -> float:
    """Pixels a point at which a page is drawn.

    Raises:
        BadInput: the page has no size, or it would have to be drawn so small that nobody can read it.
    """
    width, height = map(float, page.get_size())
    if not (width > 0 and height > 0):
        raise BadInput(
            message("Page %(number)s of the PDF has no size.", number=number),
            where=where,
            fix=message("Save the page as a PNG or JPEG picture and use that."),
        )
    scale: float = min(
        DOTS_PER_INCH / _POINTS_PER_INCH,
        math.sqrt(MOST_DRAWN / width / height),
        LONGEST_SIDE / max(width, height),
    )
    if not scale * _POINTS_PER_INCH >= FEWEST_DOTS:
        raise BadInput(
            message(
                "Page %(number)s of the PDF measures %(width)s by %(height)s mm. That is too large to draw.",
                number=number,
                width=_millimetres(width),
                height=_millimetres(height),
            ),
            where=where,
            fix=message("Save the PDF with a smaller page size, or use a PNG or JPEG picture of the page."),
        )
    return scale


def _millimetres(points: float) -> str:
    return f"{points / _POINTS_PER_INCH * _MM_PER_INCH:,.0f}" if math.isfinite(points) else "∞"


def _check_images(page: PdfPage, where: str) -> None:
    """Refuse a page with a JPEG 2000 image that is too large: pdfium unpacks only those as a whole.

    Raises:
        BadInput: there is such an image.
    """
    for image in page.get_objects([pdfium.FPDF_PAGEOBJ_IMAGE]):
        if isinstance(image, PdfImage) and "JPXDecode" in image.get_filters():
            try:
                with Pictures.open(io.BytesIO(bytes(image.get_data())), formats=("JPEG2000",)) as opened:
                    width, height = opened.size
            except (Pictures.DecompressionBombError, Pictures.DecompressionBombWarning):
                width, height = image.get_px_size()
                raise _too_large(width, height, where) from None
            except Exception:  # damaged: pdfium leaves it white
                continue
            if width * height > MOST_PIXELS:
                raise _too_large(width, height, where)


# Photographs are turned upright, converted to sRGB, scaled to what print needs and written again, so nothing
# of the camera's file is left. Scans and facsimiles keep every pixel.

LIST: Final = 320
"""Pixels of the longer side of a picture in a list."""
PAGE: Final = 1200
"""The same on a page of the browser."""
PRINT: Final = 2400
"""The same in print, and the most that is kept of a photograph: 200 mm at 300 dots an inch."""
_QUALITY: Final = 85
_EXPOSURE: Final = (ExifTags.Base.ExposureTime, ExifTags.Base.FNumber, ExifTags.Base.ISOSpeedRatings)


def read_photograph(data: bytes, where: str) -> Image:
    """A photograph from a file's bytes, as it is kept: a JPEG, upright, without metadata, at most `PRINT`
    pixels long.

    Args:
        data: the file: PNG, JPEG, WebP, or a PDF of which the first page is taken.
        where: its name, for messages.

    Raises:
        BadInput: it has another format, is damaged, or is too large.
    """
    as_sent = read_picture(data, where)
    width, height = _fitted(as_sent.width, as_sent.height, PRINT)
    return stripped(Image("", "image/jpeg", width, height, scaled(as_sent, PRINT)))


def read_figure(data: bytes, where: str) -> Image:
    """A picture of an entry: a photograph where a camera made the file, else a facsimile with every pixel.

    A camera says how it exposed the picture; a scanner has nothing to say of that (common practice, no
    source).

    Raises:
        BadInput: it is not a picture, is damaged, or is too large.
    """
    facsimile = read_picture(data, where)
    try:
        with Pictures.open(io.BytesIO(data)) as opened:
            exif = opened.getexif()
            told = exif.get_ifd(ExifTags.IFD.Exif)
            by_camera = any(tag in told for tag in _EXPOSURE) or bool(exif.get_ifd(ExifTags.IFD.GPSInfo))
    except Exception:  # a PDF, or metadata that cannot be read: no camera speaks
        by_camera = False
    return read_photograph(data, where) if by_camera else facsimile


def scaled(image: Image, longest: int) -> bytes:
    """A picture as JPEG, upright, its longer side `longest` pixels at most, clear ground made white.

    Raises:
        BadInput: it cannot be read.
    """
    try:
        with Pictures.open(io.BytesIO(image.data)) as opened:
            turned = orientation_of(opened)
            size = _fitted(*upright_size(*opened.size, turned), longest)
            opened.draft("RGB", upright_size(*size, turned))  # a JPEG is read no larger than it is wanted
            profile = opened.info.get("icc_profile")
            plain = _on_white(ImageOps.exif_transpose(opened))
            small = plain.resize(size, Pictures.Resampling.LANCZOS, reducing_gap=3.0)
            small = _for_screen(small, profile)
    except (OSError, ValueError, SyntaxError) as error:
        raise BadInput(
            message("The picture %(id)s cannot be read.", id=image.id),
            where=image.id,
            fix=message("Attach it to its entry again, or publish without pictures."),
        ) from error
    out = io.BytesIO()
    small.save(out, "JPEG", quality=_QUALITY, optimize=True)
    return out.getvalue()


def _for_screen(picture: Pictures.Image, profile: bytes | None) -> Pictures.Image:
    """The picture in the colours of a screen (sRGB), so that it needs no profile of the camera."""
    if not profile or picture.mode != "RGB":
        return picture
    try:
        own = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        turned = ImageCms.profileToProfile(picture, own, ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError):
        return picture
    return turned if turned is not None else picture


def _on_white(opened: Pictures.Image) -> Pictures.Image:
    if opened.mode in ("1", "L"):
        return opened.convert("L")
    if opened.mode == "P" or "A" in opened.mode:
        clear = opened.convert("RGBA")
        ground = Pictures.new("RGBA", clear.size, "white")
        return Pictures.alpha_composite(ground, clear).convert("RGB")
    return opened.convert("RGB")


def _fitted(width: int, height: int, longest: int) -> tuple[int, int]:
    part = min(1.0, longest / max(width, height))
    return max(1, round(width * part)), max(1, round(height * part))
