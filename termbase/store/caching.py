"""A cache for answers that many requests need and that only an act can change.

Every write to the record is an act, so the acts show whether a cached answer is still valid. Each database
has its own cache; it is small, and cleared completely at the next act.
"""

from collections.abc import Callable, Hashable
from typing import TypeVar, cast
from weakref import WeakKeyDictionary

from sqlalchemy import Engine, func, select, text

from termbase.store import tables
from termbase.store.reading import Reader

__all__ = ["State", "remembered", "state_of_record"]

T = TypeVar("T")
State = tuple[int, str]
"""Number of the newest act, and on PostgreSQL also what a snapshot sees."""

MOST = 500  # maximum cached answers for one state of the record; beyond it, the cache is cleared
_NEWEST = select(func.max(tables.act.c.id))
_SNAPSHOT = text("SELECT pg_current_snapshot()::text")
_memories: "WeakKeyDictionary[Engine, tuple[State | None, dict[Hashable, object]]]" = WeakKeyDictionary()


def state_of_record(reader: Reader) -> State:
    """Return a value that distinguishes this state of the record from every other.

    SQLite writes one act after another, so the newest number is enough. PostgreSQL may finish an older act
    after a newer one; there the snapshot itself is part of the value.
    """
    newest = reader.connection.scalar(_NEWEST) or 0
    if reader.connection.dialect.name != "postgresql":
        return newest, ""
    return newest, reader.connection.scalar(_SNAPSHOT) or ""


def remembered(
    reader: Reader, question: Hashable, answer: Callable[[Reader], T], *, as_of: State | None = None
) -> T:
    """Return what `answer` returns for this state of the record; it is called only if there is no cached
    answer since the last act.

    Args:
        reader: a snapshot; never an act that is still writing.
        question: the cache key, with everything the answer depends on besides the record.
        answer: computes the answer, which is shared and so must be frozen.
        as_of: `state_of_record(reader)`, if already known.
    """
    state = state_of_record(reader) if as_of is None else as_of
    engine = reader.connection.engine
    known, answers = _memories.get(engine, (None, {}))
    if known != state or len(answers) > MOST:
        answers = {}
        _memories[engine] = (state, answers)
    if question not in answers:
        answers[question] = answer(reader)
    return cast(T, answers[question])  # each question has one answer type, which no type checker can know
