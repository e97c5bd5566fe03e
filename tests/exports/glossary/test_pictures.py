"""Pictures of entries in every publication: scaled, with their credit, and described for readers who
cannot see them."""

import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import PIL.Image
import pypdf
import pytest

from exports.glossary.book.book import Selection
from exports.glossary.book.pictures import LONGEST, scaled
from exports.glossary.cards.publishing import publish_cards
from exports.glossary.epub.publishing import publish_epub
from exports.glossary.pdf.publishing import publish_pdf
from exports.glossary.site.publishing import publish_site
from termbase.errors import BadInput
from termbase.media.pictures import read_picture
from termbase.overviews.articles import Library
from termbase.record.entries import Entry, Figure
from termbase.record.people import Image
from termbase.record.sources import Slip
from termbase.store.engine import Store

AS_OF = "2026-03-01"
CREDIT = "Gwen, Lantern, CC0"


def picture(width: int, height: int, kind: str = "PNG", mode: str = "RGB") -> Image:
    out = io.BytesIO()
    made = PIL.Image.effect_noise((width, height), 90).convert(mode)
    made.save(out, kind)
    return read_picture(out.getvalue(), "picture")


@pytest.fixture
def pictured(own_store: Store) -> Iterator[Library]:
    """The sample with a large scan on the back-heel, one slip of which has one too."""
    scan, cutting = picture(2400, 1600), picture(300, 500)
    with own_store.act("Gwen", "pictures") as act:
        entry = act.get(Entry, "c0001")
        figure = Figure(scan.id, "A back-heel at the fair", maker="Gwen", rights="CC0", source_id="s1")
        act.add_image(scan)
        act.add_image(cutting)
        act.put(replace(entry, figures=(figure, Figure(scan.id, "The same again"))))
        act.put(replace(act.get(Slip, "q1"), image_id=cutting.id))
    with own_store.read() as reader:
        yield Library(reader)


def test_a_site_shows_pictures_scaled_with_caption_and_credit(pictured: Library, tmp_path: Path) -> None:
    publish_site(pictured, tmp_path / "site", as_of=AS_OF)
    page = (tmp_path / "site/entries/c0001.html").read_text("utf-8")
    shown = re.findall(
        r'<img src="\.\./(assets/pictures/\w+\.jpg)" width="(\d+)" height="(\d+)" alt="([^"]+)"', page
    )
    assert [(w, h, alt) for _, w, h, alt in shown] == [
        ("1000", "667", "A back-heel at the fair"),
        ("300", "500", "The slip in its source: Lantern, p. 3, col. 2"),
    ]
    assert f"({CREDIT})" in page
    with PIL.Image.open(tmp_path / "site" / shown[0][0]) as found:
        assert (found.format, found.size) == ("JPEG", (1000, 667))


def test_an_e_book_lists_and_shows_pictures(pictured: Library, tmp_path: Path) -> None:
    publish_epub(pictured, tmp_path / "book.epub", as_of=AS_OF)
    with zipfile.ZipFile(tmp_path / "book.epub") as archive:
        files = {n for n in archive.namelist() if n.startswith("EPUB/pictures/")}
        package = archive.read("EPUB/package.opf").decode()
        text = "".join(archive.read(n).decode() for n in archive.namelist() if n.endswith(".xhtml"))
    listed = re.findall(r'href="(pictures/\w+\.jpg)" media-type="image/jpeg"', package)
    assert {f"EPUB/{path}" for path in listed} == files
    assert sorted(re.findall(r'<img src="([^"]+)"', text)) == sorted(listed)
    assert text.count('alt="A back-heel at the fair"/>') == 1


def test_print_shows_and_describes_pictures(pictured: Library, tmp_path: Path) -> None:
    publish_pdf(pictured, tmp_path / "book.pdf", as_of=AS_OF)
    reader = pypdf.PdfReader(tmp_path / "book.pdf")
    assert sum(len(page.images) for page in reader.pages) == 2
    assert CREDIT in " ".join(" ".join(page.extract_text().split()) for page in reader.pages)
    text = _text_of(reader)
    assert "A back-heel at the fair" in text


def _text_of(reader: pypdf.PdfReader) -> set[str]:
    """Return the alternative texts of the structure tree."""
    found: set[str] = set()
    waiting = [reader.trailer["/Root"]["/StructTreeRoot"]]  # type: ignore[index]
    while waiting:
        node = waiting.pop().get_object()
        if isinstance(node, list):
            waiting.extend(node)
        elif isinstance(node, dict):
            if "/Alt" in node:
                found.add(str(node["/Alt"]))
            if "/K" in node:
                waiting.append(node["/K"])
    return found


def test_a_card_has_the_first_picture(pictured: Library, tmp_path: Path) -> None:
    publish_cards(pictured, tmp_path / "cards.pdf", as_of=AS_OF)
    reader = pypdf.PdfReader(tmp_path / "cards.pdf")
    assert [len(page.images) for page in reader.pages] == [0, 1], "on the back"
    assert CREDIT in reader.pages[1].extract_text()


def test_pictures_can_be_left_out(pictured: Library, tmp_path: Path) -> None:
    chosen = Selection(pictures=False)
    publish_site(pictured, tmp_path / "site", as_of=AS_OF, selection=chosen)
    publish_pdf(pictured, tmp_path / "book.pdf", as_of=AS_OF, selection=chosen)
    publish_epub(pictured, tmp_path / "book.epub", as_of=AS_OF, selection=chosen)
    assert not list((tmp_path / "site").rglob("*.jpg"))
    assert not any(page.images for page in pypdf.PdfReader(tmp_path / "book.pdf").pages)
    with zipfile.ZipFile(tmp_path / "book.epub") as archive:
        assert not any("pictures" in name for name in archive.namelist())


@pytest.mark.parametrize(
    ("kind", "mode"),
    [("JPEG", "L"), ("JPEG", "CMYK"), ("PNG", "RGBA"), ("PNG", "1"), ("PNG", "P"), ("WEBP", "RGB")],
)
def test_every_stored_picture_format_can_be_scaled(kind: str, mode: str) -> None:
    with PIL.Image.open(io.BytesIO(scaled(picture(1500, 90, kind, mode)))) as found:
        assert (found.format, found.size) == ("JPEG", (LONGEST, 60))


def test_a_transparent_background_becomes_white() -> None:
    out = io.BytesIO()
    PIL.Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(out, "PNG")
    with PIL.Image.open(io.BytesIO(scaled(read_picture(out.getvalue(), "picture")))) as found:
        assert found.getpixel((10, 10)) == (255, 255, 255)


def test_a_small_picture_is_not_enlarged() -> None:
    with PIL.Image.open(io.BytesIO(scaled(picture(40, 30)))) as found:
        assert found.size == (40, 30)


def test_a_damaged_picture_is_reported() -> None:
    whole = picture(600, 600)
    with pytest.raises(BadInput, match=whole.id):
        scaled(replace(whole, data=whole.data[:900]))
