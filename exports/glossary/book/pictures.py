"""The pictures of entries in publications: which ones, with their captions, scaled.

Scans may be tens of megabytes, so none is published at its original size. They are read,
scaled and released one at a time.
"""

from collections.abc import Iterable, Iterator
from typing import Final

import msgspec

from exports.glossary.book import wording
from exports.glossary.book.book import Picture
from termbase.media.pictures import scaled as scaled_to
from termbase.messages import message
from termbase.overviews import articles as record
from termbase.record.people import Image
from termbase.store.reading import Reader
from termbase.voice import Voice

__all__ = ["LONGEST", "picture_files", "pictures_of", "scaled"]

LONGEST: Final = 1000
"""Pixels of a picture's longer side: 300 per inch across a column of A4."""


def pictures_of(original: record.Article, library: record.Library, voice: Voice) -> Iterator[Picture]:
    """Yield the pictures of an entry, then those of its slips; a picture in both is shown once.

    A picture without a caption is described by the name of the entry.
    """
    shown: set[str] = set()
    name = original.entry.terms[0].text if original.entry.terms else original.entry.id
    default = voice.say(message("Picture: %(name)s", name=name))
    for picture in (*_figures(original, library), *_slips(original, library, voice)):
        size = library.reader.picture_size(picture.file) if picture.file not in shown else None
        if size is None:
            continue
        shown.add(picture.file)
        width, height = _fitted(*size)
        file, alt = f"{picture.file}.jpg", picture.caption or default
        yield msgspec.structs.replace(picture, file=file, width=width, height=height, alt=alt)


def picture_files(pictures: Iterable[Picture], reader: Reader) -> Iterator[tuple[str, bytes]]:
    """Yield the files of these pictures, each once: name and bytes.

    Raises:
        BadInput: a picture cannot be read.
    """
    for file in dict.fromkeys(picture.file for picture in pictures):
        yield file, scaled(reader.get(Image, file.partition(".")[0]))


def scaled(image: Image) -> bytes:
    """Return a picture as an upright JPEG, its longer side at most `LONGEST` pixels.

    Transparent areas become white; metadata about camera or place is removed.

    Raises:
        BadInput: it cannot be read.
    """
    return scaled_to(image, LONGEST)


def _figures(original: record.Article, library: record.Library) -> Iterator[Picture]:
    """Yield the entry's pictures with their captions; `file` is still the id of the image."""
    own = wording.primary(library.termbase.working_language)
    for figure in original.entry.figures:
        source = library.sources.get(figure.source_id)
        credit = ", ".join(filter(None, (figure.maker, source.label if source else "", figure.rights)))
        lang = own if figure.caption else ""
        yield Picture(figure.image_id, 0, 0, "", caption=figure.caption, credit=credit, lang=lang)


def _slips(original: record.Article, library: record.Library, voice: Voice) -> Iterator[Picture]:
    """Yield the pictures of its slips, in the same form."""
    for slip in (slip for slips in original.slips.values() for slip in slips if slip.image_id):
        source = library.sources.get(slip.source_id)
        label = source.label if source else slip.source_id
        place = ", ".join(filter(None, (label, wording.place_in(slip, voice))))
        caption = voice.say(message("The slip in its source: %(place)s", place=place))
        yield Picture(slip.image_id, 0, 0, "", caption=caption, credit=source.rights if source else "")


def _fitted(width: int, height: int) -> tuple[int, int]:
    part = min(1.0, LONGEST / max(width, height))
    return max(1, round(width * part)), max(1, round(height * part))
