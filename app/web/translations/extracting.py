"""Extracts every interface message: from templates, from the code, and from the words of the record."""

import ast
from collections.abc import Iterator, Mapping
from io import BytesIO
from pathlib import Path
from typing import IO, Final

from babel import Locale
from babel.messages import Catalog, Message
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po
from babel.plural import to_gettext

from app.web.translations import catalogue_path
from app.web.translations.words import record_words
from termbase.codes.wording import TABLES
from termbase.fields.notes import sentences_of

__all__ = ["catalogue", "messages", "untranslated", "write"]

ROOT: Final = Path(__file__).parents[3]
PACKAGES: Final = ("app", "exports", "termbase")
KEYWORDS: Final = {
    "_": None, "gettext": None, "ngettext": (1, 2), "message": None, "message_of_number": (1, 2),
}  # fmt: skip


def calls(
    file: IO[bytes], keywords: Mapping[str, object], comment_tags: object, options: object
) -> Iterator[tuple[int, str, tuple[str | None, ...], list[str]]]:
    """Yield calls of the keywords in Python code, as Babel expects them.

    This includes calls in f-strings, where Babel's own extractor finds none.
    """
    for node in ast.walk(ast.parse(file.read())):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in keywords:
            texts = tuple(
                arg.value if isinstance(arg, ast.Constant) and isinstance(arg.value, str) else None
                for arg in node.args
            )
            if texts and texts[0]:
                yield node.lineno, node.func.id, texts, []


METHODS: Final = [
    ("**.py", "app.web.translations.extracting:calls"),
    ("**/templates/**.html", "jinja2.ext:babel_extract"),
]


def messages() -> Catalog:
    """Return every interface message, untranslated."""
    every = Catalog(project="Wordhold", charset="utf-8", fuzzy=False)
    for package in PACKAGES:
        at = ROOT / package
        for name, _line, text, _comments, _context in extract_from_dir(at, METHODS, keywords=KEYWORDS):
            # line numbers would change the catalogue with every edit of a template
            every.add(text, locations=[(f"{package}/{name}", 0)])
    for word in (*record_words(), *(sentence for table in TABLES for sentence in sentences_of(table))):
        every.add(word)
    return every


def catalogue(tag: str) -> Catalog:
    """Return the stored catalogue of a language, or an empty one."""
    path = catalogue_path(tag)
    if path.is_file():
        return read_po(BytesIO(path.read_bytes()), locale=tag)
    return read_po(BytesIO(_head(tag).encode()), locale=tag)


def untranslated(stored: Catalog) -> Iterator[Message]:
    """Yield the messages without a translation, or without one of its plural forms."""
    for message in stored:
        if not message.id:
            continue
        translations = message.string if isinstance(message.string, (tuple, list)) else (message.string,)
        if not all(translations):
            yield message


def write(stored: Catalog, tag: str) -> None:
    """Write a catalogue, sorted by its English, without dates or line numbers."""
    out = BytesIO()
    write_po(
        out, stored, width=100, sort_output=True, ignore_obsolete=True, omit_header=True, include_lineno=False
    )
    path = catalogue_path(tag)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(_head(tag).encode() + out.getvalue())


def _head(tag: str) -> str:
    return (
        f"# Wordhold's interface: {tag}\n"
        'msgid ""\nmsgstr ""\n'
        '"Content-Type: text/plain; charset=utf-8\\n"\n'
        '"Content-Transfer-Encoding: 8bit\\n"\n'
        f'"Language: {tag}\\n"\n'
        f'"Plural-Forms: {to_gettext(Locale.parse(tag, sep="-").plural_form)}\\n"\n\n'
    )
