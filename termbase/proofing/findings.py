"""Types for checks and findings, and the names that findings show."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from termbase.errors import BadInput
from termbase.languages import tags
from termbase.overviews.articles import Article, Library
from termbase.record.entries import Term

__all__ = [
    "ArticleCheck",
    "Check",
    "EntryFaults",
    "Finding",
    "Findings",
    "language_label",
    "name_of",
    "quoted",
]


@dataclass(frozen=True)
class Finding:
    """One thing to check.

    Attributes:
        check: code of the check.
        kind, record_id: what record to open to fix it (`entry`, `slip`, `source`, `page`, `code`,
            `termbase`).
        name: what the record is called, for people.
        what: what is wrong or missing.
        fix: what to do.
        other_id: a record of the same kind to compare it with; empty if there is none.
    """

    check: str
    kind: str
    record_id: str
    name: str
    what: str
    fix: str
    other_id: str = ""


EntryFaults = Iterator[tuple[str, ...]]
"""Faults of one entry: what is wrong, how to fix it, and the id of another entry to compare with, if any."""
Findings = Iterator[Finding]
ArticleCheck = Callable[[Article, Library], EntryFaults]


@dataclass(frozen=True)
class Check:
    """A check: its code, a short description, and the functions that run it.

    Attributes:
        code: short name, as used in addresses.
        title: what it finds, in the plural.
        of_article: checks one entry.
        prepared: called once for each run; returns the function that checks one entry.
        of_whole: checks the whole termbase.
    """

    code: str
    title: str
    of_article: ArticleCheck | None = None
    prepared: Callable[[Library], ArticleCheck] | None = None
    of_whole: Callable[[Library], Findings] | None = None


def name_of(article: Article, library: Library) -> str:
    """Return an entry's display name: its heads in the termbase's languages."""
    heads = [h.text for tag in library.termbase.languages if (h := article.head(tag)) is not None]
    return " · ".join(heads) or article.entry.terms[0].text


def quoted(term: Term) -> str:
    """Return a name in quotation marks."""
    return f"“{term.text}”"


def language_label(tag: str) -> str:
    """Return the name of a language as a translatable message, or the tag if it is not valid."""
    try:
        return tags.said_name(tag)
    except BadInput:
        return tag
