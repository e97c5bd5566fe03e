"""The tables of a termbase of any version in one zip: how `upgrade` backs up a PostgreSQL database.

It contains every row of every table unchanged, so any later version of the program can read it.
`restore` creates the tables of that version, fills them, and upgrades them.
"""

import base64
import hashlib
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import msgspec
from sqlalchemy import Connection, LargeBinary, Table, func, insert, select

from exports.backup.writing import MANIFEST, READ_ME, Member
from exports.files import atomic_write, opened_zip, read_pieces
from termbase.errors import BadInput
from termbase.messages import joined, message
from termbase.store.digest import RECORD_TABLES, Digest, Worded, digest_of_rows, record_tables, rows_of
from termbase.store.versions import known_tables, version_of

__all__ = [
    "LARGEST_LINE",
    "TABLES",
    "TablesZip",
    "fill_tables",
    "read_manifest",
    "rows_in",
    "tables_digest",
    "write_tables",
]

TABLES: Final = "tables"
"""The value of `wordhold` in the manifest of such a file; in a backup it is `backup`."""
FORMAT: Final = 1
LARGEST_LINE: Final = 256 * 1024 * 1024
"""Maximum bytes of one record; a word-list page has a few thousand."""
_ROWS: Final = 500
_READ_ME: Final = """Tables of a Wordhold termbase, as they were before an upgrade.

manifest.json        every other file with its size and SHA-256, the version of the tables, the digest
tables/NAME.jsonl    one row to a line (JSON, UTF-8), by column; bytes are base64

Restore it with: wordhold restore FILE.zip --db NEW
For the older version of the program: wordhold restore --as-it-was FILE.zip --db NEW
"""


class TablesManifest(msgspec.Struct, frozen=True, kw_only=True):
    """The manifest of the zip.

    Attributes:
        wordhold: always `tables`.
        format: increased when earlier versions of the program cannot read new files.
        tables: version of the tables.
        title: title of the termbase.
        digest: digest of the record, without the wording of its acts.
        binary: columns whose values are bytes, by table.
        members: every other file of the zip.
    """

    wordhold: str
    format: int
    tables: str
    title: str
    digest: str
    binary: dict[str, tuple[str, ...]]
    members: tuple[Member, ...]


class TablesZip:
    """Writes and reads these files for `termbase.store.upgrading.upgrade`."""

    def write(self, connection: Connection, path: Path) -> None:
        """Write the tables; nothing may be there yet."""
        write_tables(connection, path)

    def digest(self, path: Path, worded: Worded | None) -> Digest:
        """Return the digest of the record in a file, read back from it."""
        return tables_digest(path, worded)


def write_tables(connection: Connection, path: Path) -> None:
    """Write all rows of all tables to a zip.

    Raises:
        OSError: it cannot be written there.
    """
    tables = record_tables(connection, computed=True)
    binary = {
        str(t.name): tuple(str(c.name) for c in t.columns if isinstance(c.type, LargeBinary)) for t in tables
    }
    with atomic_write(path) as unfinished, zipfile.ZipFile(unfinished, "x", zipfile.ZIP_DEFLATED) as archive:
        members = [_write(archive, READ_ME, iter([_READ_ME.encode()]))]
        for table in tables:
            rows = (_line(row, binary[table.name]) for row in rows_of(connection, table))
            members.append(_write(archive, _member(table.name), rows))
        digest = digest_of_rows((str(t.name), rows_of(connection, t)) for t in record_tables(connection))
        title = connection.scalar(select(next(t for t in tables if t.name == "termbase").c.title))
        manifest = TablesManifest(
            wordhold=TABLES, format=FORMAT, title=title or "",
            tables=version_of(connection, str(connection.engine.url)) or "",
            digest=digest.whole, binary={name: names for name, names in binary.items() if names},
            members=tuple(members),
        )  # fmt: skip
        archive.writestr(MANIFEST, msgspec.json.format(msgspec.json.encode(manifest), indent=2) + b"\n")


def _member(table: str) -> str:
    return f"tables/{table}.jsonl"


def _line(row: dict[str, object], binary: tuple[str, ...]) -> bytes:
    for name in binary:
        value = row[name]
        if not isinstance(value, bytes | memoryview):
            raise TypeError(f"the column {name} does not contain bytes")
        row[name] = base64.b64encode(value).decode()
    return msgspec.json.encode(row) + b"\n"


def _write(archive: zipfile.ZipFile, name: str, lines: Iterator[bytes]) -> Member:
    digest, size, number = hashlib.sha256(), 0, 0
    with archive.open(name, "w", force_zip64=True) as member:
        for line in lines:
            member.write(line)
            digest.update(line)
            size, number = size + len(line), number + 1
    return Member(name, size, digest.hexdigest(), number)


def read_manifest(archive: zipfile.ZipFile, name: str) -> TablesManifest | None:
    """Return the manifest; None if the zip is of another kind.

    Raises:
        BadInput: it is from a newer version.
    """
    if MANIFEST not in archive.namelist():
        return None
    content = b"".join(read_pieces(archive, MANIFEST, LARGEST_LINE))
    try:
        manifest = msgspec.json.decode(content, type=TablesManifest)
    except (msgspec.DecodeError, UnicodeDecodeError):
        return None
    if manifest.wordhold != TABLES:
        return None
    if manifest.format > FORMAT or manifest.tables not in known_tables():
        raise BadInput(
            message("The backup was made by a newer version of the program."),
            where=name,
            fix=message("Install a newer version and use it to restore the backup."),
        )
    return manifest


def tables_digest(path: Path, worded: Worded | None = None) -> Digest:
    """Return the digest of the record in a file.

    Raises:
        BadInput: it is not such a file, or is damaged.
    """
    with opened_zip(path, message("a backup")) as archive:
        manifest = read_manifest(archive, path.name)
        if manifest is None:
            raise BadInput(
                message("This is not a backup."), where=path.name, fix=message("Choose another file.")
            )
        return _digest(archive, manifest, path.name, worded)


def _digest(
    archive: zipfile.ZipFile, manifest: TablesManifest, name: str, worded: Worded | None = None
) -> Digest:
    tables = (member.name.removeprefix("tables/").removesuffix(".jsonl") for member in manifest.members[1:])
    records = ((table, rows_in(archive, manifest, table, name)) for table in tables if table in RECORD_TABLES)
    return digest_of_rows(records, worded)


def rows_in(
    archive: zipfile.ZipFile, manifest: TablesManifest, table: str, name: str
) -> Iterator[dict[str, object]]:
    """Yield the rows of a table in the file.

    Raises:
        BadInput: the file is damaged.
    """
    member = next((m for m in manifest.members if m.name == _member(table)), None)
    if member is None or member.name not in archive.namelist():
        raise _bad(name, _member(table), message("It is missing."))
    digest, rest = hashlib.sha256(), b""
    binary = manifest.binary.get(table, ())
    for piece in read_pieces(archive, member.name, member.size):
        digest.update(piece)
        *whole, rest = (rest + piece).split(b"\n")
        for line in whole:
            yield _row(line, binary, name, member.name)
    if rest or digest.hexdigest() != member.sha256:
        raise _bad(name, member.name, message("It is damaged: its SHA-256 does not match the manifest."))


def _row(line: bytes, binary: tuple[str, ...], name: str, member: str) -> dict[str, object]:
    try:
        row = msgspec.json.decode(line, type=dict[str, object])
        for column in binary:
            text = row[column]
            if not isinstance(text, str):
                raise TypeError(f"the column {column} does not contain base64")
            row[column] = base64.b64decode(text)
    except (msgspec.DecodeError, UnicodeDecodeError, KeyError, TypeError, ValueError) as error:
        raise _bad(name, member, message("This is not a record: %(error)s.", error=error)) from error
    return row


def fill_tables(
    archive: zipfile.ZipFile, manifest: TablesManifest, name: str, connection: Connection
) -> dict[str, int]:
    """Write all rows to empty tables of the same version; return the number of rows by table.

    Raises:
        BadInput: the file is damaged, or the written rows do not match the manifest.
    """
    counts: dict[str, int] = {}
    for table in record_tables(connection, computed=True):
        rows = rows_in(archive, manifest, table.name, name)
        counts[table.name] = _fill(connection, table, rows)
    digest = digest_of_rows((str(t.name), rows_of(connection, t)) for t in record_tables(connection))
    if digest.whole != manifest.digest:
        raise _bad(name, MANIFEST, message("Its contents do not match what was saved."))
    return {table: counts[table] for table in RECORD_TABLES if counts.get(table)}


def _fill(connection: Connection, table: Table, rows: Iterator[dict[str, object]]) -> int:
    connection.execute(table.delete())  # a migration may have inserted rows
    number, batch = 0, []
    for row in rows:
        batch.append(row)
        if len(batch) == _ROWS:
            connection.execute(insert(table), batch)
            number, batch = number + len(batch), []
    if batch:
        connection.execute(insert(table), batch)
    if connection.dialect.name == "postgresql" and table.name in ("act", "change"):
        sequence = func.pg_get_serial_sequence(table.name, "id")
        highest = select(func.coalesce(func.max(table.c.id), 1)).scalar_subquery()
        connection.execute(select(func.setval(sequence, highest)))
    return number + len(batch)


def _bad(name: str, member: str, what: str) -> BadInput:
    return BadInput(
        what,
        where=joined((name, member), ", "),
        fix=message("Nothing has been changed. Use another copy of the backup."),
    )
