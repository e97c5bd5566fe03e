"""Look up the entries that a person names on the command line, and word what Proof finds."""

from collections.abc import Iterable
from typing import Annotated, TypedDict

import click

from termbase.errors import BadInput
from termbase.messages import message
from termbase.overviews.articles import Article, Library
from termbase.proofing.checks import Finding
from termbase.search.finding import entry_called
from termbase.store.reading import Reader

__all__ = ["ProofDocument", "article_of", "proof_document", "two_entries"]


class FindingDocument(TypedDict):
    """A finding in a JSON document; its key `mend` holds `Finding.fix`."""

    check: Annotated[str, "code of the check"]
    kind: Annotated[str, "the kind of record to open to fix it"]
    record_id: Annotated[str, "its id"]
    name: Annotated[str, "the name of the record"]
    what: Annotated[str, "what is wrong or missing"]
    mend: Annotated[str, "what to do"]
    other_id: Annotated[str, "a record of the same kind to compare it with; empty if there is none"]


class ProofDocument(TypedDict):
    """What `proof --json` and `publish proof --json` print."""

    findings: Annotated[tuple[FindingDocument, ...], "the findings, in the order of the checks"]


def proof_document(findings: Iterable[Finding]) -> ProofDocument:
    """Return the document of these findings."""
    return ProofDocument(
        findings=tuple(
            FindingDocument(
                check=each.check, kind=each.kind, record_id=each.record_id, name=each.name,
                what=each.what, mend=each.fix, other_id=each.other_id,
            )
            for each in findings
        )
    )  # fmt: skip


def article_of(library: Library, typed: str) -> Article:
    """Return the article of an entry given by id or any form of a name.

    If the entry was merged into another, this says so on standard error and returns that one.

    Raises:
        NotFound: the entry does not exist.
        BadInput: no entry, or more than one, has this name.
    """
    entry_id = entry_called(library.reader, typed, "entry")
    article = library.article(entry_id)
    if article.entry.id != entry_id:
        click.echo(f"wordhold: {entry_id} has been merged into {article.entry.id}.", err=True)
    return article


def two_entries(reader: Reader, this: str, other: str) -> tuple[str, str]:
    """Return the current ids of two entries, each given by id or any form of a name.

    Raises:
        BadInput: they are already merged, or no entry, or more than one, has such a name.
    """
    this, other = entry_called(reader, this, "THIS"), entry_called(reader, other, "OTHER")
    this_now, other_now = reader.current_id(this), reader.current_id(other)
    if this_now == other_now and this != other:
        raise BadInput(
            message(
                "%(this)s and %(other)s are already the same entry: %(now)s.",
                this=this,
                other=other,
                now=this_now,
            ),
            where="merge",
            fix=message("Choose another entry."),
        )
    return this_now, other_now
