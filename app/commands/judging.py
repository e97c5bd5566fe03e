"""Whether a technique is within the rules: judge."""

from collections.abc import Callable
from dataclasses import replace
from typing import Annotated, NotRequired, ParamSpec, TypedDict, TypeVar

import click

from app.commands.context import Command, as_json_option, db_option, opened, print_json
from app.commands.plaintext import cautions_text, verdict_text
from app.commands.standing import article_of
from termbase.acts.rules import code_named
from termbase.judging.bouts import FOOTWEAR, read_bout
from termbase.judging.changes import smallest_change
from termbase.judging.verdict import UNKNOWN, Change, Circumstances, Verdict
from termbase.overviews.articles import Article, Judged, Library
from termbase.overviews.matrix import verdict_on
from termbase.proofing.checks import name_of
from termbase.record.entries import Ruling
from termbase.record.people import CAUTIONS

__all__ = ["judge"]

P = ParamSpec("P")
R = TypeVar("R")


def bout_options(command: Callable[P, R]) -> Callable[P, R]:
    """Add the options that describe the bout."""
    for option in reversed((
        click.option("--place", default="", help="Place of the bout, as the rule code names it."),
        click.option("--year", default="", help="Year of the bout (four digits)."),
        click.option("--wrestlers", default="", help="Class of wrestlers (boys, women)."),
        click.option("--footwear", default="", help=f"Footwear: {', '.join(FOOTWEAR)}."),
        click.option("--barred", multiple=True, help="A technique barred by consent; can be repeated."),
    )):  # fmt: skip
        command = option(command)
    return command


class JudgedEntry(TypedDict):
    """The verdict on an entry under a rule code."""

    entry: Annotated[str, "id of the entry"]
    code: Annotated[str, "id of the rule code"]
    verdict: Annotated[Verdict, "the computed verdict"]
    ruling: Annotated[Ruling | None, "the editor's ruling over the verdict"]
    change: NotRequired[
        Annotated[Change | None, "with ENTRY: the smallest change that would make the technique fit"]
    ]


class JudgeDocument(TypedDict):
    """What `judge --json` prints."""

    bout: Annotated[Circumstances, "the bout, as the options describe it"]
    verdicts: Annotated[list[JudgedEntry], "the verdicts"]


@click.command(cls=Command)
@click.argument("entry_id", metavar="ENTRY", required=False)
@click.option("--code", help="Only this rule code (id or name).")
@bout_options
@as_json_option(JudgeDocument)
@db_option
def judge(
    entry_id: str | None,
    code: str | None,
    as_json: bool,
    db: str,
    barred: tuple[str, ...],
    **circumstances: str,
) -> None:
    """Judge one technique, or all of them, under the rule codes, and give the reasons.

    ENTRY is an id or any form of a name. Some clauses apply only in certain places or years, to certain
    wrestlers, with certain footwear, or by consent: describe the bout with the options. Within the rules does
    not mean safe.

    Example: wordhold judge c0012 --code r1 --year 1870 --footwear shod
    """
    bout = read_bout(barred=barred, **circumstances)
    with opened(db) as store, store.read() as reader:
        library = Library(reader)
        wanted = code_named(reader, code).id if code else None
        articles = [article_of(library, entry_id)] if entry_id else list(library.articles())
        judged = [(article, _judged(article, wanted, bout)) for article in articles if article.judged]
    if as_json:
        rows = [_row(article, item) for article, these in judged for item in these]
        if entry_id:
            changes = (_change(article, item, bout) for article, these in judged for item in these)
            for row, change in zip(rows, changes, strict=True):
                row["change"] = change
        print_json("judge", **JudgeDocument(bout=bout, verdicts=rows))
        return
    for article, these in judged:
        click.echo(f"{article.entry.id}  {name_of(article, library)}")
        for item in these:
            change = _change(article, item, bout) if entry_id else None
            click.echo(verdict_text(item, full=entry_id is not None, change=change))
        if entry_id:
            click.echo("\n".join(cautions_text(article.entry)))
    if judged and not entry_id:
        click.echo(CAUTIONS)
    if not judged:
        click.echo("No technique is described here, so there is nothing to judge.")


def _judged(article: Article, code_id: str | None, bout: Circumstances) -> tuple[Judged, ...]:
    """Return the verdicts for the bout, under one code or all."""
    verdicts = tuple(item for item in article.judged if code_id in (None, item.code.id))
    if bout == UNKNOWN:
        return verdicts
    return tuple(replace(item, verdict=verdict_on(article.entry, item.code, bout)) for item in verdicts)


def _change(article: Article, judged: Judged, bout: Circumstances) -> Change | None:
    technique = article.entry.technique
    names = [term.text for term in article.entry.terms]
    return smallest_change(technique, judged.code, bout, names) if technique else None


def _row(article: Article, judged: Judged) -> JudgedEntry:
    return JudgedEntry(
        entry=article.entry.id, code=judged.code.id, verdict=judged.verdict, ruling=judged.ruling
    )
