"""Lists of entries: plain selects into small frozen rows, a page at a time, fast with many thousands."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Select, and_, exists, func, select

from termbase.entries import Origin, Topic
from termbase.store import schema
from termbase.store.reading import BATCH, Reader

__all__ = [
    "STAGES", "EntryFilter", "EntryRow", "HeadWord", "all_ids", "count_entries", "list_entries",
    "rows_of", "section_letters",
]  # fmt: skip


@dataclass(frozen=True)
class EntryFilter:
    """What a list of entries is narrowed to; empty fields narrow nothing.

    `ids` keeps only these entries (the hits of a search, the entries with some verdict).
    """

    topic: str = ""
    origin: str = ""
    stage: str = ""
    source_id: str = ""
    section: str = ""
    technique: bool = False
    ids: frozenset[str] | None = None


STAGES = ("ready", "draft", "language open", "practice open")
"""Stages that a list can be narrowed to: both readings signed, not both, or one of them open."""


@dataclass(frozen=True)
class HeadWord:
    """A head term as a list shows it."""

    text: str
    language: str
    origin: Origin
    gender: str
    part_of_speech: str


@dataclass(frozen=True)
class EntryRow:
    """One line of a list.

    Attributes:
        heads: the head of each language, in order of the entry.
        names: all its names in any language.
        slips: how many quotations bear witness to them.
        ready: whether both readings are signed.
        technique: the profile as stored (JSON), empty where none; `termbase.verdicts` judges it.
        rulings: editors' rulings, verdict by id of the rule code.
    """

    id: str
    topic: Topic | None
    heads: tuple[HeadWord, ...]
    names: frozenset[str]
    slips: int
    ready: bool
    technique: str
    rulings: dict[str, str]

    def head(self, language: str) -> HeadWord | None:
        """The head in a language."""
        return next((head for head in self.heads if head.language == language), None)


def list_entries(
    reader: Reader,
    wanted: EntryFilter,
    language: str,
    *,
    offset: int = 0,
    limit: int = 50,
    descending: bool = False,
) -> tuple[EntryRow, ...]:
    """A page of entries in the alphabetical order of their heads in a language.

    Entries without a head in that language come last, in order of making. A long page is read in batches.
    """
    ids = _page_of_ids(reader, wanted, language, offset, limit, descending)
    return rows_of(reader, ids)


def rows_of(reader: Reader, ids: Sequence[str]) -> tuple[EntryRow, ...]:
    """The lines of these entries, in their order; read in batches, so a whole termbase can be asked for."""
    return tuple(
        row for start in range(0, len(ids), BATCH) for row in _rows(reader, ids[start : start + BATCH])
    )


def all_ids(reader: Reader, wanted: EntryFilter, language: str, *, descending: bool = False) -> list[str]:
    """Ids of all entries that a filter lets through, in alphabetical order of a language."""
    return _page_of_ids(reader, wanted, language, 0, None, descending)


def count_entries(reader: Reader, wanted: EntryFilter) -> int:
    """How many entries a filter lets through."""
    query = select(schema.entry.c.id).where(*_conditions(wanted))
    if wanted.section:
        query = query.join(schema.term, schema.term.c.entry_id == schema.entry.c.id).where(
            schema.term.c.is_head, schema.term.c.section == wanted.section
        )
        query = query.distinct()
    if wanted.ids is None:
        return reader.connection.scalar(select(func.count()).select_from(query.subquery())) or 0
    return sum(1 for i in reader.connection.scalars(query) if i in wanted.ids)


def section_letters(reader: Reader, language: str) -> tuple[tuple[str, int], ...]:
    """The letters under which entries stand in a language, in its alphabet's order, with their number."""
    term = schema.term.c
    query = (
        select(term.section, func.count(), func.min(term.sort_key))
        .where(term.language == language, term.is_head)
        .group_by(term.section)
        .order_by(func.min(term.sort_key))
    )
    return tuple((row[0], row[1]) for row in reader.connection.execute(query))


def _conditions(wanted: EntryFilter) -> list[ColumnElement[bool]]:
    entry, term, slip = schema.entry.c, schema.term.alias(), schema.slip.c
    found: list[ColumnElement[bool]] = []
    if wanted.topic:
        found.append(entry.topic == wanted.topic)
    if wanted.stage == "ready":
        found.append(entry.ready)
    elif wanted.stage == "draft":
        found.append(~entry.ready)
    elif wanted.stage in ("language open", "practice open"):
        column = entry.language_reading if wanted.stage == "language open" else entry.practice_reading
        found.append(column.contains('"by":""'))
    if wanted.technique:
        found.append(entry.technique.is_not(None))
    if wanted.origin:
        found.append(exists().where(term.c.entry_id == entry.id, term.c.origin == wanted.origin))
    if wanted.source_id:
        cited = and_(
            term.c.entry_id == entry.id, slip.term_id == term.c.id, slip.source_id == wanted.source_id
        )
        found.append(exists().where(cited))
    return found


def _page_of_ids(
    reader: Reader, wanted: EntryFilter, language: str, offset: int, limit: int | None, descending: bool
) -> list[str]:
    entry, term = schema.entry.c, schema.term.c
    conditions = _conditions(wanted)
    has_head = and_(term.entry_id == entry.id, term.language == language, term.is_head)
    first = select(term.entry_id).where(term.language == language, term.is_head)
    if conditions:
        first = first.join(schema.entry, entry.id == term.entry_id).where(*conditions)
    if wanted.section:
        first = first.where(term.section == wanted.section)
    order = (term.sort_key, term.entry_id)
    first = first.order_by(*(c.desc() for c in order)) if descending else first.order_by(*order)
    rest = (
        select(entry.id)
        .where(*conditions, ~exists().where(has_head))
        .order_by(func.length(entry.id), entry.id)
    )
    if wanted.ids is not None:
        return _within(reader, first, None if wanted.section else rest, wanted.ids, offset, limit)
    ids = list(reader.connection.scalars(_sliced(first, offset, limit)))
    if wanted.section or (limit is not None and len(ids) == limit):
        return ids
    with_head = (
        reader.connection.scalar(select(func.count()).select_from(first.order_by(None).subquery())) or 0
    )
    more = _sliced(rest, max(0, offset - with_head), None if limit is None else limit - len(ids))
    return ids + list(reader.connection.scalars(more))


def _sliced(query: Select[Any], offset: int, limit: int | None) -> Select[Any]:
    return query.offset(offset) if limit is None else query.offset(offset).limit(limit)


def _within(
    reader: Reader,
    first: Select[Any],
    rest: Select[Any] | None,
    ids: Collection[str],
    offset: int,
    limit: int | None,
) -> list[str]:
    found = [i for i in reader.connection.scalars(first) if i in ids]
    if rest is not None and len(found) < len(ids):
        found += [i for i in reader.connection.scalars(rest) if i in ids]
    return found[offset:] if limit is None else found[offset : offset + limit]


def _rows(reader: Reader, ids: Sequence[str]) -> tuple[EntryRow, ...]:
    entry, term, slip = schema.entry.c, schema.term.c, schema.slip.c
    columns = (entry.id, entry.topic, entry.ready, entry.technique)
    entries = {r.id: r for r in reader.connection.execute(select(*columns).where(entry.id.in_(ids)))}
    words: defaultdict[str, list[HeadWord]] = defaultdict(list)
    names: defaultdict[str, list[str]] = defaultdict(list)
    shown = (
        term.entry_id,
        term.text,
        term.language,
        term.origin,
        term.gender,
        term.part_of_speech,
        term.is_head,
    )
    query = select(*shown).where(term.entry_id.in_(ids)).order_by(term.entry_id, term.position)
    for row in reader.connection.execute(query):
        names[row.entry_id].append(row.text)
        if row.is_head:
            word = HeadWord(
                row.text, row.language, Origin(row.origin), row.gender or "", row.part_of_speech or ""
            )
            words[row.entry_id].append(word)
    counted = (
        select(term.entry_id, func.count())
        .join(schema.slip, slip.term_id == term.id)
        .where(term.entry_id.in_(ids))
        .group_by(term.entry_id)
    )
    slips = {row[0]: int(row[1]) for row in reader.connection.execute(counted)}
    ruling = schema.ruling.c
    rulings: defaultdict[str, dict[str, str]] = defaultdict(dict)
    ruled = select(ruling.entry_id, ruling.code_id, ruling.verdict).where(ruling.entry_id.in_(ids))
    for entry_id, code_id, verdict in reader.connection.execute(ruled):
        rulings[entry_id][code_id] = verdict
    return tuple(
        EntryRow(
            id=i,
            topic=Topic(entries[i].topic) if entries[i].topic else None,
            heads=tuple(words[i]),
            names=frozenset(names[i]),
            slips=slips.get(i, 0),
            ready=bool(entries[i].ready),
            technique=entries[i].technique or "",
            rulings=rulings.get(i, {}),
        )
        for i in ids
    )
