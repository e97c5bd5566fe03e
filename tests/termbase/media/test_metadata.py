"""No picture keeps what its file says of place and camera; scans keep every pixel."""

import io
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ExifTags, ImageCms, ImageOps, PngImagePlugin
from PIL import Image as Pictures

from termbase.media.metadata import NotUnderstood, without_metadata
from termbase.media.pictures import (
    LIST,
    PRINT,
    orientation_of,
    read_figure,
    read_photograph,
    read_picture,
    scaled,
    stripped,
)
from termbase.record.people import Image
from termbase.store.engine import Store

SECRETS = (
    b"Camera Maker",
    b"Model Nine",
    b"a comment of the owner",
    b"http://ns.adobe.com/xap",
    b"Photoshop 3.0",
)
PROFILE = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def gradient(width: int = 40, height: int = 24) -> Pictures.Image:
    picture = Pictures.new("RGB", (width, height))
    picture.putdata([(x * 6 % 256, y * 9 % 256, (x * y) % 256) for y in range(height) for x in range(width)])
    return picture


def exif(orientation: int = 1, *, place: bool = True, exposed: bool = True) -> Pictures.Exif:
    told = Pictures.Exif()
    told[ExifTags.Base.Make] = "Camera Maker"
    told[ExifTags.Base.Model] = "Model Nine"
    told[ExifTags.Base.Orientation] = orientation
    if exposed:
        told.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.ExposureTime] = 0.01
    if place:
        told.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] = (52.0, 13.0, 7.0)
    return told


def jpeg(orientation: int = 1, picture: Pictures.Image | None = None, **more: object) -> bytes:
    """A JPEG with everything a camera and an editor leave in one."""
    out = io.BytesIO()
    made = picture or gradient()
    made.save(
        out, "JPEG", exif=exif(orientation), comment=b"a comment of the owner", icc_profile=PROFILE,
        xmp=b"<x:xmpmeta xmlns:x='adobe:ns:meta/'/>", **more,
    )  # fmt: skip
    data = out.getvalue()
    photoshop = b"Photoshop 3.0\x00" + b"8BIM" + b"\x04\x04\x00\x00\x00\x00\x00\x00"
    segment = b"\xff\xed" + (len(photoshop) + 2).to_bytes(2, "big") + photoshop
    return data[:2] + segment + data[2:] + b"trailing bytes of a film"


def png(orientation: int = 1) -> bytes:
    told = PngImagePlugin.PngInfo()
    told.add_text("Author", "a comment of the owner")
    told.add_itxt("XML:com.adobe.xmp", "http://ns.adobe.com/xap")
    out = io.BytesIO()
    gradient().convert("RGBA").save(
        out, "PNG", pnginfo=told, exif=exif(orientation), icc_profile=PROFILE, dpi=(300, 300)
    )
    return out.getvalue()


def webp(orientation: int = 1) -> bytes:
    out = io.BytesIO()
    gradient().save(out, "WEBP", exif=exif(orientation), icc_profile=PROFILE, xmp=b"http://ns.adobe.com/xap")
    return out.getvalue()


def film(orientation: int = 1) -> bytes:
    """A PNG of two pictures."""
    out = io.BytesIO()
    more = [gradient().rotate(180)]
    gradient().save(
        out, "PNG", exif=exif(orientation), icc_profile=PROFILE, save_all=True, append_images=more
    )
    return out.getvalue()


def phone(orientation: int = 1) -> bytes:
    """A JPEG that a second picture follows, as phones write them."""
    out = io.BytesIO()
    more = [gradient().rotate(180)]
    gradient().save(
        out, "MPO", exif=exif(orientation), icc_profile=PROFILE, save_all=True, append_images=more
    )
    return out.getvalue()


def pixels(data: bytes) -> tuple[str, tuple[int, int], bytes]:
    with Pictures.open(io.BytesIO(data)) as opened:
        upright = ImageOps.exif_transpose(opened)
        return upright.mode, upright.size, upright.tobytes()


def told(data: bytes) -> dict[int, object]:
    with Pictures.open(io.BytesIO(data)) as opened:
        found = opened.getexif()
        return (
            dict(found) | dict(found.get_ifd(ExifTags.IFD.GPSInfo)) | dict(found.get_ifd(ExifTags.IFD.Exif))
        )


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("make", [jpeg, png, webp, film, phone])
def test_a_scan_keeps_every_pixel_without_further_messages(
    make: Callable[[int], bytes], orientation: int
) -> None:
    sent = make(orientation)
    kept = read_picture(sent, "scan")

    assert pixels(kept.data) == pixels(sent)
    assert (kept.width, kept.height) == pixels(sent)[1]
    assert set(told(kept.data)) <= {ExifTags.Base.Orientation}
    assert not any(secret in kept.data for secret in SECRETS)
    assert b"trailing" not in kept.data


def test_the_colours_of_a_scan_are_kept() -> None:
    for make in (jpeg, png, webp):
        with Pictures.open(io.BytesIO(read_picture(make(), "scan").data)) as opened:
            assert opened.info["icc_profile"] == PROFILE


def test_a_progressive_jpeg_keeps_every_pixel() -> None:
    sent = jpeg(6, progressive=True, subsampling=0, quality=95)
    assert pixels(read_picture(sent, "scan").data) == pixels(sent)


def test_what_was_read_once_stays_as_it_is() -> None:
    for make in (jpeg, png, webp):
        once = read_picture(make(6), "scan")
        assert stripped(once) == once


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_photograph_is_upright_small_and_says_nothing(orientation: int) -> None:
    sent = jpeg(orientation, gradient(3000, 1500))
    kept = read_photograph(sent, "mat.jpg")

    assert kept.media_type == "image/jpeg"
    assert max(kept.width, kept.height) == PRINT
    assert (kept.width > kept.height) == (orientation < 5)
    with Pictures.open(io.BytesIO(kept.data)) as opened:
        assert opened.size == (kept.width, kept.height)
        assert orientation_of(opened) == 1
        assert "icc_profile" not in opened.info
    assert told(kept.data) == {}
    assert not any(secret in kept.data for secret in SECRETS)


@pytest.mark.parametrize("make", [film, phone])
def test_a_file_of_several_pictures_is_a_photograph_too(make: Callable[[int], bytes]) -> None:
    kept = read_photograph(make(6), "mat")

    assert (kept.media_type, kept.width, kept.height) == ("image/jpeg", 24, 40)
    assert told(kept.data) == {}
    assert not any(secret in kept.data for secret in SECRETS)


def test_what_a_camera_took_is_a_photograph_and_a_scan_a_facsimile() -> None:
    out = io.BytesIO()
    gradient().save(out, "JPEG", exif=exif(place=False, exposed=False), quality=100)
    scan = out.getvalue()
    assert pixels(read_figure(scan, "scan.jpg").data) == pixels(scan)
    assert read_figure(jpeg(), "mat.jpg").data == read_photograph(jpeg(), "mat.jpg").data


def test_a_small_picture_is_upright_too() -> None:
    scan = read_picture(jpeg(6, gradient(800, 400)), "scan.jpg")
    with Pictures.open(io.BytesIO(scaled(scan, LIST))) as small:
        assert small.size == (160, 320)


def test_every_import_path_removes_metadata(store: Store) -> None:
    for number, make in enumerate((jpeg, png, webp)):
        with store.act("Nia", "saved a picture") as act:
            act.add_image(Image(f"{number:016}", "image/jpeg", 24, 40, make(6)))
        with store.read() as reader:
            kept = reader.get(Image, f"{number:016}")
        assert pixels(kept.data) == pixels(make(6))
        assert set(told(kept.data)) <= {ExifTags.Base.Orientation}


def test_a_picture_that_is_cut_off_loses_what_it_says_too() -> None:
    whole = jpeg(6, gradient(400, 300))
    cut = stripped(Image("0" * 16, "image/jpeg", 400, 300, whole[: len(whole) * 3 // 4]))
    assert not any(secret in cut.data for secret in SECRETS)
    assert cut.data[-200:] == whole[: len(whole) * 3 // 4][-200:]


@given(st.binary(max_size=200), st.sampled_from([jpeg(), png(), webp()]), st.integers(0, 5000))
@settings(max_examples=150)
def test_damaged_files_are_refused_or_read(noise: bytes, good: bytes, at: int) -> None:
    data = good[: at % len(good)] + noise + good[at % len(good) + len(noise) :]
    try:
        without_metadata(data)
    except NotUnderstood:
        return
