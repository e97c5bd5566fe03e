"""Notes from elsewhere in TBX-Wordhold, written: one element each, where it stood."""

from collections.abc import Iterable, Mapping
from typing import Final

import msgspec

from exports.tbx.tags import attributes_of
from exports.tbx.xmltext import Escaper

__all__ = ["written_notes"]

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
