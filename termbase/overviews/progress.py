"""Progress of the whole termbase: pages, entries, readings; and the next step for each role."""

from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Table, func, select

from termbase.record.pages import PageCount
from termbase.record.people import UNNAMED
from termbase.store import tables as schema
from termbase.store.entry_lists import EntryFilter, all_ids, count_entries, list_entries
from termbase.store.reading import Reader

__all__ = ["Overview", "is_empty", "is_unnamed", "overview"]


@dataclass(frozen=True)
class Overview:
    """The progress of the work, in numbers.

    Attributes:
        entries, ready: number of entries, and of those with both readings signed.
        language_open, practice_open: number of entries with this reading open.
        next_language, next_practice: the first of these in the working language's alphabetical order; empty
            if none.
        undefined: entries without a definition in the working language.
        unsorted: slips not sorted to a name yet.
        pages: number of word-list pages; `lines` sums up their lines.
        next_page: the first page with lines remaining; empty if none.
        sources, slips, trials: how many of each.
    """

    entries: int
    ready: int
    language_open: int
    practice_open: int
    next_language: str
    next_practice: str
    undefined: int
    unsorted: int
    pages: int
    lines: PageCount
    next_page: str
    sources: int
    slips: int
    trials: int


def is_empty(reader: Reader) -> bool:
    """Whether there is nothing yet except the termbase itself and the people."""
    tables = (schema.entry, schema.source, schema.code, schema.page)
    return not any(reader.connection.scalar(select(table.c.id).limit(1)) for table in tables)


def is_unnamed(reader: Reader) -> bool:
    """Whether there is nothing yet and the termbase has no title, licence, rights or notice of its own."""
    termbase = reader.termbase()
    return (
        termbase.title == UNNAMED
        and not (termbase.licence or termbase.rights or termbase.notice)
        and is_empty(reader)
    )


def overview(reader: Reader) -> Overview:
    """Return the current progress, from a dozen counts."""
    working = reader.termbase().working_language
    counts = reader.page_counts()
    lines = PageCount(
        sum(c.done for c in counts.values()),
        sum(c.set_aside for c in counts.values()),
        sum(c.left for c in counts.values()),
        sum(c.unparsed for c in counts.values()),
    )
    unfinished = sorted((i for i, c in counts.items() if c.left), key=lambda i: (len(i), i))
    language, practice = EntryFilter(stage="language open"), EntryFilter(stage="practice open")
    total = _number(reader, schema.entry)
    defined = reader.connection.scalar(
        select(func.count(func.distinct(schema.definition.c.entry_id))).where(
            schema.definition.c.language == working
        )
    )
    unsorted = reader.connection.scalar(
        select(func.count()).select_from(schema.slip).where(schema.slip.c.term_id.is_(None))
    )
    return Overview(
        entries=total,
        ready=count_entries(reader, EntryFilter(stage="ready")),
        language_open=count_entries(reader, language),
        practice_open=count_entries(reader, practice),
        next_language=_first(reader, language, working),
        next_practice=_first(reader, practice, working),
        undefined=total - (defined or 0),
        unsorted=unsorted or 0,
        pages=_number(reader, schema.page),
        lines=lines,
        next_page=unfinished[0] if unfinished else "",
        sources=_number(reader, schema.source),
        slips=_number(reader, schema.slip),
        trials=_number(reader, schema.trial),
    )


def next_to_read(reader: Reader, which: Literal["language", "practice"], after: str) -> str:
    """Return the entry to read next for language or practice: the next one after `after` with an open
    reading, in the working language's alphabetical order, starting again at the beginning.

    Returns:
        Its id; empty if no other is open.
    """
    working = reader.termbase().working_language
    order = all_ids(reader, EntryFilter(), working)
    is_open = set(all_ids(reader, EntryFilter(stage=f"{which} open"), working)) - {after}
    start = order.index(after) + 1 if after in order else 0
    return next((i for i in (*order[start:], *order[:start]) if i in is_open), "")


def _first(reader: Reader, wanted: EntryFilter, language: str) -> str:
    return next((row.id for row in list_entries(reader, wanted, language, limit=1)), "")


def _number(reader: Reader, table: Table) -> int:
    return reader.connection.scalar(select(func.count()).select_from(table)) or 0
