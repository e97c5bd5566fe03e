"""Filter the entries of searches and lists: by kind, by date of quotation, and by verdict."""

from dataclasses import dataclass
from functools import lru_cache, partial
from typing import TYPE_CHECKING

from sqlalchemy import select

from termbase.dates import edtf
from termbase.errors import BadInput
from termbase.fields.closed_lists import one_of
from termbase.judging.verdict import VERDICT_WORDS
from termbase.loading import lazy_module
from termbase.messages import message
from termbase.record.entries import Origin, Topic
from termbase.rules.clauses import RuleCode
from termbase.store import tables
from termbase.store.caching import remembered
from termbase.store.entry_lists import STAGES, EntryFilter, all_ids
from termbase.store.reading import Reader

if TYPE_CHECKING:  # loaded only for a filter by source or verdict
    from termbase.acts import rules, sources
    from termbase.store import verdicts
else:
    verdicts = lazy_module("termbase.store.verdicts")
    rules, sources = lazy_module("termbase.acts.rules"), lazy_module("termbase.acts.sources")

__all__ = ["EntryConditions", "entries_dated", "matching_ids"]


@dataclass(frozen=True)
class EntryConditions:
    """Conditions that an entry must meet; an empty field is ignored.

    Attributes:
        topic, origin, stage: as in the record (`termbase.record.entries`,
            `termbase.store.entry_lists.STAGES`).
        source: id or label of a source that quotes one of its names.
        code, verdict: a verdict under a rule code (id or name); the first code if none is named.
        since, until: EDTF dates between which, inclusive, one of its names is quoted.
    """

    topic: str = ""
    origin: str = ""
    stage: str = ""
    source: str = ""
    code: str = ""
    verdict: str = ""
    since: str = ""
    until: str = ""


_CLOSED_LISTS = (
    (message("topic"), Topic),
    (message("origin"), Origin),
    (message("stage"), STAGES),
    (message("verdict"), VERDICT_WORDS),
)
"""Conditions whose values come from closed lists."""


def matching_ids(reader: Reader, wanted: EntryConditions) -> frozenset[str] | None:
    """Return the ids of entries that meet all conditions; None if there are no conditions.

    Raises:
        BadInput: a value is not in its list, or a date cannot be read.
        NotFound: there is no such source or rule code.
    """
    if wanted == EntryConditions():
        return None
    for field, words in _CLOSED_LISTS:
        _check(field, getattr(wanted, field), tuple(str(word) for word in words))
    ids: frozenset[str] | None = None
    if wanted.since or wanted.until:
        ids = entries_dated(reader, wanted.since, wanted.until)
    if wanted.verdict:
        judged = _judged(reader, wanted)
        ids = judged if ids is None else ids & judged
    source_id = sources.by_label(reader, wanted.source).id if wanted.source else ""
    asked = EntryFilter(
        topic=wanted.topic, origin=wanted.origin, stage=wanted.stage, source_id=source_id, ids=ids
    )
    return frozenset(all_ids(reader, asked, reader.termbase().working_language))


def entries_dated(reader: Reader, since: str, until: str) -> frozenset[str]:
    """Return the ids of entries with a name quoted between two EDTF dates; an empty date sets no limit.

    A slip without a date has that of its source. A slip with an uncertain date counts if the date may lie
    between them.

    Raises:
        BadInput: a date cannot be read.
    """
    first, _ = _bounds(edtf.parse(since)) if since else (None, None)
    _, last = _bounds(edtf.parse(until)) if until else (None, None)
    quoted = remembered(reader, "when entries are quoted", _quoted)
    passing = {date for date in {date for _, date in quoted} if _meets(date, first, last)}
    return frozenset(entry_id for entry_id, date in quoted if date in passing)


def _quoted(reader: Reader) -> frozenset[tuple[str, str]]:
    """Return the entry and date of every sorted and dated slip."""
    slip, source, term = tables.slip.c, tables.source.c, tables.term.c
    query = (
        select(term.entry_id, slip.date, source.issued)
        .select_from(tables.slip)
        .join(tables.term, term.id == slip.term_id)
        .join(tables.source, source.id == slip.source_id)
        .distinct()
    )
    rows = reader.connection.execute(query)
    return frozenset((entry_id, own or issued) for entry_id, own, issued in rows if own or issued)


def _meets(date: str, first: str | None, last: str | None) -> bool:
    span = _span(date)
    if span is None:
        return False
    begins, ends = span
    return not (first is not None and ends is not None and ends < first) and not (
        last is not None and begins is not None and begins > last
    )


@lru_cache(maxsize=10_000)
def _span(date: str) -> tuple[str | None, str | None] | None:
    """Return the bounds of a date; None if it cannot be read."""
    try:
        return _bounds(edtf.parse(date))
    except BadInput:
        return None


def _bounds(date: edtf.Edtf) -> tuple[str | None, str | None]:
    """Return the first and last day that a date may mean, as sortable text; None for an open end."""
    first, last = date.sort_key().split("/")
    return first if date.earliest() else None, last if date.latest() else None


def _judged(reader: Reader, wanted: EntryConditions) -> frozenset[str]:
    codes = reader.all(RuleCode)
    if not wanted.code and not codes:
        return frozenset()
    code = rules.code_named(reader, wanted.code) if wanted.code else codes[0]
    return remembered(
        reader,
        ("judged", code.id, wanted.verdict),
        partial(verdicts.entries_with_verdict, code=code, words=(wanted.verdict,)),
    )


def _check(field: str, word: str, words: tuple[str, ...]) -> None:
    if word:
        one_of(words, word, message("There is no %(kind)s “%(word)s”.", kind=field, word=word), where=field)
