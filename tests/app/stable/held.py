"""The names that people and programs outside rely on, as lists that were written down once.

A list may grow. Where a name is gone, or means a value of another type, whatever was built on it breaks, so
the test of the list fails. `HOLD_NEW_NAMES=1 python -m pytest tests/app/stable` adds what is new to the
lists; it takes nothing out. To take a name out on purpose, edit the list by hand.
"""

import json
import os
from collections.abc import Iterator, Mapping
from pathlib import Path

__all__ = ["Names", "check", "missing"]

ROOM = Path(__file__).parent
Names = Mapping[str, "Names | list[str] | str"]
"""Names by group: a table of names, a list that may grow, or one text that must stay. A text `a or b` says
that the value is of one of these types."""
EMPTY = "null"
ADVICE = """
Names that are seen from outside stay, or the old one is still accepted. If something was added and should
be held from now on, run `HOLD_NEW_NAMES=1 python -m pytest tests/app/stable`. If a name has to go, take it
out of tests/app/stable/{list}.json by hand and say so in the commit."""


def check(name: str, now: Names) -> None:
    """Fail if a name of the list *name* is gone or changed; add the new ones if that was asked for."""
    path = ROOM / f"{name}.json"
    held: Names = json.loads(path.read_text("utf-8")) if path.exists() else {}
    if os.environ.get("HOLD_NEW_NAMES") == "1":
        held = _with_new(held, now)
        path.write_text(json.dumps(held, ensure_ascii=False, indent=1, sort_keys=True) + "\n", "utf-8")
    assert held, f"{path} holds no names"
    problems = list(missing(held, now))
    assert not problems, "\n".join([*problems, ADVICE.format(list=name)])


def missing(held: Names, now: Names, where: str = "") -> Iterator[str]:
    """What of the held names is gone or of another type, one sentence each."""
    for name, before in held.items():
        place = f"{where} > {name}" if where else name
        after = now.get(name)
        if after is None:
            yield f"{place}: gone"
        elif isinstance(before, str) and isinstance(after, str):
            new = _types(after) - _types(before)
            if new and before != EMPTY:
                yield f"{place}: was {before}, is now {after}"
        elif isinstance(before, list) and isinstance(after, list):
            yield from (f"{place} > {each}: gone" for each in before if each not in after)
        elif isinstance(before, Mapping) and isinstance(after, Mapping):
            yield from missing(before, after, place)
        else:
            yield f"{place}: is now something else"


def _types(text: str) -> set[str]:
    return set(text.split(" or "))


def _with_new(held: Names, now: Names) -> Names:
    merged = dict(held)
    for name, after in now.items():
        before = held.get(name)
        if before is None or before == EMPTY:
            merged[name] = after
        elif isinstance(before, list) and isinstance(after, list):
            merged[name] = sorted({*before, *after})
        elif isinstance(before, Mapping) and isinstance(after, Mapping):
            merged[name] = _with_new(before, after)
    return merged
