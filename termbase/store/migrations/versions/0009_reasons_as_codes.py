"""Store reasons and problems as codes with values or own words, and parts of a line as paths.

Revision ID: 0009
Revises: 0008
"""

import json
from collections.abc import Callable, Iterator, Mapping
from functools import partial

import sqlalchemy as sa
from alembic import op

from termbase.store.oldtexts.states import Texts, back, forward

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

_WHY = "reasons are stored as codes, and people's own words as such; their meaning is the same"
_WHERE = "a part of a line is stored as a path; its name is the same"
_READINGS = ("language_reading.reopened", "practice_reading.reopened")
CHANGES = {
    **{f"{kind}.{reading}": _WHY for kind in ("entry", "history.entry") for reading in _READINGS},
    **{
        f"{kind}.{part}.{reading}": _WHY
        for kind in ("redirect", "history.redirect")
        for part in ("entry", "beside", "made")
        for reading in _READINGS
    },
    **{f"{kind}.reason": _WHY for kind in ("line", "history.line")},
    **{f"{kind}.parsed.troubles.why": _WHY for kind in ("line", "history.line")},
    **{f"{kind}.parsed.printed.part": _WHERE for kind in ("line", "history.line")},
}

_PIECE = 500  # rows read and written at a time

_entry = sa.table("entry", *map(sa.column, ("id", "language_reading", "practice_reading")))
_line = sa.table("line", *map(sa.column, ("id", "reason", "parsed")))
_redirect = sa.table("redirect", *map(sa.column, ("id", "entry", "beside", "made")))
_change = sa.table("change", *map(sa.column, ("id", "kind", "before", "after")))
_person = sa.table("person", sa.column("name"))
_code = sa.table("code", sa.column("name"))
_act = sa.table("act", sa.column("by"))


def upgrade() -> None:
    """Convert every reason, problem and part: in rows, in merged entries and in the history."""
    connection = op.get_bind()
    people = {*connection.scalars(sa.select(_person.c.name)), *connection.scalars(sa.select(_act.c.by))}
    codes = {*connection.scalars(sa.select(_code.c.name))}
    for kind, names in (("person", people), ("code", codes)):
        states = sa.select(_change.c.before, _change.c.after).where(_change.c.kind == kind)
        names.update(
            json.loads(state).get("name", "") for row in connection.execute(states) for state in row if state
        )
    texts = forward(people - {""}, codes - {""})
    _documents(connection, texts)
    for row in _rows(connection, _line):
        kept = texts.aside(row["reason"]) or ""
        _write(connection, _line, row, {"reason": kept if isinstance(kept, str) else _encoded(kept)})


def downgrade() -> None:
    """Convert everything back to English sentences."""
    connection, texts = op.get_bind(), back()
    _documents(connection, texts)
    for row in _rows(connection, _line):
        _write(
            connection,
            _line,
            row,
            {"reason": texts.aside(json.loads(row["reason"])) if row["reason"] else ""},
        )


def _documents(connection: sa.Connection, texts: Texts) -> None:
    """Convert every document with such texts from one form to the other."""
    for table, columns, read in (
        (_entry, ("language_reading", "practice_reading"), texts.signature),
        (_redirect, ("entry", "beside", "made"), texts.entry),
        (_line, ("parsed",), texts.parsed),
    ):
        for row in _rows(connection, table):
            _write(connection, table, row, {name: _read(row[name], read) for name in columns})
    for kind in ("entry", "line", "redirect"):
        read = partial(texts.record, kind)
        for row in _rows(connection, _change, _change.c.kind == kind):
            _write(
                connection,
                _change,
                row,
                {name: _read(row[name], read) for name in ("before", "after")},
            )


def _rows(
    connection: sa.Connection, table: sa.TableClause, *only: sa.ColumnElement[bool]
) -> Iterator[sa.RowMapping]:
    """Yield the rows of a table in batches; the caller may write to each row."""
    ids = connection.scalars(sa.select(table.c.id).where(*only).order_by(table.c.id)).all()
    for start in range(0, len(ids), _PIECE):
        piece = sa.select(table).where(table.c.id.in_(ids[start : start + _PIECE]))
        yield from connection.execute(piece).mappings().all()


def _write(
    connection: sa.Connection, table: sa.TableClause, row: sa.RowMapping, values: Mapping[str, object]
) -> None:
    """Write the values that differ from those in the row."""
    new = {name: value for name, value in values.items() if value != row[name]}
    if new:
        connection.execute(table.update().where(table.c.id == row["id"]).values(new))


def _read(text: str | None, read: Callable[[object], None]) -> str | None:
    if not text:
        return text
    document = json.loads(text)
    read(document)
    return _encoded(document)


def _encoded(document: object) -> str:
    """Return JSON as the program writes it."""
    return json.dumps(document, ensure_ascii=False, separators=(",", ":"))
