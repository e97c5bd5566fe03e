"""Lists of entries, a page at a time: plain selects into small frozen rows, fast for many thousands."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TypeVarTuple

from sqlalchemy import BindParameter, ColumnElement, Select, and_, bindparam, exists, func, select

from termbase.languages.alphabets import sort_key
from termbase.record.cautions import is_injury
from termbase.record.entries import Origin, Topic
from termbase.store import tables
from termbase.store.batches import batched, rows_in
from termbase.store.faults import missing_row
from termbase.store.reading import Reader
from termbase.store.rows import word_of

__all__ = [
    "STAGES", "EntryFilter", "EntryRow", "HeadWord", "all_ids", "count_entries", "list_entries",
    "rows_of", "section_letters",
]  # fmt: skip


@dataclass(frozen=True)
class EntryFilter:
    """Conditions for a list of entries; empty fields are ignored.

    `ids` keeps only these entries (search hits, or entries with a certain verdict).
    """

    topic: str = ""
    origin: str = ""
    stage: str = ""
    source_id: str = ""
    section: str = ""
    technique: bool = False
    ids: frozenset[str] | None = None


Columns = TypeVarTuple("Columns")
STAGES = ("ready", "draft", "language open", "practice open")
"""Stages by which a list can be filtered: both readings signed, not both, or one of them open."""


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
    """One row of a list.

    Attributes:
        heads: the head in each language, in the entry's order.
        names: number of names in all languages.
        slips: number of quotations that bear witness to them.
        ready: whether both readings are signed.
        technique: the profile as stored (JSON), empty if there is none; `termbase.store.verdicts` judges it.
        rulings: editors' rulings, verdict by id of the rule code.
        hurt: whether someone was hurt in a trial of it.
    """

    id: str
    topic: Topic | None
    heads: tuple[HeadWord, ...]
    names: frozenset[str]
    slips: int
    ready: bool
    technique: str
    rulings: dict[str, str]
    hurt: bool = False

    def head(self, language: str) -> HeadWord | None:
        """Return the head in a language."""
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
    """Return a page of entries in the alphabetical order of their heads in a language.

    Entries without a head in that language come last, in order of creation. A long page is read in batches.
    """
    ids = _page_of_ids(reader, wanted, language, offset, limit, descending)
    return rows_of(reader, ids)


def rows_of(reader: Reader, ids: Sequence[str]) -> tuple[EntryRow, ...]:
    """Return the rows of these entries, in the given order; read in batches, so a whole termbase can be
    requested."""
    return tuple(row for batch in batched(ids) for row in _rows(reader, batch))


def all_ids(reader: Reader, wanted: EntryFilter, language: str, *, descending: bool = False) -> list[str]:
    """Return the ids of all entries that meet a filter, in the alphabetical order of a language."""
    return _page_of_ids(reader, wanted, language, 0, None, descending)


def count_entries(reader: Reader, wanted: EntryFilter, language: str = "") -> int:
    """Return how many entries meet a filter; the language matters only if a section is part of it."""
    if wanted.ids is not None:
        return len(_within(reader, wanted, language, wanted.ids, False))
    query = select(tables.entry.c.id).where(*_conditions(wanted))
    if wanted.section:
        term = tables.term.c
        head = (term.entry_id == tables.entry.c.id, term.is_head, term.language == language)
        query = query.where(exists().where(*head, term.section == wanted.section))
    return reader.connection.scalar(select(func.count()).select_from(query.subquery())) or 0


def section_letters(reader: Reader, language: str) -> tuple[tuple[str, int], ...]:
    """Return the letters under which entries are listed in a language, in its alphabet's order, with their
    number of entries."""
    term = tables.term.c
    query = (
        select(term.section, func.count())
        .where(term.language == language, term.is_head)
        .group_by(term.section)
    )
    letters = [(letter, int(number)) for letter, number in reader.connection.execute(query)]
    return tuple(sorted(letters, key=lambda pair: sort_key(pair[0], language)))


def _conditions(wanted: EntryFilter) -> list[ColumnElement[bool]]:
    entry, term, slip = tables.entry.c, tables.term.alias(), tables.slip.c
    conditions: list[ColumnElement[bool]] = []
    if wanted.topic:
        conditions.append(entry.topic == wanted.topic)
    if wanted.stage == "ready":
        conditions.append(entry.ready)
    elif wanted.stage == "draft":
        conditions.append(~entry.ready)
    elif wanted.stage in ("language open", "practice open"):
        column = entry.language_reading if wanted.stage == "language open" else entry.practice_reading
        conditions.append(column.contains('"by":""'))
    if wanted.technique:
        conditions.append(entry.technique.is_not(None))
    if wanted.origin:
        conditions.append(exists().where(term.c.entry_id == entry.id, term.c.origin == wanted.origin))
    if wanted.source_id:
        cited = and_(
            term.c.entry_id == entry.id, slip.term_id == term.c.id, slip.source_id == wanted.source_id
        )
        conditions.append(exists().where(cited))
    return conditions


def _page_of_ids(
    reader: Reader, wanted: EntryFilter, language: str, offset: int, limit: int | None, descending: bool
) -> list[str]:
    if wanted.ids is not None:
        matching = _within(reader, wanted, language, wanted.ids, descending)
        return matching[offset:] if limit is None else matching[offset : offset + limit]
    entry, term = tables.entry.c, tables.term.c
    conditions = _conditions(wanted)
    has_head = and_(term.entry_id == entry.id, term.language == language, term.is_head)
    first = select(term.entry_id).where(term.language == language, term.is_head)
    if conditions:
        first = first.join(tables.entry, entry.id == term.entry_id).where(*conditions)
    if wanted.section:
        first = first.where(term.section == wanted.section)
    order = (term.sort_key, term.entry_id)
    first = first.order_by(*(c.desc() for c in order)) if descending else first.order_by(*order)
    rest = (
        select(entry.id)
        .where(*conditions, ~exists().where(has_head))
        .order_by(func.length(entry.id), entry.id)
    )
    ids = list(reader.connection.scalars(_sliced(first, offset, limit)).all())
    if wanted.section or (limit is not None and len(ids) == limit):
        return ids
    with_head = (
        reader.connection.scalar(select(func.count()).select_from(first.order_by(None).subquery())) or 0
    )
    more = _sliced(rest, max(0, offset - with_head), None if limit is None else limit - len(ids))
    return ids + list(reader.connection.scalars(more))


def _sliced(query: "Select[*Columns]", offset: int, limit: int | None) -> "Select[*Columns]":
    return query.offset(offset) if limit is None else query.offset(offset).limit(limit)


def _within(
    reader: Reader, wanted: EntryFilter, language: str, ids: Collection[str], descending: bool
) -> list[str]:
    """Return all of these ids that meet a filter, in order; the table is queried by id, never read
    completely."""
    entry, term = tables.entry.c, tables.term.c
    conditions = _conditions(wanted)
    first = select(term.sort_key, term.entry_id).where(term.language == language, term.is_head)
    if wanted.section:
        first = first.where(term.section == wanted.section)
    heads = rows_in(reader.connection, first, term.entry_id, ids)
    named = sorted(((bytes(key), entry_id) for key, entry_id in heads), reverse=descending)
    matching = [
        row[0] for row in rows_in(reader.connection, select(entry.id).where(*conditions), entry.id, ids)
    ]
    matching_ids = frozenset(matching)
    with_head = [entry_id for _, entry_id in named if entry_id in matching_ids]
    if wanted.section:
        return with_head
    known = {entry_id for _, entry_id in named}
    return with_head + sorted((i for i in matching if i not in known), key=lambda i: (len(i), i))


def _rows(reader: Reader, ids: list[str]) -> tuple[EntryRow, ...]:
    parameters = {"ids": ids}
    execute = reader.connection.execute
    heads: defaultdict[str, list[HeadWord]] = defaultdict(list)
    names: defaultdict[str, list[str]] = defaultdict(list)
    for entry_id, text, language, origin, gender, speech, is_head in execute(_NAMES, parameters).all():
        names[entry_id].append(text)
        if is_head:
            heads[entry_id].append(
                HeadWord(
                    text,
                    language,
                    _ORIGINS.get(origin) or word_of(Origin, origin, tables.term, entry_id),
                    gender or "",
                    speech or "",
                )
            )
    slips = {entry_id: int(number) for entry_id, number in execute(_SLIPS, parameters).all()}
    rulings: defaultdict[str, dict[str, str]] = defaultdict(dict)
    for entry_id, code_id, verdict in execute(_RULINGS, parameters):
        rulings[entry_id][code_id] = verdict
    hurt = {entry_id for entry_id, injuries in execute(_INJURIES, parameters) if is_injury(injuries)}
    by_id = {
        entry_id: EntryRow(
            entry_id,
            (_TOPICS.get(topic) or word_of(Topic, topic, tables.entry, entry_id)) if topic else None,
            tuple(heads[entry_id]),
            frozenset(names[entry_id]),
            slips.get(entry_id, 0),
            bool(ready),
            technique or "",
            rulings.get(entry_id, {}),
            entry_id in hurt,
        )
        for entry_id, topic, ready, technique in execute(_ENTRIES, parameters).all()
    }
    try:
        return tuple(by_id[i] for i in ids)
    except KeyError as error:  # an index or another table refers to it, but this table does not have it
        raise missing_row("entry", str(error.args[0])) from error


# Built once: every page of a list needs these, and building a query costs more than running it.
_IDS: BindParameter[str] = bindparam("ids", expanding=True)
_E, _T = tables.entry.c, tables.term.c
_ENTRIES = select(_E.id, _E.topic, _E.ready, _E.technique).where(_E.id.in_(_IDS))
_NAMES = (
    select(_T.entry_id, _T.text, _T.language, _T.origin, _T.gender, _T.part_of_speech, _T.is_head)
    .where(_T.entry_id.in_(_IDS))
    .order_by(_T.entry_id, _T.position)
)
_SLIPS = (
    select(_T.entry_id, func.count())
    .join(tables.slip, tables.slip.c.term_id == _T.id)
    .where(_T.entry_id.in_(_IDS))
    .group_by(_T.entry_id)
)
_RULINGS = select(tables.ruling.c.entry_id, tables.ruling.c.code_id, tables.ruling.c.verdict).where(
    tables.ruling.c.entry_id.in_(_IDS)
)
_INJURIES = select(tables.trial.c.entry_id, tables.trial.c.injuries).where(
    tables.trial.c.entry_id.in_(_IDS), tables.trial.c.injuries != ""
)
_ORIGINS = {origin.value: origin for origin in Origin}
_TOPICS = {topic.value: topic for topic in Topic}
