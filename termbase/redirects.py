"""Entries that became one with another: where their id leads from now on, and what each of them brought."""

from dataclasses import dataclass

from termbase.entries import Entry, RelationKind

__all__ = ["FoldedName", "PointedAt", "Redirect"]


@dataclass(frozen=True)
class FoldedName:
    """A name that became one with the same name of the other entry, and the slips that went over to it."""

    term_id: str
    into: str
    slip_ids: tuple[str, ...] = ()


@dataclass(frozen=True)
class PointedAt:
    """A relation of another entry that led here."""

    entry_id: str
    kind: RelationKind


@dataclass(frozen=True)
class Redirect:
    """One entry made one with another. All that is needed to part them again is kept with it.

    Attributes:
        id: the entry that was merged; its id is never used again and leads to `target_id`.
        target_id: the entry it is part of now.
        entry: the entry as it was.
        beside: the entry it went to, as that was before.
        made: the two as one, as they were right after.
        folded: its names that became one with a name there; its other names went over with their ids.
        trial_ids, line_ids: what was recorded of it and went over.
        pointed: relations of other entries that led to it.
        redirect_ids: entries that had been merged into it before.
        by, on: who merged them, on what day.
    """

    id: str
    target_id: str
    entry: Entry
    beside: Entry
    made: Entry
    folded: tuple[FoldedName, ...] = ()
    trial_ids: tuple[str, ...] = ()
    line_ids: tuple[str, ...] = ()
    pointed: tuple[PointedAt, ...] = ()
    redirect_ids: tuple[str, ...] = ()
    by: str = ""
    on: str = ""
    version: int = 0
