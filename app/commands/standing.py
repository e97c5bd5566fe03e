"""Ids of entries as somebody gives them: one that became part of another leads on to that."""

import click

from termbase.articles import Article, Library
from termbase.errors import BadInput
from termbase.messages import message
from termbase.store import Reader

__all__ = ["article_of", "two_entries"]


def article_of(library: Library, entry_id: str) -> Article:
    """The article of an entry; where it is part of another now, that is told on standard error.

    Raises:
        NotFound: there is no such entry.
    """
    article = library.article(entry_id)
    if article.entry.id != entry_id:
        click.echo(f"wordhold: {entry_id} is part of {article.entry.id} now.", err=True)
    return article


def two_entries(reader: Reader, this: str, other: str) -> tuple[str, str]:
    """The ids under which two entries stand now.

    Raises:
        BadInput: they are one already.
    """
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
