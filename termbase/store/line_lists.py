"""The lines of a page for the desk: a range of lines, the next open line, the last act.

A page may have many thousands of lines, so nothing here reads more of them than it returns.
"""

from collections.abc import Collection, Sequence

from sqlalchemy import ColumnElement, func, select

from termbase.fields.notes import CodedText
from termbase.record.pages import Line, LineState, PageCount, count
from termbase.store import tables
from termbase.store.reading import Reader
from termbase.store.rows import ActRecord, reason_of, word_of

__all__ = [
    "OPEN", "RECENT", "count_of", "last_act_on", "line_at", "lines_between", "lines_from", "next_open",
    "open_lines", "position_beside", "reasons_given", "size_of",
]  # fmt: skip

OPEN = (LineState.NEW, LineState.UNPARSED)
"""States of a line that still has to be worked."""

RECENT = 60
"""How many acts are searched for one to undo."""

LOOKED_AT = 20  # how many acts in force are checked, since others may not concern the page

_LINE = tables.line.c


def lines_between(reader: Reader, page_id: str, first: int, last: int) -> tuple[Line, ...]:
    """Return the lines of a page from one position to another, both included, in order."""
    query = (
        select(_LINE.id)
        .where(_LINE.page_id == page_id, _LINE.position >= first, _LINE.position <= last)
        .order_by(_LINE.position)
    )
    return _lines(reader, reader.connection.scalars(query).all())


def lines_from(
    reader: Reader,
    page_id: str,
    position: int,
    number: int,
    *,
    states: Collection[LineState] = (),
    holding: str = "",
) -> tuple[Line, ...]:
    """Return lines around a position, in order: those after it, or with a negative number those before it.

    Args:
        position: where to start; the line at this position counts as *after*.
        number: maximum number of lines.
        states: only lines in these states; empty for any.
        holding: only lines whose printed text contains this text.
    """
    conditions = [_LINE.page_id == page_id]
    if states:
        conditions.append(_LINE.state.in_([s.value for s in states]))
    if holding:
        conditions.append(_LINE.text.icontains(holding, autoescape=True))
    backwards = number < 0
    conditions.append(_LINE.position < position if backwards else _LINE.position >= position)
    query = select(_LINE.id).where(*conditions).limit(abs(number))
    ids = reader.connection.scalars(
        query.order_by(_LINE.position.desc() if backwards else _LINE.position)
    ).all()
    return _lines(reader, ids[::-1] if backwards else ids)


def line_at(reader: Reader, page_id: str, position: int) -> Line | None:
    """Return the line at a position; None if there is none (a blank line of the page)."""
    return next(iter(lines_between(reader, page_id, position, position)), None)


def next_open(reader: Reader, page_id: str, position: int) -> int | None:
    """Return the position of the first open line after this one, or else of the first open line of the page;
    None if all are done."""
    is_open = (_LINE.page_id == page_id, _LINE.state.in_([s.value for s in OPEN]))
    after = _first(reader, *is_open, _LINE.position > position)
    return after if after is not None else _first(reader, *is_open)


def position_beside(reader: Reader, page_id: str, position: int, step: int) -> int | None:
    """Return the position of the nearest line before (step -1) or after (step 1) that is not furniture; None
    at the end."""
    no_furniture = (_LINE.page_id == page_id, _LINE.state != LineState.FURNITURE.value)
    if step < 0:
        return _first(reader, *no_furniture, _LINE.position < position, backwards=True)
    return _first(reader, *no_furniture, _LINE.position > position)


def open_lines(reader: Reader, page_id: str) -> tuple[Line, ...]:
    """Return all lines of a page that still have to be worked, in order."""
    query = (
        select(_LINE.id)
        .where(_LINE.page_id == page_id, _LINE.state.in_([s.value for s in OPEN]))
        .order_by(_LINE.position)
    )
    return _lines(reader, reader.connection.scalars(query).all())


def count_of(reader: Reader, page_id: str) -> PageCount:
    """Return the progress of one page."""
    query = select(_LINE.state, func.count()).where(_LINE.page_id == page_id).group_by(_LINE.state)
    rows = reader.connection.execute(query)
    return count({word_of(LineState, state, tables.line, page_id): number for state, number in rows})


def reasons_given(reader: Reader, source_id: str, number: int = 12) -> tuple[CodedText, ...]:
    """Return the reasons for which lines of a source were set aside, most frequent first."""
    query = (
        select(_LINE.reason, func.min(_LINE.id))
        .join(tables.page, tables.page.c.id == _LINE.page_id)
        .where(tables.page.c.source_id == source_id, _LINE.state == LineState.SET_ASIDE.value)
        .group_by(_LINE.reason)
        .order_by(func.count().desc(), _LINE.reason)
        .limit(number)
    )
    rows = reader.connection.execute(query)
    return tuple(reason_of(kept, tables.line, line_id) for kept, line_id in rows)


def last_act_on(reader: Reader, page_id: str, by: str) -> tuple[ActRecord, int] | None:
    """Return a person's last act in force that worked a line of a page or changed its entry, with the
    position of that line.

    Acts that were undone, and acts that undo, are skipped, so that a person can undo several in a row. Adding
    the page does not count. None if there is no such act among the newest ones.
    """
    recent = reader.last_acts(RECENT)
    undone: set[int] = set()
    for act in recent:  # newest first: an undo that was itself undone does not count
        if act.undoes is not None and act.id not in undone:
            undone.add(act.undoes)
    in_force = [a for a in recent if a.by == by and a.undoes is None and a.id not in undone]
    for act in in_force[:LOOKED_AT]:
        position = _position_worked(reader, page_id, act.id)
        if position is not None:
            return act, position
    return None


def _position_worked(reader: Reader, page_id: str, act_id: int) -> int | None:
    """Return the position of the first line of a page that an act worked, or whose entry it changed."""
    change, join = tables.change.c, tables.line_entry.c
    changed = (change.act_id == act_id, change.before.is_not(None), _LINE.page_id == page_id)
    lines = select(_LINE.position).join(tables.change, change.record_id == _LINE.id)
    entries = (
        select(_LINE.position)
        .join(tables.line_entry, join.line_id == _LINE.id)
        .join(tables.change, change.record_id == join.entry_id)
    )
    for query, kind in ((lines, "line"), (entries, "entry")):
        position: int | None = reader.connection.scalar(
            query.where(*changed, change.kind == kind).order_by(change.id).limit(1)
        )
        if position is not None:
            return position
    return None


def size_of(reader: Reader, act_id: int) -> int:
    """Return how many records an act changed."""
    change = tables.change
    return (
        reader.connection.scalar(select(func.count()).select_from(change).where(change.c.act_id == act_id))
        or 0
    )


def _first(reader: Reader, *conditions: ColumnElement[bool], backwards: bool = False) -> int | None:
    order = _LINE.position.desc() if backwards else _LINE.position
    return reader.connection.scalar(select(_LINE.position).where(*conditions).order_by(order).limit(1))


def _lines(reader: Reader, ids: Sequence[str]) -> tuple[Line, ...]:
    return tuple(reader.many(Line, ids).values())
