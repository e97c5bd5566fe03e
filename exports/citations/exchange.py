"""The formats of citation, under their names: writing a file of sources, reading one."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from exports.citations.bibtex import bibtex_pieces, read_bibtex
from exports.citations.cslvalues import csl_json_pieces, read_csl_json
from exports.citations.ris import read_ris, ris_pieces
from exports.citations.works import Work
from exports.placing import format_by_extension, placed
from termbase.errors import BadInput
from termbase.sources import Source
from termbase.transcripts import read_transcript

__all__ = ["FORMATS", "Format", "FormatName", "format_of", "read_works", "write_citations"]

FormatName = Literal["csl-json", "bibtex", "ris"]


@dataclass(frozen=True)
class Format:
    """A format: its name for readers, the endings of its files, how it is written and read."""

    title: str
    suffixes: tuple[str, ...]
    pieces: Callable[[Iterable[Source]], Iterator[str]]
    read: Callable[[str, str], Iterator[Work | BadInput]]


FORMATS: Final[dict[FormatName, Format]] = {
    "csl-json": Format("CSL-JSON", (".json",), csl_json_pieces, read_csl_json),
    "bibtex": Format("BibTeX", (".bib", ".bibtex"), bibtex_pieces, read_bibtex),
    "ris": Format("RIS", (".ris",), ris_pieces, read_ris),
}
"""Every format; only CSL-JSON holds the line pattern of a word-list."""


def write_citations(sources: Iterable[Source], path: Path, format_name: FormatName) -> int:
    """Write sources as a file; returns how many.

    Raises:
        OSError: it cannot be written there.
    """
    kept = list(sources)
    with placed(path) as unfinished, unfinished.open("x", encoding="utf-8", newline="") as file:
        for piece in FORMATS[format_name].pieces(kept):
            file.write(piece)
    return len(kept)


def read_works(content: bytes, name: str, format_name: FormatName | None = None) -> list[Work | BadInput]:
    """The works in a file; one that cannot be taken stands as its error.

    Args:
        content: the file.
        name: its name, for messages; its extension tells the format where that is not given.
        format_name: the format.

    Raises:
        BadInput: the file is not text, or not of that format; or its extension tells no format.
    """
    chosen = format_name or format_of(name)
    return list(FORMATS[chosen].read(read_transcript(content, name), name))


def format_of(name: str) -> FormatName:
    """The format that the extension of a file name tells.

    Raises:
        BadInput: it tells none.
    """
    return format_by_extension(name, {key: known.suffixes for key, known in FORMATS.items()})
