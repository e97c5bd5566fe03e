"""Lists of sources and slips, filtered and sorted: plain selects into small frozen rows.

No database can sort EDTF dates, and locators are numbers written as text; so lists are sorted here. Only the
columns needed for sorting are read for all rows; complete rows are read only for the requested page.
"""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, Protocol, TypeVarTuple, get_args

from sqlalchemy import Select, func, or_, select

from termbase.dates import edtf as dates
from termbase.errors import BadInput
from termbase.fields.closed_lists import one_of
from termbase.languages import alphabets
from termbase.messages import message
from termbase.record.sources import Certainty, Slip, SlipKind, Source, SourceKind
from termbase.store import tables
from termbase.store.batches import rows_in
from termbase.store.reading import Reader

__all__ = [
    "SLIP_ORDERS", "SOURCE_ORDERS", "SlipFilter", "SlipOrder", "SlipRow", "SourceFilter", "SourceOrder",
    "SourceRow", "count_slips", "count_unsorted", "date_key", "list_slips", "list_sources", "next_unsorted",
    "slip_ids", "slip_rows",
]  # fmt: skip

SourceOrder = Literal["label", "date", "kind", "slips"]
SOURCE_ORDERS: tuple[SourceOrder, ...] = get_args(SourceOrder)
SlipOrder = Literal["date", "made", "source", "name"]
SLIP_ORDERS: tuple[SlipOrder, ...] = get_args(SlipOrder)

_NO_DATE = "~"  # after every sort key of a date
_DIGITS = re.compile("([0-9]+)")
_slip, _source, _term = tables.slip.c, tables.source.c, tables.term.c


@dataclass(frozen=True)
class SourceFilter:
    """Conditions for a list of sources; empty fields are ignored.

    `text` is searched for in label, title, author, container, place, archive and shelfmark, word by word,
    ignoring case and accents.
    """

    text: str = ""
    kind: str = ""


@dataclass(frozen=True)
class SourceRow:
    """One row of the list: a source with its number of slips and pages."""

    source: Source
    slips: int
    pages: int


@dataclass(frozen=True)
class SlipFilter:
    """Conditions for a list of slips; empty fields are ignored.

    `sorting` is `sorted` or `unsorted`; `text` is searched for in the quotation and the name as printed.
    """

    source_id: str = ""
    kind: str = ""
    certainty: str = ""
    sorting: str = ""
    text: str = ""


@dataclass(frozen=True)
class SlipRow:
    """One slip of a list, its source, its date (EDTF; the source's if it gives none), and the name that it
    bears witness to: `entry_id` and `term` are empty while it is unsorted."""

    slip: Slip
    source: Source
    date: str
    entry_id: str = ""
    term: str = ""
    term_language: str = ""


def list_sources(
    reader: Reader,
    wanted: SourceFilter = SourceFilter(),
    order: SourceOrder = "label",
    *,
    descending: bool = False,
) -> tuple[SourceRow, ...]:
    """Return the sources that meet a filter; labels in the alphabetical order of the working language.

    Raises:
        BadInput: there is no such kind of source.
    """
    if wanted.kind:
        _known(wanted.kind, SourceKind, message("kind"))
    slips = _numbers(reader, select(_slip.source_id, func.count()).group_by(_slip.source_id))
    page = tables.page.c
    pages = _numbers(reader, select(page.source_id, func.count()).group_by(page.source_id))
    tag = reader.termbase().working_language
    rows = [
        SourceRow(source, slips.get(source.id, 0), pages.get(source.id, 0))
        for source in reader.all(Source)
        if wanted.kind in ("", source.kind.value) and _has_words(_searched(source), wanted.text)
    ]
    rows.sort(key=lambda row: alphabets.sort_key(row.source.label, tag))
    if order == "date":
        rows.sort(key=lambda row: date_key(row.source.issued), reverse=descending)
    elif order == "kind":
        rows.sort(key=lambda row: tuple(SourceKind).index(row.source.kind), reverse=descending)
    elif order == "slips":
        rows.sort(key=lambda row: row.slips, reverse=descending)
    elif descending:
        rows.reverse()
    return tuple(rows)


def list_slips(
    reader: Reader,
    wanted: SlipFilter = SlipFilter(),
    order: SlipOrder = "date",
    *,
    descending: bool = False,
    offset: int = 0,
    limit: int | None = None,
) -> tuple[SlipRow, ...]:
    """Return a page of slips; see `slip_ids` for their order.

    Raises:
        BadInput: the filter names an unknown kind or certainty.
    """
    ids = slip_ids(reader, wanted, order, descending=descending)
    return slip_rows(reader, ids[offset : None if limit is None else offset + limit])


def slip_ids(
    reader: Reader,
    wanted: SlipFilter = SlipFilter(),
    order: SlipOrder = "date",
    *,
    descending: bool = False,
) -> list[str]:
    """Return the ids of the slips that meet a filter.

    `date` sorts by the sort key of the EDTF date, undated slips last; `source` by its label, then by locator;
    `name` by the name as printed, in the order of the working language. Ties are sorted by locator, then by
    creation.

    Raises:
        BadInput: the filter names an unknown kind or certainty.
    """
    columns = (_slip.id, _slip.page, _slip.column, _slip.line, _slip.item, _slip.name, _slip.date)
    query = select(*columns, _source.issued, _source.label).join_from(tables.slip, tables.source)
    rows = list(reader.connection.execute(_narrowed(query, wanted)).all())
    tag = reader.termbase().working_language
    rows.sort(key=lambda row: (len(row.id), row.id))
    if order != "made":
        rows.sort(key=_locator_key)
    if order == "date":
        dated = [row for row in rows if row.date or row.issued]
        dated.sort(key=lambda row: date_key(row.date or row.issued), reverse=descending)
        rows = [*dated, *(row for row in rows if not (row.date or row.issued))]
    elif order == "source":
        rows.sort(key=lambda row: alphabets.sort_key(row.label, tag), reverse=descending)
    elif order == "name":
        rows.sort(key=lambda row: alphabets.sort_key(row.name, tag), reverse=descending)
    elif descending:
        rows.reverse()
    return [row.id for row in rows]


def slip_rows(reader: Reader, ids: Sequence[str]) -> tuple[SlipRow, ...]:
    """Return slips by id for a list, in the given order; ids that do not exist are left out."""
    slips = reader.many(Slip, ids)
    sources = reader.many(Source, (slip.source_id for slip in slips.values()))
    names: dict[str, tuple[str, str, str]] = {}
    term_ids = dict.fromkeys(slip.term_id for slip in slips.values() if slip.term_id)
    query = select(_term.id, _term.entry_id, _term.text, _term.language)
    for row in rows_in(reader.connection, query, _term.id, term_ids):
        names[row.id] = (row.entry_id, row.text, row.language)
    rows = []
    for slip in slips.values():
        source = sources[slip.source_id]
        name = names.get(slip.term_id, ("", "", ""))
        rows.append(SlipRow(slip, source, slip.date or source.issued, *name))
    return tuple(rows)


def count_slips(reader: Reader, wanted: SlipFilter = SlipFilter()) -> int:
    """Return how many slips meet a filter."""
    query = _narrowed(select(_slip.id).join_from(tables.slip, tables.source), wanted)
    return reader.connection.scalar(select(func.count()).select_from(query.subquery())) or 0


def count_unsorted(reader: Reader, source_id: str = "") -> int:
    """Return how many slips have no name yet, in total or in one source."""
    return count_slips(reader, SlipFilter(source_id=source_id, sorting="unsorted"))


def next_unsorted(reader: Reader, after: str = "", source_id: str = "") -> str:
    """Return the id of the next unsorted slip in order of creation, continuing with the first at the end; or
    empty."""
    ids = slip_ids(reader, SlipFilter(source_id=source_id, sorting="unsorted"), "made")
    later = (i for i in ids if (len(i), i) > (len(after), after))
    return next(later, next((i for i in ids if i != after), ids[0] if ids else ""))


@lru_cache(maxsize=65536)
def date_key(edtf: str) -> str:
    """Return the sort key of a date; a missing or invalid date sorts last."""
    try:
        return dates.parse(edtf).sort_key() if edtf else _NO_DATE
    except BadInput:
        return _NO_DATE


Columns = TypeVarTuple("Columns")


class Located(Protocol):
    """Something with a locator in its source."""

    page: str
    column: str
    line: str
    item: str


def _locator_key(row: Located) -> tuple[tuple[tuple[int, int, str], ...], ...]:
    return tuple(_natural(text) for text in (row.page, row.column, row.line, row.item))


def _natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """Return a sort key with numbers by value, everything else by its characters: p. 9 before p. 12."""
    parts = (part for part in _DIGITS.split(text) if part)
    return tuple((0, int(p), "") if p[0] in "0123456789" else (1, 0, p.casefold()) for p in parts)


def _narrowed(query: "Select[*Columns]", wanted: SlipFilter) -> "Select[*Columns]":
    if wanted.source_id:
        query = query.where(_slip.source_id == wanted.source_id)
    if wanted.kind:
        query = query.where(_slip.kind == _known(wanted.kind, SlipKind, message("kind")))
    if wanted.certainty:
        query = query.where(_slip.certainty == _known(wanted.certainty, Certainty, message("certainty")))
    if wanted.sorting not in ("", "sorted", "unsorted"):
        raise BadInput(
            message("Slips are not %(sorting)s.", sorting=repr(wanted.sorting)),
            where=message("sorting"),
            fix=message("Use “sorted” or “unsorted”, or leave it out."),
        )
    if wanted.sorting:
        bare = _slip.term_id.is_(None)
        query = query.where(bare if wanted.sorting == "unsorted" else ~bare)
    for word in wanted.text.split():
        query = query.where(
            or_(_slip.text.icontains(word, autoescape=True), _slip.name.icontains(word, autoescape=True))
        )
    return query


def _known(value: str, kinds: type[SourceKind] | type[SlipKind] | type[Certainty], where: str) -> str:
    wrong = message("There is no %(kind)s %(name)s.", kind=where, name=repr(value))
    return one_of([kind.value for kind in kinds], value, wrong, where=where)


def _searched(source: Source) -> str:
    parts = (source.label, source.title, source.author, source.container, source.place, source.archive)
    return " ".join((*parts, source.shelfmark))


def _has_words(text: str, words: str) -> bool:
    plain = _plain(text)
    return all(word in plain for word in _plain(words).split())


def _plain(text: str) -> str:
    """Return a text in lower case and without accents."""
    parts = unicodedata.normalize("NFD", text.casefold())
    return "".join(c for c in parts if not unicodedata.combining(c))


def _numbers(reader: Reader, query: "Select[str, int]") -> dict[str, int]:
    return {row[0]: int(row[1]) for row in reader.connection.execute(query)}
