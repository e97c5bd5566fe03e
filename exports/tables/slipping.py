"""Writing the slips of a table: each under its source, which is matched by its label or made."""

from collections.abc import Iterable
from dataclasses import replace

from sqlalchemy import select

from exports.tables.quoting import PlannedSlip, made_source
from termbase import tags
from termbase.acts.sources import save_slip, save_source
from termbase.entries import Entry, Term
from termbase.store import Act, Reader, schema

__all__ = ["add_slip", "known_sources", "new_slips"]


def known_sources(reader: Reader) -> dict[str, str]:
    """The ids of all sources by their labels, in small letters."""
    columns = schema.source.c
    rows = reader.connection.execute(select(columns.label, columns.id).order_by(columns.id.desc()))
    return {" ".join(label.split()).casefold(): source_id for label, source_id in rows}


def new_slips(
    reader: Reader, entry: Entry, slips: Iterable[PlannedSlip], sources: dict[str, str]
) -> tuple[PlannedSlip, ...]:
    """The slips that an entry does not have yet: none of that source and text is under that name."""
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
    """Write a slip of an entry as it is stored; its source is made where there is none of its label.

    Args:
        sources: ids of sources by label; one that is made is added.
        table: the name of the file.
    """
    key = planned.source.casefold()
    if key not in sources:
        sources[key] = save_source(act, made_source(planned.source, table)).id
    save_slip(act, replace(planned.slip, source_id=sources[key], term_id=_term_id(entry, planned)))


def _term_id(entry: Entry, planned: PlannedSlip) -> str:
    """The name that a slip bears witness to; empty where it waits unsorted."""
    if planned.name is None:
        return ""
    text, language = planned.name
    found = [term for term in entry.terms if term.text == text and _same(term, language)]
    return found[0].id if found else ""


def _same(term: Term, language: str) -> bool:
    return not language or term.language == tags.canonical(language)
