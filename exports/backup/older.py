"""Records in backups from earlier versions, with reasons and problems stored as English sentences."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Final

import msgspec

from termbase.store.copying import Change
from termbase.store.oldtexts.states import Texts, forward

__all__ = ["LAST_WITH_SENTENCES", "brought_up", "texts_of"]

LAST_WITH_SENTENCES: Final = "0008"
"""The last version of the tables whose records contained sentences."""


def texts_of(
    people: Iterable[Mapping[str, object]],
    codes: Iterable[Mapping[str, object]],
    acts: Iterable[Mapping[str, object]],
    changes: Iterable[Change],
) -> Texts:
    """Return the reader for texts of a backup, using the names of the people and rule codes in it and its
    history."""
    names: dict[str, set[str]] = {"person": set(), "code": set()}
    names["person"].update(str(one.get("name", "")) for one in people)
    names["person"].update(str(act.get("by", "")) for act in acts)
    names["code"].update(str(code.get("name", "")) for code in codes)
    for change in changes:
        for state in (change.before, change.after) if change.kind in names else ():
            document = _document(state)
            if isinstance(document, dict):
                names[change.kind].add(str(document.get("name", "")))
    return forward(names["person"] - {""}, names["code"] - {""})


def brought_up(change: Change, texts: Texts) -> Change:
    """Return a change with its states in today's form; what cannot be read stays as it is."""

    def state(text: str | None) -> str | None:
        document = _document(text)
        if document is None:
            return text
        texts.record(change.kind, document)
        return msgspec.json.encode(document).decode()

    if change.kind not in ("entry", "line", "redirect"):
        return change
    return replace(change, before=state(change.before), after=state(change.after))


def _document(text: str | None) -> object:
    try:
        return msgspec.json.decode(text) if text else None
    except msgspec.DecodeError:
        return None
