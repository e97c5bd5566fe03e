"""The termbase's own data, the people, and the pictures."""

import hashlib
import io
from dataclasses import replace

from PIL import Image as Pictures
from PIL import UnidentifiedImageError
from pypdfium2 import PdfDocument, PdfiumError

from termbase.errors import BadInput
from termbase.intake import take_person, take_termbase
from termbase.messages import message
from termbase.people import Image, Person, Termbase
from termbase.store import Act

__all__ = ["read_picture", "remove_person", "save_person", "save_termbase"]

MOST_PIXELS = 60_000_000
"""Larger pictures are refused: an A3 page at 600 dots an inch has 70 million, at 400 it has 31 million."""
DOTS_PER_INCH = 200
KEPT = {"PNG": "image/png", "JPEG": "image/jpeg", "WEBP": "image/webp"}


def save_termbase(act: Act, termbase: Termbase) -> Termbase:
    """Change the termbase's title, languages, licence and the like."""
    return act.put(take_termbase(termbase))


def save_person(act: Act, person: Person) -> Person:
    """Write a person, new (empty id) or changed.

    Raises:
        BadInput: there is no name, or somebody else has it: the history knows people by their names.
        Conflict: somebody else changed it since it was read.
    """
    taken = take_person(person)
    if any(other.name == taken.name and other.id != taken.id for other in act.all(Person)):
        raise BadInput(
            message("There is a %(name)s already.", name=taken.name),
            where=message("name"),
            mend=message("Add something that tells them apart."),
        )
    return act.add(replace(taken, id=act.new_id("person"))) if not taken.id else act.put(taken)


def remove_person(act: Act, person_id: str) -> None:
    """Take a person off the list; the history keeps the name with everything that was done under it.

    Raises:
        NotFound: there is no such person.
    """
    act.remove(Person, person_id)


def read_picture(data: bytes, where: str, *, pdf_page: int = 1) -> Image:
    """A picture from a file's bytes: PNG, JPEG, WebP, or one page of a PDF (drawn at 200 dots an inch).

    Args:
        data: the file.
        where: its name, for messages.
        pdf_page: which page of a PDF, from 1.

    Raises:
        BadInput: it is none of these, is damaged, or is too large.
    """
    if not data:
        raise BadInput(
            message("The file is empty (0 bytes)."), where=where, mend=message("Choose the picture again.")
        )
    if data[:1024].lstrip().startswith(b"%PDF"):
        data = _page_of_pdf(data, where, pdf_page)
    try:
        with Pictures.open(io.BytesIO(data), formats=tuple(KEPT)) as picture:
            kind, (width, height) = picture.format or "", picture.size
            if width * height > MOST_PIXELS:
                raise BadInput(
                    message("The picture is %(width)s by %(height)s pixels.", width=width, height=height),
                    where=where,
                    mend=message("Scale it to less than 60 million pixels."),
                )
            picture.load()
    except (
        UnidentifiedImageError,
        OSError,
        SyntaxError,
        ValueError,
        Pictures.DecompressionBombError,
    ) as error:
        if isinstance(error, BadInput):
            raise
        raise BadInput(message("This is no picture that can be read."), where=where,
                       mend=message("Give a PNG, JPEG or WebP file, or a PDF.")) from error  # fmt: skip
    return Image(hashlib.sha256(data).hexdigest()[:16], KEPT[kind], width, height, data)


def _page_of_pdf(data: bytes, where: str, number: int) -> bytes:
    try:
        with PdfDocument(data) as document:
            if not 1 <= number <= len(document):
                raise BadInput(
                    message("The PDF has %(n)s pages, not a page %(page)s.", n=len(document), page=number),
                    where=where,
                    mend=message("Give the number of one of its pages."),
                )
            page = document[number - 1]
            drawn = page.render(scale=DOTS_PER_INCH / 72).to_pil()
    except PdfiumError as error:
        raise BadInput(
            message("The PDF cannot be read."), where=where, mend=message("Save it again without a password.")
        ) from error
    out = io.BytesIO()
    drawn.convert("RGB").save(out, "PNG")
    return out.getvalue()
