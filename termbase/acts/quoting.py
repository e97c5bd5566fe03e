"""Slips that quote a word-list line: one for each of its names."""

from collections.abc import Sequence

from termbase.acts.drafting import ListLanguages, list_languages, names_as_printed, pattern_of
from termbase.record.entries import Entry, Term
from termbase.record.pages import Line, Page
from termbase.record.sources import Slip, SlipKind, Source
from termbase.store.reading import Reader
from termbase.store.writing import Act

__all__ = ["own_slips", "quote", "setting", "unquote"]


def setting(reader: Reader, line: Line) -> tuple[Source, Page, ListLanguages]:
    """Return a line's source, page and word-list languages."""
    page = reader.get(Page, line.page_id)
    source = reader.get(Source, page.source_id)
    return source, page, list_languages(reader, pattern_of(source))


def quote(act: Act, line: Line, page: Page, source: Source, terms: Sequence[Term]) -> None:
    """Give each of these names a slip that quotes the line, with the name as the line prints it."""
    printed = names_as_printed(line, list_languages(act, pattern_of(source)))
    for term in terms:
        act.add(
            Slip(
                id=act.new_id("slip"),
                source_id=source.id,
                text=line.text.strip("\n"),
                name=printed.get((term.text, term.language), term.printed or term.text),
                page=page.number,
                line=str(line.first),
                kind=SlipKind.HEADWORD,
                term_id=term.id,
            )
        )


def own_slips(reader: Reader, line: Line, entries: Sequence[Entry]) -> tuple[Slip, ...]:
    """Return the slips that quote a line under the names of these entries."""
    page = reader.get(Page, line.page_id)
    names = {t.id for e in entries for t in e.terms}
    printed = line.text.strip("\n")
    return tuple(
        slip
        for slip in reader.all(Slip, source_id=page.source_id, page=page.number, line=str(line.first))
        if slip.term_id in names and slip.kind is SlipKind.HEADWORD and slip.text == printed
    )


def unquote(act: Act, line: Line, entries: Sequence[Entry]) -> None:
    """Delete the slips that quote a line under the names of these entries."""
    for slip in own_slips(act, line, entries):
        act.remove(Slip, slip.id)
