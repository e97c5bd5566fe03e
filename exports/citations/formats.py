"""The citation formats by name: writing and reading a file of sources, and what each format leaves out."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from exports.citations.bibtex import bibtex_pieces, read_bibtex
from exports.citations.csl import csl_json_pieces, read_csl_json
from exports.citations.ris import read_ris, ris_pieces
from exports.citations.works import Work
from exports.files import atomic_write, format_by_extension
from exports.losses import BOOKKEEPING, Reasons, reason_table
from exports.outputs import CITATION_FORMAT
from termbase.errors import BadInput
from termbase.messages import message, message_of_number
from termbase.overviews.articles import Library
from termbase.record.sources import Source
from termbase.transcripts import read_transcript

__all__ = [
    "FORMATS",
    "LEFT_OUT",
    "Format",
    "FormatName",
    "SourcesReport",
    "format_of",
    "read_works",
    "write_citations",
    "write_sources",
]


FormatName = Literal["csl-json", "bibtex", "ris"]


@dataclass(frozen=True)
class Format:
    """A format: its name for readers, its file extensions, how it is written and read."""

    name: FormatName
    pieces: Callable[[Iterable[Source]], Iterator[str]]
    read: Callable[[str, str], Iterator[Work | BadInput]]

    @property
    def title(self) -> str:
        """Its name for readers."""
        return CITATION_FORMAT.choice(self.name).label

    @property
    def suffixes(self) -> tuple[str, ...]:
        """Its file extensions; the first is used for files that we name."""
        return CITATION_FORMAT.choice(self.name).endings


FORMATS: Final[dict[FormatName, Format]] = {
    "csl-json": Format("csl-json", csl_json_pieces, read_csl_json),
    "bibtex": Format("bibtex", bibtex_pieces, read_bibtex),
    "ris": Format("ris", ris_pieces, read_ris),
}
"""Every format; only CSL-JSON includes the line pattern of a word-list."""


@dataclass(frozen=True)
class SourcesReport:
    """What was written.

    Attributes:
        sources: how many sources.
    """

    sources: int

    def readable(self) -> tuple[str, ...]:
        """Return how many sources."""
        return (message_of_number("%(n)s source.", "%(n)s sources.", self.sources),)


def write_sources(
    library: Library,
    path: Path,
    *,
    format_name: FormatName = "csl-json",
    on_progress: Callable[[int], None] | None = None,
) -> SourcesReport:
    """Write every source of the record to a file.

    Args:
        library: the record.
        path: path of the file.
        format_name: the format.
        on_progress: called at the end with the number of sources done.

    Raises:
        OSError: it cannot be written there.
    """
    number = write_citations(library.reader.all(Source), path, format_name)
    if on_progress:
        on_progress(number)
    return SourcesReport(number)


def write_citations(sources: Iterable[Source], path: Path, format_name: FormatName) -> int:
    """Write sources to a file; return how many.

    Raises:
        OSError: it cannot be written there.
    """
    listed = list(sources)
    with atomic_write(path) as unfinished, unfinished.open("x", encoding="utf-8", newline="") as file:
        for piece in FORMATS[format_name].pieces(listed):
            file.write(piece)
    return len(listed)


def read_works(content: bytes, name: str, format_name: FormatName | None = None) -> list[Work | BadInput]:
    """Return the works in a file; an invalid one comes as its error.

    Args:
        content: the file.
        name: its name, for messages; its extension determines the format if that is not given.
        format_name: the format.

    Raises:
        BadInput: the file is not text, or not in that format; or its extension is unknown.
    """
    chosen = format_name or format_of(name)
    return list(FORMATS[chosen].read(read_transcript(content, name), name))


def format_of(name: str) -> FormatName:
    """Return the format for the extension of a file name.

    Raises:
        BadInput: the extension is unknown.
    """
    return format_by_extension(name, {key: known.suffixes for key, known in FORMATS.items()})


_OTHERS: Final = (
    message("The file contains only the sources."),
    ("termbase", "person", "entry", "slip", "trial", "code", "page", "line", "image", "redirect"),
)
_KEY: Final = (message("The format has its own key, made from the label."), ("source.id",))
_PATTERN: Final = (message("It is used only to read the source's pages here."), ("source.pattern",))
_VERSION: Final = (BOOKKEEPING, ("source.version",))

LEFT_OUT: Final[Mapping[FormatName, Reasons]] = {
    "csl-json": reason_table(_OTHERS, _VERSION),
    "bibtex": reason_table(_OTHERS, _VERSION, _KEY, _PATTERN),
    "ris": reason_table(_OTHERS, _VERSION, _KEY, _PATTERN),
}
"""What each format leaves out, and why."""
