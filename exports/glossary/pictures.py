"""Pictures of entries as publications show them: which, with what words beside them, and scaled.

Scans may be of tens of megabytes: none is passed on as it is. One is read, scaled and let go at a time.
"""

from collections.abc import Iterable, Iterator
from typing import Final

import msgspec

from exports.glossary.print import wording
from exports.glossary.print.book import Picture
from termbase import articles as record
from termbase.messages import message
from termbase.people import Image
from termbase.photographs import scaled as scaled_to
from termbase.store import Reader
from termbase.voice import Voice

__all__ = ["LONGEST", "pictures_of", "scaled", "written"]

LONGEST: Final = 1000
"""Pixels of a picture's longer side: 300 to the inch over a column of A4."""


def pictures_of(found: record.Article, library: record.Library, voice: Voice) -> Iterator[Picture]:
    """The pictures of an entry, then those of its slips; one that both have is shown once.

    A picture without a caption is told by the name of the entry, since nobody should meet one untold.
    """
    shown: set[str] = set()
    name = found.entry.terms[0].text if found.entry.terms else found.entry.id
    unsaid = voice.say(message("Picture: %(name)s", name=name))
    for picture in (*_figures(found, library), *_slips(found, library, voice)):
        size = library.reader.picture_size(picture.file) if picture.file not in shown else None
        if size is None:
            continue
        shown.add(picture.file)
        width, height = _fitted(*size)
        file, alt = f"{picture.file}.jpg", picture.caption or unsaid
        yield msgspec.structs.replace(picture, file=file, width=width, height=height, alt=alt)


def written(pictures: Iterable[Picture], reader: Reader) -> Iterator[tuple[str, bytes]]:
    """The files of these pictures, each once: name and bytes.

    Raises:
        BadInput: one cannot be read.
    """
    for file in dict.fromkeys(picture.file for picture in pictures):
        yield file, scaled(reader.get(Image, file.partition(".")[0]))


def scaled(image: Image) -> bytes:
    """A picture as JPEG, its longer side `LONGEST` pixels at most, upright, clear ground made white, nothing
    said in it of camera or place.

    Raises:
        BadInput: it cannot be read.
    """
    return scaled_to(image, LONGEST)


def _figures(found: record.Article, library: record.Library) -> Iterator[Picture]:
    """What is said of the pictures of the entry; in place of the file stands the id of the image."""
    own = wording.primary(library.termbase.working_language)
    for figure in found.entry.figures:
        source = library.sources.get(figure.source_id)
        credit = ", ".join(filter(None, (figure.maker, source.label if source else "", figure.rights)))
        lang = own if figure.caption else ""
        yield Picture(figure.image_id, 0, 0, "", caption=figure.caption, credit=credit, lang=lang)


def _slips(found: record.Article, library: record.Library, voice: Voice) -> Iterator[Picture]:
    """The same of its slips."""
    for slip in (slip for slips in found.slips.values() for slip in slips if slip.image_id):
        source = library.sources.get(slip.source_id)
        label = source.label if source else slip.source_id
        place = ", ".join(filter(None, (label, wording.place_in(slip, voice))))
        caption = voice.say(message("The slip in its source: %(place)s", place=place))
        yield Picture(slip.image_id, 0, 0, "", caption=caption, credit=source.rights if source else "")


def _fitted(width: int, height: int) -> tuple[int, int]:
    part = min(1.0, LONGEST / max(width, height))
    return max(1, round(width * part)), max(1, round(height * part))
