"""Every output of the program, written from a termbase, with the fields it leaves out.

Outputs in the registry are included automatically, with each kind of file; this module only adds how to read
those whose bytes do not show their texts.
"""

import contextlib
import html
import io
import re
import zipfile
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import msgspec

from app import fieldtable as shown
from app.commands.context import print_json
from app.commands.plaintext import article_text
from app.selection import Order
from exports import outputs
from exports.glossary.book.assembling import render
from exports.glossary.book.book import Article, Selection
from exports.glossary.book.pictures import picture_files
from exports.glossary.cards.publishing import deck_of
from termbase.overviews.articles import Library
from termbase.overviews.matrix import techniques
from termbase.record.entries import Entry
from termbase.record.pages import Line
from termbase.record.sources import Source
from termbase.rules.files import write_codes, write_profiles
from termbase.search.finding import find
from termbase.store import tables as schema
from termbase.store.digest import RECORD_TABLES, digest_of_rows, rows_of

__all__ = ["OUTPUTS", "Output"]

DAY = "2026-03-01"
Write = Callable[[Library, Path], bytes]


@dataclass(frozen=True)
class Output:
    """An output.

    Attributes:
        name: its name in messages.
        write: returns its content; for a container the contents of its files.
        left_out: paths of fields that are not in it, with the reason.
        searched: whether marks can be read in it; a digest only differs.
        chosen: whether choices are tested in it; if not, they are tested in another output with the same
            content, or it is read back.
        judged: whether it shows rule codes only beside a verdict.
    """

    name: str
    write: Write
    left_out: Mapping[str, str]
    searched: bool = True
    chosen: bool = True
    judged: bool = False


def _members(content: bytes, wanted: str = "") -> bytes:
    """Return the files in a zip, one after another, each with its name."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        names = sorted(n for n in archive.namelist() if re.search(wanted, n))
        return b"\n".join(n.encode() + b"\n" + archive.read(n) for n in names)


def _site(folder: Path) -> bytes:
    """The pages of a site, its pictures and its lists of names, each with its name."""
    files = sorted(p for p in folder.rglob("*") if p.suffix in (".html", ".jpg", ".js"))
    return b"\n".join(
        str(p.relative_to(folder)).encode() + b"\n" + p.read_bytes() for p in files if p.name != "search.js"
    )


def _printed(library: Library, folder: Path) -> bytes:
    book = render(library, Selection(), as_of=DAY)
    items = (item for part in book.parts for letter in part.letters for item in letter.items)
    pictures = [picture for item in items if isinstance(item, Article) for picture in item.pictures]
    return msgspec.json.encode(book) + b"".join(data for _, data in picture_files(pictures, library.reader))


def _cards(library: Library, folder: Path) -> bytes:
    deck = deck_of(library, Selection(), as_of=DAY)
    pictures = [card.picture for card in deck.cards if card.picture]
    return msgspec.json.encode(deck) + b"".join(data for _, data in picture_files(pictures, library.reader))


def _json_output(name: str, **content: object) -> bytes:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        print_json(name, **content)
    return out.getvalue().encode()


def _find_results(library: Library, folder: Path) -> bytes:
    texts = [t.text for e in library.reader.all(Entry) for t in e.terms]
    return b"".join(_json_output("find", hits=find(library.reader, text)) for text in texts)


def _plain(library: Library, folder: Path) -> bytes:
    return "\n".join(article_text(article, library) for article in library.articles()).encode()


def _show_output(library: Library, folder: Path) -> bytes:
    return b"".join(_json_output("show", article=article) for article in library.articles())


def _sources(library: Library, folder: Path) -> bytes:
    return _json_output("source list", sources=library.reader.all(Source))


def _lines(library: Library, folder: Path) -> bytes:
    return _json_output("page lines", lines=library.reader.all(Line))


def _codes(library: Library, folder: Path) -> bytes:
    return write_codes(library.codes).encode()


def _profiles(library: Library, folder: Path) -> bytes:
    return write_profiles(techniques(library.reader, library.termbase.working_language)).encode()


def _digest(library: Library, folder: Path) -> bytes:
    tables = ((name, schema.metadata.tables[name]) for name in RECORD_TABLES)
    rows = ((name, rows_of(library.reader.connection, table)) for name, table in tables)
    return digest_of_rows(rows).whole.encode()


READ: Mapping[str, Callable[[Path], bytes]] = {
    "xlsx": lambda path: _members(path.read_bytes(), r"xl/(sharedStrings|worksheets)"),
    "epub": lambda path: _members(path.read_bytes(), r"\.(xhtml|opf|jpg)$"),
    "backup": lambda path: _members(path.read_bytes()),
    "site": _site,
}
"""How to read an output that is packed or is a folder; any other is read directly."""

AS_DATA: Mapping[str, Write] = {"pdf": _printed, "cards": _cards}
"""Typeset outputs: their data is searched, and `test_published` finds it on the pages."""

ENOUGH = ("xlsx", "tbx-basic-dct", "tbx-wordhold", "skos-json-ld", "epub", "site", "backup")
"""Outputs in which no choices are tested, since they are tested in another one with the same content, or it
is read back; these are prefixes of names."""


def _of_row(output: outputs.Output, kind: str) -> Output:
    """Return one kind of file of an output in the registry."""
    name = f"{output.name}-{kind}" if kind else output.name

    def write(library: Library, folder: Path) -> bytes:
        order = Order.of(library.reader, output, {output.apart: kind} if kind else {})
        path = folder / f"{name}{'' if output.folder else output.suffix}"
        if not output.folder:
            path.unlink(missing_ok=True)
        order.write(library, path, day=DAY, ids=None, on_progress=lambda done, total=0: None)
        return READ.get(output.name, Path.read_bytes)(path)

    left_out = output.left_out(kind)
    return Output(name, AS_DATA.get(output.name, write), left_out, chosen=not name.startswith(ENOUGH))


def _of_the_table() -> Iterator[Output]:
    for output in outputs.OUTPUTS.values():
        yield from (_of_row(output, kind) for kind in output.kinds)


_PRINTED = (
    Output("wordhold show", _plain, shown.SHOWN),
    Output("wordhold show --json", _show_output, shown.WHOLE_ENTRY, judged=True),
    Output("wordhold find --json", _find_results, shown.FOUND, chosen=False),
    Output("wordhold source list --json", _sources, shown.SOURCES),
    Output("wordhold page lines --json", _lines, shown.LINES),
    Output("wordhold rules export", _codes, shown.CODES),
    Output("wordhold profiles export", _profiles, shown.PROFILES),
    Output("digest", _digest, {}, searched=False),
)
"""Texts printed by commands, which are not in the registry of outputs."""
_OUTPUTS = (*_of_the_table(), *_PRINTED)
OUTPUTS: Mapping[str, Output] = {output.name: output for output in _OUTPUTS}
"""Every output by name."""


def text_of(content: bytes) -> str:
    """Return the searchable text of an output, without the escapes of XML and JSON."""
    return html.unescape(content.decode("utf-8", "replace")).replace("\\n", "\n").lower()
