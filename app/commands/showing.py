"""Commands that show an entry, and what is wrong or missing: `show` and `proof`."""

from itertools import groupby
from typing import Annotated, TypedDict

import click

from app.commands.context import Command, as_json_option, db_option, opened, print_json, progress
from app.commands.named_entries import ProofDocument, article_of, proof_document
from app.commands.plaintext import article_text
from termbase.overviews.articles import Article, Library
from termbase.proofing.checks import CHECKS
from termbase.proofing.checks import proof as run_proof

__all__ = ["proof", "show"]


class ShowDocument(TypedDict):
    """What `show --json` prints."""

    article: Annotated[Article, "the entry with everything that belongs to it"]


@click.command(cls=Command)
@click.argument("entry_id", metavar="ENTRY")
@as_json_option(ShowDocument)
@db_option
def show(entry_id: str, as_json: bool, db: str) -> None:
    """Show an entry with its slips, evidence and verdicts.

    ENTRY is an id or any form of a name.

    Example: wordhold show back-heel --json
    """
    with opened(db) as store, store.read() as reader:
        library = Library(reader)
        article = article_of(library, entry_id)
        if as_json:
            print_json("show", **ShowDocument(article=article))
        else:
            click.echo(article_text(article, library))


@click.command(cls=Command)
@as_json_option(ProofDocument)
@db_option
def proof(as_json: bool, db: str) -> None:
    """List what is wrong or missing before publication.

    Example: wordhold proof --json
    """
    with opened(db) as store, store.read() as reader, progress("entries") as seen:
        findings = run_proof(Library(reader), seen)
    if as_json:
        print_json("proof", **proof_document(findings))
        return
    titles = {c.code: c.title for c in CHECKS}
    for check, found in groupby(findings, key=lambda f: f.check):
        group = list(found)
        click.echo(f"{len(group)} {titles[check]}")
        for item in group:
            click.echo(f"  {item.record_id}  {item.name}: {item.what} {item.fix}")
    if not findings:
        click.echo("Nothing is wrong or missing.")
