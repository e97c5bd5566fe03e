"""The search keys of names: computed when a name is written, stored in tables, rebuilt when necessary.

There are two tables. `key` contains the keys of each term (`termbase.languages.keys`), each text once, with
the search rank of its kind. `segment` contains the segments (see `segments`) of every whole name,
without spaces and accents, and of every word in it; similar names are searched there. A segment may outlive
the names it came from: searches look its text up in `key`, and `reindex` removes old segments.

`key_build` records for each language the version of its file and of this code that made the keys.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache
from hashlib import blake2b
from typing import NamedTuple, Protocol
from zlib import crc32

import msgspec
from sqlalchemy import (
    Column,
    Connection,
    Engine,
    Integer,
    MetaData,
    Select,
    Table,
    delete,
    func,
    select,
    text,
    union_all,
)

from termbase.languages.files import LanguageFile, ListWords, per_language
from termbase.languages.keys import KeyKind, keys_by_text, weaker
from termbase.record.entries import InflectedForm, Term
from termbase.store import tables
from termbase.store.batches import execute_in
from termbase.store.bulk import collector_at_rest
from termbase.store.reading import Reader
from termbase.store.textwords import rebuild_text_words
from termbase.wordlists.as_printed import is_spelling

__all__ = [
    "LONGEST_KEY",
    "MOST_EDITS",
    "KeyedName",
    "beginning_probes",
    "edits_allowed",
    "keys_of",
    "probes",
    "reindex",
    "segments",
    "sought_texts",
    "stale",
    "stale_languages",
    "write_keys",
]


# Finding similar names without reading every name: the segment index of Pass-Join.
#
# Source: Li, Deng, Wang, Feng, *Pass-Join: A Partition-based Method for Similarity Joins*, PVLDB 5(3), 2012.
# A name is cut into one segment more than the number of edits allowed for it. Any text within that distance
# leaves at least one segment unchanged, at a nearby position; so only names that share a segment with the
# query need to be compared (section 4, multi-match-aware selection). A segment is stored as one number,
# computed from the length of the name, the position and the letters; if two segments happen to have the same
# number, that costs a comparison but never loses a result.
#
# Edits are insertions, deletions and replacements of single characters (Levenshtein).

MOST_EDITS = 3
_SIGN = 1 << 31  # numbers are stored as signed 32-bit integers, which every database has


def edits_allowed(length: int) -> int:
    """Return the edits allowed for a name of this length: 1 from 3 letters on, 2 from 5, 3 from 8.

    With more edits, short names would all be similar to each other.
    """
    if length < 3:
        return 0
    return 1 if length < 5 else 2 if length < 8 else MOST_EDITS


@lru_cache(maxsize=1024)
def _bounds(length: int) -> tuple[tuple[int, int, int], ...]:
    """Return start, end and checksum seed of each segment of a name of this length.

    The segments are equally long, except that the last ones may be longer by one.
    """
    number = edits_allowed(length) + 1
    short, longer = divmod(length, number)
    bounds, start = [], 0
    for n in range(number):
        width = short + (n >= number - longer)
        if width:
            bounds.append((start, start + width, crc32(f"{length},{n},".encode())))
        start += width
    return tuple(bounds)


def _number(place: int, letters: str) -> int:
    return crc32(letters.encode(), place) - _SIGN


def segments(name: str) -> list[int]:
    """Return the numbers under which a name is stored; none for an empty name."""
    return [_number(place, name[start:end]) for start, end, place in _bounds(len(name))]


def probes(query: str) -> list[int]:
    """Return the numbers to search for: every name within its allowed edits is stored under one of them."""
    typed = len(query)
    numbers: set[int] = set()
    for length in range(max(1, typed - MOST_EDITS), typed + MOST_EDITS + 1):
        edits = edits_allowed(length)
        longer = typed - length
        if abs(longer) > edits:
            continue
        for n, (start, end, place) in enumerate(_bounds(length)):
            left, width = edits - n, end - start
            first = max(0, start - n, start + longer - left)
            last = min(typed - width, start + n, start + longer + left)
            numbers.update([_number(place, query[at : at + width]) for at in range(first, last + 1)])
    return sorted(numbers)


def beginning_probes(query: str, longest: int = 60) -> list[int]:
    """Return the numbers to search for if the query is the beginning of a name with at most one wrong letter.

    Complete for names of which two whole segments were typed (about half the name); much longer names are
    found only if the wrong letter comes late.
    """
    typed = len(query)
    numbers: set[int] = set()
    for length in range(max(1, typed - 1), min(longest, 4 * typed) + 1):
        for n, (start, end, place) in enumerate(_bounds(length)[:2]):
            last = min(typed - (end - start), start + n)
            for at in range(max(0, start - n), last + 1):
                numbers.add(_number(place, query[at : at + end - start]))
    return sorted(numbers)


LONGEST_KEY = 160
"""Maximum letters of a key; PostgreSQL cannot index much longer ones, and no name needs more."""

VERSION = 2  # increase it when this module or `termbase.languages.keys` makes different keys
BATCH_OF_NAMES = 20_000
MOST_SEEN = 200_000  # words remembered during a rebuild, to avoid writing them twice
MEMORY_IN_BULK, MEMORY_OF_SQLITE = 65_536, 2_000  # SQLite's page cache, in KiB; the second is its default
ROWS_ANALYSED = 1_000  # rows sampled per index for SQLite's planner; the default is all
_RANK = {kind: kind.rank for kind in KeyKind}
_forms = msgspec.json.Decoder(tuple[InflectedForm, ...]).decode


class HasEngine(Protocol):
    """The part of a store that rebuilding needs."""

    engine: Engine


class KeyedName(NamedTuple):
    """The parts of a term that keys are made from."""

    id: str
    text: str
    language: str
    printed: str
    printed_language: str
    forms: tuple[InflectedForm, ...]


def keys_of(name: Term | KeyedName) -> dict[str, int]:
    """Return the keys of a term: text, and rank of its kind (`KeyKind.rank`), the best if there are several.

    Inflected forms count as inflected, the printed form as an old spelling.
    """
    ranks: dict[str, int] = {}
    for keys, at_best in ((keys_by_text(name.text, name.language), KeyKind.FORM), *_other_keys(name)):
        for key, kind in keys.items():
            rank = _RANK[weaker(kind, at_best)]
            short = key[:LONGEST_KEY]
            ranks[short] = min(rank, ranks.get(short, rank))
    return ranks


def sought_texts(name: Term | KeyedName) -> set[str]:
    """Return the key texts of a term that a search compares with similar names."""
    texts = _sought(keys_by_text(name.text, name.language))
    for keys, _ in _other_keys(name):
        texts |= _sought(keys)
    return texts


def write_keys(
    connection: Connection,
    names: Sequence[Term | KeyedName],
    *,
    new: bool = False,
    seen: set[str] | None = None,
) -> None:
    """Store the keys of these terms, replacing any that they had.

    Args:
        new: the terms are new, so they had none.
        seen: while a termbase is filled and has no indexes yet: texts whose segments are written; new ones
            are added. Rows are then inserted in any order, since there is no index to update.
    """
    ids = [] if new else [name.id for name in names]
    execute_in(connection, delete(tables.key), tables.key.c.term_id, ids)
    keys, sought = _rows(names)
    if seen is not None:
        sought -= seen
        if len(seen) < MOST_SEEN:
            seen |= sought
    _insert_new(connection, tables.key, keys if seen is not None else sorted(set(keys)))
    _insert_new(connection, tables.segment, sorted([(n, name) for name in sought for n in segments(name)]))
    builds = {name.language for name in names}
    _insert_new(connection, tables.key_build, [(tag, key_version(tag)) for tag in sorted(builds)])


def reindex(store: HasEngine, on_progress: Callable[[int, int], None] | None = None) -> int:
    """Rebuild all keys in one transaction: readers see the old ones until it is done. This is not an act and
    leaves no history.

    Args:
        on_progress: called after each batch with the number of names done and the total.

    Returns:
        The number of names.
    """
    with store.engine.connect() as connection, collector_at_rest(), _in_bulk(connection):
        writing = connection.execution_options(wordhold_writes=True)
        with writing.begin():
            number = _rebuild(writing, on_progress)
            writing.execute(text("ANALYZE"))
    return number


@contextmanager
def _in_bulk(connection: Connection) -> Iterator[None]:
    """Switch off foreign keys and raise the page cache while keys are rebuilt, which halves the time of
    writing. All keys come from names read in the same transaction, so SQLite need not check each one."""
    if connection.dialect.name != "sqlite":
        yield
        return

    def set_pragmas(*pragmas: str) -> None:
        cursor = connection.connection.cursor()  # outside the transaction, where they have no effect
        for pragma in pragmas:
            cursor.execute(f"PRAGMA {pragma}")
        cursor.close()

    set_pragmas("foreign_keys=OFF", f"cache_size=-{MEMORY_IN_BULK}", f"analysis_limit={ROWS_ANALYSED}")
    try:
        yield
    finally:
        set_pragmas("foreign_keys=ON", f"cache_size=-{MEMORY_OF_SQLITE}")


def stale(reader: Reader) -> bool:
    """Return whether some keys were made by another version of a language file or of the program."""
    return bool(stale_languages(reader))


def stale_languages(reader: Reader) -> tuple[str, ...]:
    """Return the tags of the languages whose keys `reindex` would make differently, in alphabetical order."""
    built = reader.connection.execute(select(tables.key_build.c.language, tables.key_build.c.version))
    return tuple(sorted(tag for tag, version in built if tag and version != key_version(tag)))


def key_version(tag: str) -> str:
    """Return a short fingerprint of everything that the keys of a language depend on."""
    return _fingerprint(tag)


def _make_fingerprint(file: LanguageFile) -> str:
    makes_keys = msgspec.structs.replace(file, palette=(), sources=(), inflections=(), word_lists=ListWords())
    made_from = msgspec.json.encode((VERSION, [str(kind) for kind in KeyKind], makes_keys))
    return blake2b(made_from, digest_size=8).hexdigest()


_fingerprint = per_language(_make_fingerprint)


_Keys = dict[str, KeyKind]  # kind by text, the name's own form first
_KeyRow = tuple[str, int, str]  # text, rank of its kind, id of the term


def _other_keys(name: Term | KeyedName) -> Iterator[tuple[_Keys, KeyKind]]:
    for form in name.forms:
        yield keys_by_text(form.text, name.language), KeyKind.INFLECTED
    if name.printed and is_spelling(name.printed, name.text):
        yield keys_by_text(name.printed, name.printed_language or name.language), KeyKind.OLD


def _sought(keys: _Keys) -> set[str]:
    """Return the whole name, without spaces and accents if that differs, and its single words."""
    if not keys:
        return set()
    form, second, *_ = (*keys, "")
    whole = second if keys.get(second) is KeyKind.SPELLING else form
    texts = {text[:LONGEST_KEY] for text, kind in keys.items() if kind is KeyKind.WORD}
    texts.add(whole[:LONGEST_KEY])
    return texts


def _rebuild(connection: Connection, on_progress: Callable[[int, int], None] | None) -> int:
    """Write all keys again, and collect the texts of `segment` to write them in order at the end: this
    way indexes larger than memory are built page by page."""
    total = connection.scalar(select(func.count()).select_from(tables.term)) or 0
    texts_heap = _texts_heap()
    texts_heap.create(connection)
    done = 0
    tags: set[str] = set()
    seen: set[str] = set()
    with _keys_of_all(connection) as write:
        for names in _all_names(connection):
            keys, sought = _rows(names)
            write(keys)
            new = sought - seen  # the same words occur in every batch
            if len(seen) < MOST_SEEN:
                seen |= new
            _insert_new(connection, texts_heap, [(text, *_padded(segments(text))) for text in new])
            tags |= {name.language for name in names}
            done += len(names)
            if on_progress:
                on_progress(done, total)
    connection.execute(delete(tables.segment))
    rows = _cut(texts_heap)
    columns = rows.selected_columns.values()
    connection.execute(tables.segment.insert().from_select(["number", "text"], rows.order_by(*columns)))
    texts_heap.drop(connection)
    connection.execute(delete(tables.key_build))
    _insert_new(connection, tables.key_build, [(tag, key_version(tag)) for tag in sorted(tags)])
    rebuild_text_words(connection)
    return done


@contextmanager
def _keys_of_all(connection: Connection) -> Iterator[Callable[[list[_KeyRow]], None]]:
    """Return a function that writes keys of one batch of names after another, starting from an empty table.

    SQLite builds its indexes once afterwards. On PostgreSQL that would lock out readers; there all rows are
    collected first and written in the order of their texts.
    """
    if connection.dialect.name == "sqlite":
        for index in tables.key.indexes:
            index.drop(connection)
        connection.execute(delete(tables.key))
        yield lambda rows: _insert_new(connection, tables.key, rows)
        for index in tables.key.indexes:
            index.create(connection)
        return
    heap = Table(
        "heap_of_keys",
        MetaData(),
        *[Column(c.name, c.type) for c in tables.key.columns],
        prefixes=["TEMPORARY"],
    )
    heap.create(connection)
    yield lambda rows: _insert_new(connection, heap, rows)
    connection.execute(delete(tables.key))
    rows = select(heap).order_by(heap.c.text, heap.c.kind, heap.c.term_id)
    connection.execute(tables.key.insert().from_select(tables.key.columns.keys(), rows))
    heap.drop(connection)


def _texts_heap() -> Table:
    """Return a temporary table of search texts with their segments, in no particular order."""
    numbers = [Column(f"number_{n}", Integer) for n in range(MOST_EDITS + 1)]
    text_column = Column("text", tables.segment.c.text.type)
    return Table("heap_of_texts", MetaData(), text_column, *numbers, prefixes=["TEMPORARY"])


def _padded(numbers: list[int]) -> list[int | None]:
    return [*numbers, *[None] * (MOST_EDITS + 1 - len(numbers))]


def _cut(texts_heap: Table) -> "Select[int, str]":
    """Yield the rows of `segment`, without duplicates, from texts with their segments."""
    number_columns = [c for c in texts_heap.columns if c.name != "text"]
    parts = [
        select(number.label("number"), texts_heap.c.text).where(number.is_not(None))
        for number in number_columns
    ]
    rows = union_all(*parts).subquery()
    return select(rows.c.number, rows.c.text).group_by(rows.c.number, rows.c.text)


def _all_names(connection: Connection) -> Iterator[list[KeyedName]]:
    c = tables.term.c
    columns = (c.id, c.text, c.language, c.printed, c.printed_language, c.forms)
    last = ""
    while True:
        query = select(*columns).where(c.id > last).order_by(c.id).limit(BATCH_OF_NAMES)
        rows = connection.execute(query).all()
        if not rows:
            return
        yield [KeyedName(*row[:5], () if row[5] in ("", "[]") else _forms(row[5])) for row in rows]
        last = rows[-1][0]


def _rows(names: Iterable[Term | KeyedName]) -> tuple[list[_KeyRow], set[str]]:
    """Return rows of `key`, and the texts to be stored in `segment`."""
    keys: list[_KeyRow] = []
    sought: set[str] = set()
    for name in names:
        if name.forms or name.printed or len(name.text) > LONGEST_KEY // 2:
            keys.extend((key, rank, name.id) for key, rank in keys_of(name).items())
            sought |= sought_texts(name)
            continue
        own_keys = keys_by_text(name.text, name.language)  # the usual case: both at once, no text twice
        keys.extend([(text[:LONGEST_KEY], _RANK[kind], name.id) for text, kind in own_keys.items()])
        sought |= _sought(own_keys)
    return keys, sought


def _insert_new(connection: Connection, table: Table, rows: Sequence[tuple[object, ...]]) -> None:
    """Insert rows, skipping those that exist, in the fastest way for each database."""
    if not rows:
        return
    columns = ", ".join(f'"{c.name}"' for c in table.columns)
    if connection.dialect.name == "postgresql":
        arrays = ", ".join(f"%s::{c.type.compile(connection.dialect).split('(')[0]}[]" for c in table.columns)
        arrays = arrays.replace(' COLLATE "C"', "")
        statement = (
            f'INSERT INTO "{table.name}" ({columns}) SELECT * FROM unnest({arrays}) ON CONFLICT DO NOTHING'
        )
        connection.exec_driver_sql(statement, tuple(list(column) for column in zip(*rows, strict=True)))
    else:
        marks = ", ".join("?" for _ in table.columns)
        connection.exec_driver_sql(
            f'INSERT OR IGNORE INTO "{table.name}" ({columns}) VALUES ({marks})', list(rows)
        )
