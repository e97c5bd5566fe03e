"""Writing the slips of a table: each under its source, which is matched by label or created."""

from collections.abc import Iterable
from dataclasses import replace

from sqlalchemy import select

from exports.tables.quoting import PlannedSlip, made_source
from termbase.acts.sources import save_slip, save_source
from termbase.languages import tags
from termbase.record.entries import Entry, Term
from termbase.store import tables
from termbase.store.reading import Reader
from termbase.store.writing import Act

__all__ = ["add_slip", "known_sources", "new_slips"]


def known_sources(reader: Reader) -> dict[str, str]:
    """Return the ids of all sources by label, in lower case."""
    columns = tables.source.c
    rows = reader.connection.execute(select(columns.label, columns.id).order_by(columns.id.desc()))
    return {" ".join(label.split()).casefold(): source_id for label, source_id in rows}


def new_slips(
    reader: Reader, entry: Entry, slips: Iterable[PlannedSlip], sources: dict[str, str]
) -> tuple[PlannedSlip, ...]:
    """Return the slips that an entry does not have yet: none with that source and text exists for that
    name."""
    here = {
        (slip.source_id, slip.text.strip(), term_id)
        for term_id, found in reader.slips_of((entry,)).items()
        for slip in found
    }
    return tuple(
        planned
        for planned in slips
        if (sources.get(planned.source.casefold(), ""), planned.slip.text.strip(), _term_id(entry, planned))
        not in here
    )


def add_slip(act: Act, entry: Entry, planned: PlannedSlip, sources: dict[str, str], table: str) -> None:
    """Write a slip for a stored entry; its source is created if none has its label.

    Args:
        sources: ids of sources by label; a created one is added.
        table: the name of the file.
    """
    key = planned.source.casefold()
    if key not in sources:
        sources[key] = save_source(act, made_source(planned.source, table)).id
    save_slip(act, replace(planned.slip, source_id=sources[key], term_id=_term_id(entry, planned)))


def _term_id(entry: Entry, planned: PlannedSlip) -> str:
    """Return the name that a slip bears witness to; empty if it is unsorted."""
    if planned.name is None:
        return ""
    text, language = planned.name
    found = [term for term in entry.terms if term.text == text and _same(term, language)]
    return found[0].id if found else ""


def _same(term: Term, language: str) -> bool:
    return not language or term.language == tags.canonical(language)
