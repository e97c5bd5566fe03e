"""The formats of citation, under their names: writing a file of sources, reading one."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from exports.citations.bibtex import bibtex_pieces, read_bibtex
from exports.citations.cslvalues import csl_json_pieces, read_csl_json
from exports.citations.ris import read_ris, ris_pieces
from exports.citations.works import Work
from exports.outputs import CITATION_FORMAT
from exports.placing import format_by_extension, placed
from termbase.articles import Library
from termbase.errors import BadInput
from termbase.messages import message_of_number
from termbase.sources import Source
from termbase.transcripts import read_transcript

__all__ = [
    "FORMATS", "Format", "FormatName", "SourcesReport", "format_of", "read_works", "write_citations",
    "write_sources",
]  # fmt: skip

FormatName = Literal["csl-json", "bibtex", "ris"]


@dataclass(frozen=True)
class Format:
    """A format: its name for readers, the endings of its files, how it is written and read."""

    name: FormatName
    pieces: Callable[[Iterable[Source]], Iterator[str]]
    read: Callable[[str, str], Iterator[Work | BadInput]]

    @property
    def title(self) -> str:
        """Its name for readers."""
        return CITATION_FORMAT.choice(self.name).label

    @property
    def suffixes(self) -> tuple[str, ...]:
        """What the names of its files end in; the first is that of files we name."""
        return CITATION_FORMAT.choice(self.name).endings


FORMATS: Final[dict[FormatName, Format]] = {
    "csl-json": Format("csl-json", csl_json_pieces, read_csl_json),
    "bibtex": Format("bibtex", bibtex_pieces, read_bibtex),
    "ris": Format("ris", ris_pieces, read_ris),
}
"""Every format; only CSL-JSON holds the line pattern of a word-list."""


@dataclass(frozen=True)
class SourcesReport:
    """What was written.

    Attributes:
        sources: how many sources.
    """

    sources: int

    def readable(self) -> tuple[str, ...]:
        """How many sources."""
        return (message_of_number("%(n)s source.", "%(n)s sources.", self.sources),)


def write_sources(
    library: Library,
    path: Path,
    *,
    format_name: FormatName = "csl-json",
    on_progress: Callable[[int], None] | None = None,
) -> SourcesReport:
    """Write every source of the record as a file.

    Args:
        library: the record.
        path: where the file shall be.
        format_name: the format.
        on_progress: told at the end how many sources are done.

    Raises:
        OSError: it cannot be written there.
    """
    number = write_citations(library.reader.all(Source), path, format_name)
    if on_progress:
        on_progress(number)
    return SourcesReport(number)


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
