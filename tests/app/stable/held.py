"""Recorded lists of the public names that people and other programs rely on.

A list may grow. If a name disappears or its value changes type, whatever was built on it breaks, so the
test of the list fails. `HOLD_NEW_NAMES=1 python -m pytest tests/app/stable` adds new names to the lists; it
removes none. To remove a name on purpose, edit the list by hand.
"""

import json
import os
from collections.abc import Iterator, Mapping
from pathlib import Path

__all__ = ["Names", "check", "missing"]

HERE = Path(__file__).parent
Names = Mapping[str, "Names | list[str] | str"]
"""Names by group: a table of names, a list that may grow, or one text that must stay. A text `a or b` means
that the value has one of these types."""
EMPTY = "null"
ADVICE = """
Keep public names, or keep accepting the old one. To record new names, run
`HOLD_NEW_NAMES=1 python -m pytest tests/app/stable`. To remove a name, delete it from
tests/app/stable/{list}.json by hand and say why in the commit."""


def check(name: str, now: Names) -> None:
    """Fail if a name of the list is missing or has changed; add new names if `HOLD_NEW_NAMES` is set."""
    path = HERE / f"{name}.json"
    held: Names = json.loads(path.read_text("utf-8")) if path.exists() else {}
    if os.environ.get("HOLD_NEW_NAMES") == "1":
        held = _with_new(held, now)
        path.write_text(json.dumps(held, ensure_ascii=False, indent=1, sort_keys=True) + "\n", "utf-8")
    assert held, f"{path} contains no names"
    problems = list(missing(held, now))
    assert not problems, "\n".join([*problems, ADVICE.format(list=name)])


def missing(held: Names, now: Names, where: str = "") -> Iterator[str]:
    """Yield a sentence for each recorded name that is missing or has another type."""
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
