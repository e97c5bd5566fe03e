"""A digest of the whole record: equal digests mean equal records, on any database and after any copy.

It is computed from the tables themselves, so it also works for an older version: `upgrade` compares the
digests before and after. Each row is encoded as JSON with sorted fields and without empty ones, so a new
field that is still empty changes nothing. The order of rows does not matter; where it is significant, it is
in `position`.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

import msgspec
from sqlalchemy import Connection, Integer, MetaData, Table, inspect, select

from termbase.store.rows import CHILDREN, KINDS, TERM

__all__ = [
    "COMPUTED_TABLES", "RECORD_TABLES", "WORKING_TABLES", "Digest", "KindDigest", "Worded", "digest_of",
    "digest_of_rows", "record_tables", "rows_of",
]  # fmt: skip

Row = Mapping[str, object]  # the values of the columns; pictures as bytes
Worded = Callable[[Row], Mapping[str, str]]
"""Returns the description of an act, given as its row, in each interface language by BCP 47 tag."""

RECORD_TABLES: Final = (
    "termbase", "person", "image", "source", "code", "entry", "term", "definition", "relation", "analogue",
    "figure", "ruling", "redirect", "slip", "page", "line", "line_entry", "trial", "counter", "act", "change",
)  # fmt: skip
"""Tables of the record and its history. Add a new table here, or to one of the lists below."""
COMPUTED_TABLES: Final = ("key", "segment", "key_build", "text_word")
"""Tables that can be rebuilt from the record at any time; no digest covers them."""
WORKING_TABLES: Final = ("job", "kept_file", "wrong_key")
"""Tables of work that is not part of the record (`termbase.store.workrows`); no digest, backup or history
covers them."""

_COMPUTED: Final = {"entry": {"ready"}, "term": {"is_head", "sort_key", "section"}}
_DOCUMENTS: Final[dict[str, frozenset[str]]] = {
    **{mapped.table.name: mapped.documents for mapped in (*KINDS.values(), *CHILDREN.values(), TERM)},
    "act": frozenset({"what"}),
    "change": frozenset({"before", "after"}),
}
"""Columns that hold JSON, by table: its spacing and field order do not matter."""

_PIECE: Final = 500  # rows read at a time
_encode = msgspec.json.Encoder(order="sorted").encode


@dataclass(frozen=True)
class KindDigest:
    """The digest of one kind of row.

    Attributes:
        number: how many there are.
        sha256: SHA-256 of all of them (hexadecimal).
    """

    number: int
    sha256: str


@dataclass(frozen=True)
class Digest:
    """The digest of a record.

    Attributes:
        kinds: digests by table, and under `acts in TAG` the acts as described in each language; empty kinds
            are left out.
        whole: SHA-256 of all of them (hexadecimal).
    """

    kinds: dict[str, KindDigest]
    whole: str

    def differing(self, other: "Digest") -> tuple[str, ...]:
        """Return the kinds in which two digests differ, in alphabetical order."""
        names = sorted(self.kinds.keys() | other.kinds.keys())
        return tuple(name for name in names if self.kinds.get(name) != other.kinds.get(name))


def digest_of(connection: Connection, worded: Worded | None = None, without: Iterable[str] = ()) -> Digest:
    """Return the digest of the record in a database, whatever the version of its tables.

    Args:
        connection: in a transaction, so that it reads one state.
        worded: describes an act as the interface does; None: only the stored form of acts counts.
        without: fields to leave out, named as in the `CHANGES` of a migration.
    """
    tables = record_tables(connection)
    return digest_of_rows(((str(t.name), rows_of(connection, t)) for t in tables), worded, without)


def record_tables(connection: Connection, *, computed: bool = False) -> list[Table]:
    """Return the tables of the record as this database has them, in an order in which their rows can be
    written.

    Args:
        computed: include the tables that can be rebuilt from the record.
    """
    wanted = {*RECORD_TABLES, *(COMPUTED_TABLES if computed else ())}
    names = wanted & set(inspect(connection).get_table_names())
    metadata = MetaData()
    metadata.reflect(connection, only=sorted(names))
    return [table for table in metadata.sorted_tables if table.name in names]


def rows_of(connection: Connection, table: Table) -> Iterator[dict[str, object]]:
    """Yield the rows of a table, numbered ones in order; pictures one at a time."""
    numbered = [column for column in table.primary_key if isinstance(column.type, Integer)]
    streamed = {"yield_per": 1 if table.name == "image" else _PIECE}
    query = select(table).order_by(*numbered)
    with connection.execute(query, execution_options=streamed) as result:
        for row in result.mappings():
            yield dict(row)


def digest_of_rows(
    tables: Iterable[tuple[str, Iterable[Row]]], worded: Worded | None = None, without: Iterable[str] = ()
) -> Digest:
    """Return the digest of rows by table; see `digest_of`."""
    left_out = frozenset(without)
    kinds: dict[str, KindDigest] = {}
    for name, rows in tables:
        digests = _RowDigests()
        by_language: dict[str, _RowDigests] = {}
        for row in rows:
            if (counted := _significant(name, row, left_out)) is not None:
                digests.add(counted)
            for tag, text in worded(row).items() if worded and name == "act" else ():
                by_language.setdefault(tag, _RowDigests()).add({"id": row["id"], "text": text})
        named = {name: digests, **{f"acts in {tag}": these for tag, these in by_language.items()}}
        kinds |= {k: these.digest() for k, these in named.items() if these.rows and k not in left_out}
    lines = (f"{name} {kinds[name].number} {kinds[name].sha256}\n" for name in sorted(kinds))
    return Digest(dict(sorted(kinds.items())), sha256("".join(lines).encode()).hexdigest())


class _RowDigests:
    """The digests of the rows of one kind."""

    def __init__(self) -> None:
        self.rows: list[bytes] = []

    def add(self, row: object) -> None:
        self.rows.append(sha256(_encode(row)).digest())

    def digest(self) -> KindDigest:
        return KindDigest(len(self.rows), sha256(b"".join(sorted(self.rows))).hexdigest())


def _significant(table: str, row: Row, without: frozenset[str]) -> dict[str, object] | None:
    """Return the significant columns of a row: those that are not computed or empty (null, '', 0, false)."""
    if table in without:
        return None
    computed, documents = _COMPUTED.get(table, ()), _DOCUMENTS.get(table, ())
    counted: dict[str, object] = {}
    for name, value in row.items():
        path = f"{table}.{name}"
        if name in computed or path in without:
            continue
        if isinstance(value, (bytes, memoryview)):
            value = sha256(value).hexdigest()
        elif name in documents and isinstance(value, str):
            path = f"history.{row['kind']}" if table == "change" else path
            value = _document(value, path, without)
        if value not in _EMPTY and value is not False and value != 0:
            counted[name] = value
    return counted


_EMPTY: Final[tuple[object, ...]] = (None, "", [], {})


def _document(text: str, path: str, without: frozenset[str]) -> object:
    """Return JSON without its empty fields; text that is not JSON is returned unchanged."""
    try:
        document = msgspec.json.decode(text)
    except msgspec.DecodeError:
        return text
    inner = frozenset(p for p in without if p.startswith(f"{path}."))
    return _filled(document, path, inner)


def _filled(value: object, path: str, without: frozenset[str]) -> object:
    """Return a value without empty fields; recurse only into lists and objects, since most values are
    neither."""
    if isinstance(value, list):
        return [_filled(each, path, without) if isinstance(each, list | dict) else each for each in value]
    if not isinstance(value, dict):
        return value
    fields = {}
    for name, field in value.items():
        if without and f"{path}.{name}" in without:
            continue
        inner = f"{path}.{name}" if without else path
        kept = _filled(field, inner, without) if isinstance(field, list | dict) else field
        if kept or kept == 0:  # false and 0 count
            fields[name] = kept
    return fields
