"""What a check is and what it finds."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from termbase import tags
from termbase.articles import Article, Library
from termbase.entries import Term
from termbase.errors import BadInput

__all__ = ["ArticleCheck", "Check", "Faults", "Finding", "Findings", "called", "name_of", "quoted"]


@dataclass(frozen=True)
class Finding:
    """One thing to look at.

    Attributes:
        check: code of the check.
        kind, record_id: what record to open to mend it (`entry`, `slip`, `source`, `page`, `code`,
            `termbase`).
        name: what the record is called, for people.
        what: what is wrong or missing.
        mend: what to do.
        other_id: a record of the same kind that it is to be compared with; empty where there is none.
    """

    check: str
    kind: str
    record_id: str
    name: str
    what: str
    mend: str
    other_id: str = ""


Faults = Iterator[tuple[str, ...]]
"""What is wrong with one entry, how to mend it, and the id of another entry to compare it with, if any."""
Findings = Iterator[Finding]
ArticleCheck = Callable[[Article, Library], Faults]


@dataclass(frozen=True)
class Check:
    """A check: its code, what it looks for in a few words, and how it looks.

    Attributes:
        code: short name, as in an address.
        title: what it finds, in the plural.
        of_article: looks at one entry.
        prepared: makes, once for each run, the function that looks at one entry.
        of_whole: looks at the termbase.
    """

    code: str
    title: str
    of_article: ArticleCheck | None = None
    prepared: Callable[[Library], ArticleCheck] | None = None
    of_whole: Callable[[Library], Findings] | None = None


def name_of(article: Article, library: Library) -> str:
    """What an entry is called for people: its heads in the termbase's languages."""
    heads = [h.text for tag in library.termbase.languages if (h := article.head(tag)) is not None]
    return " · ".join(heads) or article.entry.terms[0].text


def quoted(term: Term) -> str:
    """A name in quotation marks."""
    return f"“{term.text}”"


def called(tag: str) -> str:
    """The name of a language, which a face says in its own; its tag where that is none."""
    try:
        return tags.said_name(tag)
    except BadInput:
        return tag
