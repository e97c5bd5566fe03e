"""The words of an entry's texts, stored so that the entry can be found by them.

One table, the same on SQLite and PostgreSQL: each word of the definitions, notes and analogues and of the
values of the technique, with the texts by which it can be found (`termbase.languages.keys.query_keys`:
spelling, stem, the word without its mutation). It is computed when an entry is written, and can be rebuilt at
any time.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from enum import IntEnum
from functools import lru_cache
from typing import Final

from sqlalchemy import Connection, delete, insert, select

from termbase.languages.keys import KeyKind, query_keys
from termbase.languages.tags import is_well_formed
from termbase.record.entries import Entry
from termbase.store import tables
from termbase.store.batches import execute_in
from termbase.store.bulk import insert_rows
from termbase.store.reading import Reader
from termbase.technique.words import NO, YES, statements_of

__all__ = ["TextPlace", "rebuild_text_words", "text_words_are_built", "words_of", "write_text_words"]

LONGEST_WORD: Final = 80
"""Maximum letters of a word; longer ones are not words of any language here."""
VERSION: Final = "1"
"""Version of this module. Increase it, with a migration, when the rows change: `upgrade` then rebuilds
them."""
BUILT: Final = ""
"""The row of `key_build` that records which version made the table; every other row is for a language."""
_COLUMNS: Final = ("word", "entry_id", "place", "language")
_TOKEN: Final = re.compile(r"[^\W_]+(?:['’ʼ][^\W_]+)*")
_PIECE: Final = re.compile(r"[^\W_]+")
_KEPT: Final = frozenset({KeyKind.FORM, KeyKind.SPELLING, KeyKind.MUTATED, KeyKind.INFLECTED, KeyKind.OLD})


class TextPlace(IntEnum):
    """Where in an entry a word occurs, most relevant first."""

    DEFINITION = 0
    TECHNIQUE = 1
    ANALOGUE = 2
    USAGE_NOTE = 3
    EDITOR_NOTE = 4
    FOREIGN_NOTE = 5


def words_of(text: str) -> tuple[str, ...]:
    """Return the words of a text without duplicates: whole words (`c’hoari`, `o'r`), and their parts of two
    letters or more."""
    words: dict[str, None] = {}
    for token in _TOKEN.findall(text):
        for word in (token, *(_PIECE.findall(token))):
            if 1 < len(word) <= LONGEST_WORD:
                words.setdefault(word)
    return tuple(words)


def write_text_words(connection: Connection, entries: Sequence[Entry], *, new: bool = False) -> None:
    """Store the words of these entries' texts, replacing any that they had.

    Args:
        new: the entries are new, so they had none.
    """
    table = tables.text_word
    ids = [] if new else [entry.id for entry in entries]
    execute_in(connection, delete(table), table.c.entry_id, ids)
    if working := _working_language(connection) if any(_has_texts(e) for e in entries) else "":
        rows = sorted({row for entry in entries for row in _rows(entry, working)})
        insert_rows(connection, table, _COLUMNS, rows)


def rebuild_text_words(connection: Connection) -> None:
    """Rebuild the words of all entries, within the caller's transaction."""
    connection.execute(delete(tables.text_word))
    for batch in Reader(connection).entries():
        write_text_words(connection, batch, new=True)
    build = tables.key_build
    connection.execute(delete(build).where(build.c.language == BUILT))
    connection.execute(insert(build).values(language=BUILT, version=VERSION))


def text_words_are_built(connection: Connection) -> bool:
    """Return whether this version of the program made the table; if so, it need not be rebuilt."""
    build = tables.key_build
    return connection.scalar(select(build.c.version).where(build.c.language == BUILT)) == VERSION


def _has_texts(entry: Entry) -> bool:
    own = (entry.definitions, entry.technique, entry.analogues, entry.usage_note, entry.editor_note)
    return any(own) or bool(entry.foreign_notes) or any(t.usage_note or t.foreign_notes for t in entry.terms)


def _working_language(connection: Connection) -> str:
    return connection.scalar(select(tables.termbase.c.working_language)) or "en"


def _texts(entry: Entry, working: str) -> Iterator[tuple[TextPlace, str, str]]:
    """Yield each text of an entry with its place and language; notes are in the working language."""
    for definition in entry.definitions:
        yield TextPlace.DEFINITION, definition.language, definition.text
    for analogue in entry.analogues:
        yield TextPlace.ANALOGUE, analogue.language, analogue.name
        yield TextPlace.ANALOGUE, working, analogue.style
    yield TextPlace.USAGE_NOTE, working, entry.usage_note
    yield TextPlace.EDITOR_NOTE, working, entry.editor_note
    for term in entry.terms:
        yield TextPlace.USAGE_NOTE, working, term.usage_note
    for note in (*entry.foreign_notes, *(note for term in entry.terms for note in term.foreign_notes)):
        yield TextPlace.FOREIGN_NOTE, note.text_language or note.language or working, note.text
    if entry.technique:
        yield TextPlace.TECHNIQUE, working, "\n".join((*entry.technique.names, entry.technique.note))
    for statement in statements_of(entry.technique).values():
        values = " ".join(value for value in statement.values if value not in (YES, NO))
        yield TextPlace.TECHNIQUE, "en", values


def _rows(entry: Entry, working: str) -> Iterable[tuple[str, str, int, str]]:
    for place, tag, text in _texts(entry, working):
        language = tag if is_well_formed(tag) else "und"  # an analogue may have no language
        primary = language.partition("-")[0].lower()
        for word in words_of(text):
            for key in _keys(word, language):
                yield key, entry.id, int(place), primary


@lru_cache(maxsize=20_000)
def _keys(word: str, language: str) -> tuple[str, ...]:
    """Return the texts by which a word is found; none for a word without letters."""
    found = (key.text[:LONGEST_WORD] for key in query_keys(word, language) if key.kind in _KEPT)
    return tuple(dict.fromkeys(found))
