"""Every output of the program, written of a termbase, with what it leaves out."""

import contextlib
import html
import io
import re
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import msgspec

from app import leftout as shown
from app.commands.setting import print_json
from app.plaintext import article_text
from exports.backup import write_backup
from exports.citations import FORMATS as CITATIONS
from exports.citations import FormatName as CitationFormat
from exports.citations import leftout as works
from exports.citations import write_citations
from exports.glossary import leftout as glossary
from exports.glossary.cards.deck import deck_of
from exports.glossary.epub.publishing import publish_epub
from exports.glossary.pictures import written
from exports.glossary.print.book import Article
from exports.glossary.print.choices import Selection
from exports.glossary.print.rendering import render
from exports.glossary.site.publishing import publish_site
from exports.skos import FORMATS as SKOS
from exports.skos import FormatName as SkosFormat
from exports.skos import leftout as skos
from exports.skos import write_skos
from exports.tables import columns_of, write_table
from exports.tables import leftout as tables
from exports.tables.columns import Rows
from exports.tbx import leftout as tbx
from exports.tbx.markup import DialectName
from exports.tbx.writer import write_tbx
from termbase.articles import Library
from termbase.entries import Entry
from termbase.lookup import find
from termbase.matrix import techniques
from termbase.pages import Line
from termbase.rulefiles import write_codes, write_profiles
from termbase.sources import Source
from termbase.store import schema
from termbase.store.digest import RECORD_TABLES, digest_of_rows, rows_of

__all__ = ["OUTPUTS", "Output"]

DAY = "2026-03-01"
Write = Callable[[Library, Path], bytes]


@dataclass(frozen=True)
class Output:
    """One output.

    Attributes:
        name: what it is called in messages.
        write: gives its content; for a container the contents of its files.
        left_out: paths of fields that are not in it, with the reason.
        searched: whether marks can be read in it; a digest only differs.
        chosen: whether choices are tried; where not, another output of the same content tries them, or it is
            read back.
        judged: whether it shows rule codes only beside a verdict.
    """

    name: str
    write: Write
    left_out: Mapping[str, str]
    searched: bool = True
    chosen: bool = True
    judged: bool = False


def _file(name: str, write: Callable[[Library, Path], object]) -> Write:
    def written(library: Library, folder: Path) -> bytes:
        path = folder / name
        path.unlink(missing_ok=True)
        write(library, path)
        return path.read_bytes()

    return written


def _members(content: bytes, wanted: str = "") -> bytes:
    """The files in a zip, one after another, each with its name."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        names = sorted(n for n in archive.namelist() if re.search(wanted, n))
        return b"\n".join(n.encode() + b"\n" + archive.read(n) for n in names)


def _zip(name: str, write: Callable[[Library, Path], object], wanted: str = "") -> Write:
    file = _file(name, write)
    return lambda library, folder: _members(file(library, folder), wanted)


def _site(library: Library, folder: Path) -> bytes:
    publish_site(library, folder / "site", as_of=DAY, selection=Selection())
    files = sorted(p for p in (folder / "site").rglob("*") if p.suffix in (".html", ".jpg", ".js"))
    skipped = ("search.js",)
    return b"\n".join(
        str(p.relative_to(folder)).encode() + b"\n" + p.read_bytes() for p in files if p.name not in skipped
    )


def _printed(library: Library, folder: Path) -> bytes:
    book = render(library, Selection(), as_of=DAY)
    items = (item for part in book.parts for letter in part.letters for item in letter.items)
    pictures = [picture for item in items if isinstance(item, Article) for picture in item.pictures]
    return msgspec.json.encode(book) + b"".join(data for _, data in written(pictures, library.reader))


def _cards(library: Library, folder: Path) -> bytes:
    deck = deck_of(library, Selection(), as_of=DAY)
    pictures = [card.picture for card in deck.cards if card.picture]
    return msgspec.json.encode(deck) + b"".join(data for _, data in written(pictures, library.reader))


def _told(name: str, **content: object) -> bytes:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        print_json(name, **content)
    return out.getvalue().encode()


def _found(library: Library, folder: Path) -> bytes:
    texts = [t.text for e in library.reader.all(Entry) for t in e.terms]
    return b"".join(_told("find", hits=find(library.reader, text)) for text in texts)


def _table(rows: Rows, suffix: str) -> Write:
    name = f"{rows}{suffix}"

    def write(library: Library, path: Path) -> None:
        write_table(library, path, columns_of(library, rows), rows=rows)

    return _file(name, write) if suffix == ".csv" else _zip(name, write, r"xl/(sharedStrings|worksheets)")


def _tbx(dialect: DialectName) -> Write:
    return _file(f"{dialect}.tbx", lambda library, path: write_tbx(library, path, dialect=dialect))


def _skos(name: SkosFormat) -> Write:
    return _file(f"glossary{SKOS[name]}", lambda library, path: write_skos(library, path, name))


def _works(name: CitationFormat) -> Write:
    def write(library: Library, path: Path) -> None:
        write_citations(library.reader.all(Source), path, name)

    return _file(f"works{CITATIONS[name].suffixes[0]}", write)


def _epub(library: Library, path: Path) -> None:
    publish_epub(library, path, as_of=DAY)


def _backup(library: Library, path: Path) -> None:
    write_backup(library.reader, path, made_on=DAY)


def _plain(library: Library, folder: Path) -> bytes:
    return "\n".join(article_text(article, library) for article in library.articles()).encode()


def _shown(library: Library, folder: Path) -> bytes:
    return b"".join(_told("show", article=article) for article in library.articles())


def _sources(library: Library, folder: Path) -> bytes:
    return _told("source list", sources=library.reader.all(Source))


def _lines(library: Library, folder: Path) -> bytes:
    return _told("page lines", lines=library.reader.all(Line))


def _codes(library: Library, folder: Path) -> bytes:
    return write_codes(library.codes).encode()


def _profiles(library: Library, folder: Path) -> bytes:
    return write_profiles(techniques(library.reader, library.termbase.working_language)).encode()


def _digest(library: Library, folder: Path) -> bytes:
    tables = ((name, schema.metadata.tables[name]) for name in RECORD_TABLES)
    rows = ((name, rows_of(library.reader.connection, table)) for name, table in tables)
    return digest_of_rows(rows).whole.encode()


_OUTPUTS = (
    Output("names.csv", _table("names", ".csv"), tables.LEFT_OUT["names"]),
    Output("names.xlsx", _table("names", ".xlsx"), tables.LEFT_OUT["names"], chosen=False),
    Output("entries.csv", _table("entries", ".csv"), tables.LEFT_OUT["entries"]),
    Output("entries.xlsx", _table("entries", ".xlsx"), tables.LEFT_OUT["entries"], chosen=False),
    Output("slips.csv", _table("slips", ".csv"), tables.LEFT_OUT["slips"]),
    Output("slips.xlsx", _table("slips", ".xlsx"), tables.LEFT_OUT["slips"], chosen=False),
    Output("tbx-basic-dca", _tbx("basic-dca"), tbx.BASIC),
    Output("tbx-basic-dct", _tbx("basic-dct"), tbx.BASIC, chosen=False),
    Output("tbx-wordhold", _tbx("wordhold"), tbx.WHOLE, chosen=False),
    Output("skos-turtle", _skos("turtle"), skos.LEFT_OUT),
    Output("skos-json-ld", _skos("json-ld"), skos.LEFT_OUT, chosen=False),
    *(Output(name, _works(name), works.LEFT_OUT[name]) for name in CITATIONS),
    Output("book", _printed, glossary.BOOK),
    Output("cards", _cards, glossary.CARDS),
    Output("epub", _zip("book.epub", _epub, r"\.(xhtml|opf|jpg)$"), glossary.BOOK, chosen=False),
    Output("site", _site, glossary.SITE, chosen=False),
    Output("wordhold show", _plain, shown.SHOWN),
    Output("wordhold show --json", _shown, shown.WHOLE_ENTRY, judged=True),
    Output("wordhold find --json", _found, shown.FOUND, chosen=False),
    Output("wordhold source list --json", _sources, shown.SOURCES),
    Output("wordhold page lines --json", _lines, shown.LINES),
    Output("wordhold rules export", _codes, shown.CODES),
    Output("wordhold profiles export", _profiles, shown.PROFILES),
    Output("backup", _zip("kept.zip", _backup), {}, chosen=False),
    Output("digest", _digest, {}, searched=False),
)
OUTPUTS: Mapping[str, Output] = {output.name: output for output in _OUTPUTS}
"""Every output by its name."""


def text_of(content: bytes) -> str:
    """What stands in an output, as it is looked through: without the escapes of XML and JSON."""
    return html.unescape(content.decode("utf-8", "replace")).replace("\\n", "\n").lower()
