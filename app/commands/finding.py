"""Looking things up: find, show, judge, proof."""

from itertools import groupby

import click

from app.commands.setting import Command, as_json_option, db_option, opened, print_json, progress
from app.plaintext import article_text, verdict_text
from termbase import lookup
from termbase.acts.rules import code_named
from termbase.articles import Library
from termbase.proofing import CHECKS, name_of
from termbase.proofing import proof as run_proof

__all__ = ["find", "judge", "proof", "show"]


@click.command(cls=Command)
@click.argument("text")
@click.option("--language", help="Only names in this language (BCP 47 tag).")
@click.option("--limit", default=10, show_default=True, type=click.IntRange(1, 1000))
@as_json_option
@db_option
def find(text: str, language: str | None, limit: int, as_json: bool, db: str) -> None:
    """Find entries by a name in any form: mutated, inflected, in old print, misspelt.

    Example: wordhold find fachiad
    """
    with opened(db) as store, store.read() as reader:
        hits = lookup.find(reader, text, language=language, limit=limit)
    if as_json:
        print_json("find", text=text, hits=hits)
        return
    for hit in hits:
        click.echo(f"{hit.entry_id}\t{hit.text}\t{hit.language}\t{hit.said}")
    if not hits:
        click.echo(f"Nothing like {text!r} was found.")


@click.command(cls=Command)
@click.argument("entry_id")
@as_json_option
@db_option
def show(entry_id: str, as_json: bool, db: str) -> None:
    """Show an entry with its slips, evidence and verdicts.

    Example: wordhold show c0012 --json
    """
    with opened(db) as store, store.read() as reader:
        library = Library(reader)
        article = library.article(entry_id)
        if as_json:
            print_json("show", article=article)
        else:
            click.echo(article_text(article, library))


@click.command(cls=Command)
@click.argument("entry_id", required=False)
@click.option("--code", help="Only this rule code (id or name).")
@as_json_option
@db_option
def judge(entry_id: str | None, code: str | None, as_json: bool, db: str) -> None:
    """Judge a technique, or all of them, under the rule codes: is it within the rules, and why.

    Within the rules does not mean safe.

    Example: wordhold judge c0012 --code r1
    """
    with opened(db) as store, store.read() as reader:
        library = Library(reader)
        wanted = code_named(reader, code).id if code else None
        articles = [library.article(entry_id)] if entry_id else list(library.articles())
        judged = [
            (article, [j for j in article.judged if wanted in (None, j.code.id)])
            for article in articles
            if article.judged
        ]
        if as_json:
            rows = [
                {"entry": a.entry.id, "code": j.code.id, "verdict": j.verdict, "ruling": j.ruling}
                for a, these in judged
                for j in these
            ]
            print_json("judge", verdicts=rows)
            return
        for article, these in judged:
            click.echo(f"{article.entry.id}  {name_of(article, library)}")
            for one in these:
                click.echo(verdict_text(one, full=entry_id is not None))
    if not judged:
        click.echo("No technique is described here, so there is nothing to judge.")


@click.command(cls=Command)
@as_json_option
@db_option
def proof(as_json: bool, db: str) -> None:
    """List what is wrong or missing before publication.

    Example: wordhold proof --json
    """
    with opened(db) as store, store.read() as reader, progress("entries") as seen:
        findings = run_proof(Library(reader), seen)
    if as_json:
        print_json("proof", findings=findings)
        return
    titles = {c.code: c.title for c in CHECKS}
    for check, these in groupby(findings, key=lambda f: f.check):
        group = list(these)
        click.echo(f"{len(group)} {titles[check]}")
        for finding in group:
            click.echo(f"  {finding.record_id}  {finding.name}: {finding.what} {finding.mend}")
    if not findings:
        click.echo("Nothing is wrong or missing.")
