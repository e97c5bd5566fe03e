"""The documents of the book: which articles each contains, and the table of contents."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from exports.glossary.book.book import Article, Book, Letter, Part, ReverseLine

__all__ = ["MOST_ARTICLES", "Chapter", "Document", "Stretch", "documents_of", "homes_of", "table_of"]

MOST_ARTICLES = 60
"""Articles per document: reading systems open a document as a whole and begin it on a new page."""
MOST_LINES = 400


class Stretch(NamedTuple):
    """A letter with its articles, or part of one; `anchor` is empty where the letter continues."""

    letter: str
    anchor: str
    items: tuple[Article | ReverseLine, ...]


class Document(NamedTuple):
    """A document: its file, the part it belongs to, whether it opens that part, and its letters."""

    file: str
    part: str
    lang: str
    opens_part: bool
    stretches: tuple[Stretch, ...]

    @property
    def has_figures(self) -> bool:
        """Return whether it contains a figure."""
        return any(isinstance(i, Article) and i.figure for s in self.stretches for i in s.items)

    @property
    def title(self) -> str:
        """Return the part and the letters in it."""
        first, last = self.stretches[0].letter, self.stretches[-1].letter
        return f"{self.part}: {first if first == last else f'{first} – {last}'}"


class Chapter(NamedTuple):
    """A line of the table of contents, with the lines below it."""

    title: str
    href: str
    under: tuple["Chapter", ...] = ()


def documents_of(book: Book) -> tuple[Document, ...]:
    """Return the documents of all parts, in reading order."""
    return tuple(d for number, part in enumerate(book.parts, start=1) for d in _of_part(part, number))


def homes_of(documents: Sequence[Document]) -> dict[str, str]:
    """Return the file of each article, by entry id."""
    return {i.id: d.file for d in documents for s in d.stretches for i in s.items if isinstance(i, Article)}


def table_of(documents: Sequence[Document]) -> tuple[Chapter, ...]:
    """Return the table of contents: parts, and the letters in each."""
    parts: dict[str, list[Document]] = {}
    for document in documents:
        parts.setdefault(document.part, []).append(document)
    return tuple(
        Chapter(
            title,
            mine[0].file,
            tuple(Chapter(s.letter, f"{d.file}#{s.anchor}") for d in mine for s in d.stretches if s.anchor),
        )
        for title, mine in parts.items()
    )


def _of_part(part: Part, number: int) -> Iterator[Document]:
    for n, stretches in enumerate(_packed(part.letters), start=1):
        yield Document(f"part{number}-{n:03}.xhtml", part.title, part.lang, n == 1, stretches)


def _packed(letters: Sequence[Letter]) -> Iterator[tuple[Stretch, ...]]:
    """Combine or divide letters into documents of suitable size."""
    packed: list[Stretch] = []
    weight = 0.0
    for number, letter in enumerate(letters, start=1):
        for place, items in enumerate(_pieces(letter)):
            more = sum(map(_weight, items))
            if packed and weight + more > 1:
                yield tuple(packed)
                packed, weight = [], 0.0
            packed.append(Stretch(letter.letter, f"letter{number}" if place == 0 else "", items))
            weight += more
    if packed:
        yield tuple(packed)


def _pieces(letter: Letter) -> Iterator[tuple[Article | ReverseLine, ...]]:
    piece: list[Article | ReverseLine] = []
    weight = 0.0
    for item in letter.items:
        if piece and weight + _weight(item) > 1 + 1e-9:
            yield tuple(piece)
            piece, weight = [], 0.0
        piece.append(item)
        weight += _weight(item)
    yield tuple(piece)


def _weight(item: Article | ReverseLine) -> float:
    """Return the share of a document that an item takes up."""
    return 1 / (MOST_ARTICLES if isinstance(item, Article) else MOST_LINES)
