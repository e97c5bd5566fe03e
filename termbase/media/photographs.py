"""Photographs, upright, in the colours of a screen, no larger than print needs; pictures in smaller sizes.

A photograph is written again on its way in, so nothing of the camera's file is left. Scans and facsimiles are
not for this module: `termbase.media.pictures` keeps every pixel of them.
"""

import io
from typing import Final

from PIL import ExifTags, ImageCms, ImageOps
from PIL import Image as Pictures

from termbase.errors import BadInput
from termbase.media.pictures import orientation_of, read_picture, stripped, upright_size
from termbase.messages import message
from termbase.record.people import Image

__all__ = ["LIST", "PAGE", "PRINT", "read_figure", "read_photograph", "scaled"]

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
        BadInput: it is none of these, is damaged, or is too large.
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
