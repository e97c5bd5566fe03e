"""Entries merged into another: where their id leads, and what each of them brought."""

from dataclasses import KW_ONLY, dataclass
from typing import Annotated

from termbase.fields.declarations import VERSION, Date, Id, Items, Line, Lines, Member, Nested, Reference
from termbase.record.entries import Entry, RelationKind

__all__ = ["FoldedName", "PointedAt", "Redirect"]


@dataclass(frozen=True)
class FoldedName:
    """A name merged with the same name of the other entry, and the slips that moved to it."""

    term_id: Annotated[str, Reference("bears witness to", to="term")]
    into: Annotated[str, Reference(to="term")]
    slip_ids: Annotated[tuple[str, ...], Lines(to="slip")] = ()


@dataclass(frozen=True)
class PointedAt:
    """A relation of another entry that led to the merged entry."""

    entry_id: Annotated[str, Reference("entry", to="entry")]
    kind: Annotated[RelationKind, Member(title=True)]


@dataclass(frozen=True)
class Redirect:
    """An entry merged into another, with everything needed to separate them again.

    Attributes:
        id: the entry that was merged; its id is never used again and leads to `target_id`.
        target_id: the entry it is part of now.
        entry: the entry as it was.
        beside: the entry it was merged into, as it was before.
        made: the merged entry, as it was right after.
        folded: its names that were merged with a name there; its other names moved with their ids.
        trial_ids, line_ids: its trials and lines that moved.
        pointed: relations of other entries that led to it.
        redirect_ids: entries that had been merged into it before.
        by, on: who merged them, on what day.
    """

    id: Annotated[str, Id(bookkeeping=True)]
    target_id: Annotated[str, Reference("to", to="entry")]
    entry: Annotated[Entry, Nested()]
    beside: Annotated[Entry, Nested()]
    made: Annotated[Entry, Nested()]
    _: KW_ONLY
    folded: Annotated[tuple[FoldedName, ...], Items()] = ()
    trial_ids: Annotated[tuple[str, ...], Lines(to="trial")] = ()
    line_ids: Annotated[tuple[str, ...], Lines(to="line")] = ()
    pointed: Annotated[tuple[PointedAt, ...], Items()] = ()
    redirect_ids: Annotated[tuple[str, ...], Lines(to="redirect")] = ()
    by: Annotated[str, Line()] = ""
    on: Annotated[str, Date()] = ""
    version: Annotated[int, VERSION] = 0
