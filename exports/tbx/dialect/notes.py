"""Notes from elsewhere in TBX-Wordhold, written and read: one element each, where it stood."""

from collections.abc import Iterable, Mapping
from typing import Final

import msgspec
from lxml import etree

from exports.tbx.elements import whole_text
from exports.tbx.tags import attributes_of
from exports.tbx.xmltext import Escaper, kept
from termbase.foreignnotes import ForeignNote

__all__ = ["read_note", "written_notes"]

_ATTRIBUTES: Final = attributes_of("note")
_escaper = Escaper(keeps=True)
_decode = msgspec.json.Decoder(list[dict[str, str]]).decode


def written_notes(column: str) -> str:
    """The elements of the notes that a column of the tables holds (JSON)."""
    return "".join(_written(note) for note in _decode(column)) if column != "[]" else ""


def _written(note: Mapping[str, str]) -> str:
    pairs: Iterable[tuple[str, str]] = ((name, note.get(field, "")) for field, name in _ATTRIBUTES.items())
    more = "".join(
        f' {name}="{_escaper.attribute(value)}"' for name, value in pairs if value or name == "category"
    )
    return f"<wh:foreignNote{more}>{_escaper.text(note.get('text', ''))}</wh:foreignNote>\n"


def read_note(element: etree._Element) -> ForeignNote:
    """The note of an element."""
    values = {field: kept(element.get(name) or "") for field, name in _ATTRIBUTES.items()}
    return ForeignNote(**values, text=kept(whole_text(element)))
