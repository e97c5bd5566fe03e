"""A word-list page, and entries to go with it, for many tests."""

from termbase.acts import entries as entry_acts
from termbase.acts.pages import add_page
from termbase.acts.sources import save_source
from termbase.record.entries import Entry, Origin, Status, Term
from termbase.record.pages import Page
from termbase.record.sources import Source, SourceKind
from termbase.store.writing import Act
from termbase.technique.profile import Profile
from termbase.wordlists.pattern_files import write_pattern
from termbase.wordlists.patterns import LinePattern
from termbase.wordlists.stock import STOCK

__all__ = ["described_entry", "word_list_page"]

POCKET_LIST = STOCK["pocket list"]


def word_list_page(
    act: Act, text: str, *, pattern: LinePattern = POCKET_LIST, label: str = "Glan 1898", page: str = "41"
) -> Page:
    """Return a page with this text, from a new word-list parsed by this pattern."""
    kept = write_pattern(pattern)
    source = save_source(act, Source("", label, SourceKind.WORD_LIST, "A List", pattern=kept))
    return add_page(act, source.id, page, text)


def described_entry(act: Act, english: str, welsh: str, technique: Profile | None) -> Entry:
    """Return a new entry with this technique and a preferred name in both languages, both in use."""
    names = tuple(
        Term("", text, language, Origin.IN_USE, status=Status.PREFERRED)
        for text, language in ((english, "en"), (welsh, "cy"))
    )
    return entry_acts.save(act, Entry("", terms=names, technique=technique))
