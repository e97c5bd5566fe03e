"""Entries as somebody gives them: by name, or by id (of one that was merged too, which leads on)."""

from typing import Annotated, TypedDict

import click

from termbase.articles import Article, Library
from termbase.errors import BadInput
from termbase.lookup import entry_called
from termbase.messages import message
from termbase.proofing import Finding
from termbase.store import Reader

__all__ = ["ProofDocument", "article_of", "two_entries"]


class ProofDocument(TypedDict):
    """What `proof --json` and `publish proof --json` print."""

    findings: Annotated[tuple[Finding, ...], "the findings, in the order of the checks"]


def article_of(library: Library, given: str) -> Article:
    """The article of an entry by id or any form of a name; an entry that is part of another now is told on
    standard error.

    Raises:
        NotFound: there is no such entry.
        BadInput: no entry is called so, or several are.
    """
    entry_id = entry_called(library.reader, given, "entry")
    article = library.article(entry_id)
    if article.entry.id != entry_id:
        click.echo(f"wordhold: {entry_id} is part of {article.entry.id} now.", err=True)
    return article


def two_entries(reader: Reader, this: str, other: str) -> tuple[str, str]:
    """The ids under which two entries stand now, each given by id or any form of a name.

    Raises:
        BadInput: they are one already; or no entry is called so, or several are.
    """
    this, other = entry_called(reader, this, "THIS"), entry_called(reader, other, "OTHER")
    now, beside = reader.current_id(this), reader.current_id(other)
    if now == beside and this != other:
        raise BadInput(
            message(
                "%(this)s and %(other)s are one entry already: %(now)s.", this=this, other=other, now=now
            ),
            where="merge",
            mend=message("Choose another entry."),
        )
    return now, beside
