"""What many requests ask and only an act can change: computed once after each act, then remembered.

Every write of the record is an act, so its number says whether what was computed still holds. Each database
has its own memory; it is small, and forgotten whole at the next act.
"""

from collections.abc import Callable, Hashable
from typing import Any, TypeVar
from weakref import WeakKeyDictionary

from sqlalchemy import Engine, func, select

from termbase.store import schema
from termbase.store.reading import Reader

__all__ = ["last_act_id", "remembered"]

T = TypeVar("T")
MOST = 500  # answers kept for one state of the record; beyond, all are forgotten

_memories: "WeakKeyDictionary[Engine, tuple[int, dict[Hashable, Any]]]" = WeakKeyDictionary()


def last_act_id(reader: Reader) -> int:
    """Number of the newest act that this snapshot sees; 0 before the first."""
    return reader.connection.scalar(select(func.max(schema.act.c.id))) or 0


def remembered(reader: Reader, key: Hashable, make: Callable[[Reader], T], *, as_of: int | None = None) -> T:
    """What `make` gives for this state of the record; called only if nobody asked since the last act.

    Args:
        reader: a snapshot; never an act that is still writing.
        key: names the question, with everything the answer depends on besides the record.
        make: answers it; what it returns is shared, so it must be frozen.
        as_of: `last_act_id(reader)`, where it is known already.
    """
    state = last_act_id(reader) if as_of is None else as_of
    engine = reader.connection.engine
    known, answers = _memories.get(engine, (-1, {}))
    if known != state or len(answers) > MOST:
        answers = {}
        _memories[engine] = (state, answers)
    if key not in answers:
        answers[key] = make(reader)
    found: T = answers[key]
    return found
