"""A digest of the whole record: equal digests mean equal records, on any database and after any copy.

It is computed from the tables as they are, so it also works for those of an older version: `upgrade` compares
before and after. A row counts as JSON with its fields in order and empty ones left out, so a new field that
is still empty changes nothing. The order of rows does not matter: where it means something, it is in
`position`.
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

Row = Mapping[str, object]  # whatever the columns hold; bytes of a picture as they are
Worded = Callable[[Row], Mapping[str, str]]
"""Returns an act, given as its row, in the words of every language of the interface, by BCP 47 tag."""

RECORD_TABLES: Final = (
    "termbase", "person", "image", "source", "code", "entry", "term", "definition", "relation", "analogue",
    "figure", "ruling", "redirect", "slip", "page", "line", "line_entry", "trial", "counter", "act", "change",
)  # fmt: skip
"""Tables of the record and its history. Add a new table here, or to one of the lists below."""
COMPUTED_TABLES: Final = ("key", "segment", "key_build", "text_word")
"""Tables that can be rebuilt from the record at any time; no digest covers them."""
WORKING_TABLES: Final = ("job", "kept_file", "wrong_key")
"""Tables of work beside the record (`termbase.store.workrows`); no digest, backup or history covers them."""

_COMPUTED: Final = {"entry": {"ready"}, "term": {"is_head", "sort_key", "section"}}
_DOCUMENTS: Final[dict[str, frozenset[str]]] = {
    **{mapped.table.name: mapped.documents for mapped in (*KINDS.values(), *CHILDREN.values(), TERM)},
    "act": frozenset({"what"}),
    "change": frozenset({"before", "after"}),
}
"""Columns that hold JSON, by table: spacing and field order in it do not matter."""

_PIECE: Final = 500  # rows read at a time
_encode = msgspec.json.Encoder(order="sorted").encode


@dataclass(frozen=True)
class KindDigest:
    """One kind of row: how many there are, and the SHA-256 of all of them (hexadecimal).

    Attributes:
        number: how many there are.
        sha256: their digest.
    """

    number: int
    sha256: str


@dataclass(frozen=True)
class Digest:
    """The digest of a record.

    Attributes:
        kinds: by table, and `acts in TAG` for the acts as each language words them; empty ones are left out.
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
        connection: in a transaction, so that all of it is one state.
        worded: words an act as the interface does; None: acts count as they are stored, not as they are
            worded.
        without: fields to leave out, named as in the `CHANGES` of a migration.
    """
    tables = record_tables(connection)
    return digest_of_rows(((str(t.name), rows_of(connection, t)) for t in tables), worded, without)


def record_tables(connection: Connection, *, computed: bool = False) -> list[Table]:
    """Return the tables of the record as this database has them, in an order in which their rows can be
    written.

    Args:
        computed: include the tables that can be rebuilt from it.
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
        gathered = _Gathered()
        in_words: dict[str, _Gathered] = {}
        for row in rows:
            if (counted := _counted(name, row, left_out)) is not None:
                gathered.add(counted)
            for tag, text in worded(row).items() if worded and name == "act" else ():
                in_words.setdefault(tag, _Gathered()).add({"id": row["id"], "text": text})
        found = {name: gathered, **{f"acts in {tag}": these for tag, these in in_words.items()}}
        kinds |= {k: these.digest() for k, these in found.items() if these.rows and k not in left_out}
    lines = (f"{name} {kinds[name].number} {kinds[name].sha256}\n" for name in sorted(kinds))
    return Digest(dict(sorted(kinds.items())), sha256("".join(lines).encode()).hexdigest())


class _Gathered:
    """The rows of one kind, each by its own digest."""

    def __init__(self) -> None:
        self.rows: list[bytes] = []

    def add(self, row: object) -> None:
        self.rows.append(sha256(_encode(row)).digest())

    def digest(self) -> KindDigest:
        return KindDigest(len(self.rows), sha256(b"".join(sorted(self.rows))).hexdigest())


def _counted(table: str, row: Row, without: frozenset[str]) -> dict[str, object] | None:
    """Return what counts of a row: not columns that are computed or empty (null, an empty text, 0, false)."""
    if table in without:
        return None
    computed, documents = _COMPUTED.get(table, ()), _DOCUMENTS.get(table, ())
    found: dict[str, object] = {}
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
            found[name] = value
    return found


_EMPTY: Final[tuple[object, ...]] = (None, "", [], {})


def _document(text: str, path: str, without: frozenset[str]) -> object:
    """Return JSON without its empty fields; text that is not JSON counts as it is."""
    try:
        document = msgspec.json.decode(text)
    except msgspec.DecodeError:
        return text
    inner = frozenset(p for p in without if p.startswith(f"{path}."))
    return _filled(document, path, inner)


def _filled(value: object, path: str, without: frozenset[str]) -> object:
    """Recurse only into lists and objects: nearly all of a document is neither, and there are millions."""
    if isinstance(value, list):
        return [_filled(one, path, without) if isinstance(one, list | dict) else one for one in value]
    if not isinstance(value, dict):
        return value
    found = {}
    for name, one in value.items():
        if without and f"{path}.{name}" in without:
            continue
        inner = f"{path}.{name}" if without else path
        kept = _filled(one, inner, without) if isinstance(one, list | dict) else one
        if kept or kept == 0:  # false and 0 count
            found[name] = kept
    return found
