"""What many requests ask and only an act can change: computed once after each act, then remembered.

Every write of the record is an act, so the acts say whether what was computed still holds. Each database has
its own memory; it is small, and forgotten whole at the next act.
"""

from collections.abc import Callable, Hashable
from typing import TypeVar, cast
from weakref import WeakKeyDictionary

from sqlalchemy import Engine, func, select, text

from termbase.store import schema
from termbase.store.reading import Reader

__all__ = ["State", "remembered", "state_of_record"]

T = TypeVar("T")
State = tuple[int, str]
"""Number of the newest act, and on PostgreSQL what a snapshot sees besides."""

MOST = 500  # answers kept for one state of the record; beyond, all are forgotten
_NEWEST = select(func.max(schema.act.c.id))
_SNAPSHOT = text("SELECT pg_current_snapshot()::text")
_memories: "WeakKeyDictionary[Engine, tuple[State | None, dict[Hashable, object]]]" = WeakKeyDictionary()


def state_of_record(reader: Reader) -> State:
    """What tells this state of the record from every other.

    SQLite writes one act after the other, so the newest number tells. PostgreSQL may finish an older act
    after a newer one; there the snapshot itself is part of the answer.
    """
    newest = reader.connection.scalar(_NEWEST) or 0
    if reader.connection.dialect.name != "postgresql":
        return newest, ""
    return newest, reader.connection.scalar(_SNAPSHOT) or ""


def remembered(
    reader: Reader, question: Hashable, answer: Callable[[Reader], T], *, as_of: State | None = None
) -> T:
    """What `answer` gives for this state of the record; called only if nobody asked since the last act.

    Args:
        reader: a snapshot; never an act that is still writing.
        question: names it, with all that the answer depends on besides the record.
        answer: answers it; what it gives is shared, so it must be frozen.
        as_of: `state_of_record(reader)`, where it is known already.
    """
    state = state_of_record(reader) if as_of is None else as_of
    engine = reader.connection.engine
    known, answers = _memories.get(engine, (None, {}))
    if known != state or len(answers) > MOST:
        answers = {}
        _memories[engine] = (state, answers)
    if question not in answers:
        answers[question] = answer(reader)
    return cast(T, answers[question])  # a question has one answer, so one type: no checker can know that
