"""Import and export rule codes and technique profiles, and judge techniques: rules, profiles, judge."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Annotated, NotRequired, ParamSpec, TypedDict, TypeVar

import click

from app.commands.context import Command, as_json_option, db_option, opened, person_option, print_json
from app.commands.named_entries import article_of
from app.commands.plaintext import cautions_text, verdict_text
from termbase.acts.rules import Collisions, OnCollision, code_named, import_codes
from termbase.acts.techniques import import_profiles
from termbase.codes.deeds import Deed
from termbase.errors import BadInput
from termbase.judging.bouts import FOOTWEAR, read_bout
from termbase.judging.changes import smallest_change
from termbase.judging.verdict import UNKNOWN, Change, Circumstances, Verdict
from termbase.overviews.articles import Article, Judged, Library
from termbase.overviews.matrix import techniques, verdict_on
from termbase.proofing.checks import name_of
from termbase.record.entries import Ruling
from termbase.record.people import CAUTIONS
from termbase.rules.clauses import RuleCode
from termbase.rules.consistency import contradictions
from termbase.rules.files import read_codes, read_profiles, write_codes, write_profiles
from termbase.tomlfiles import toml_text

__all__ = ["judge", "profiles", "rules"]


@click.group()
def rules() -> None:
    """Import and export rule codes as TOML files."""


@rules.command("import", cls=Command)
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@db_option
@person_option
@click.option(
    "--replace",
    "collision",
    flag_value="replace",
    help="If a code's id or name is taken, replace the existing code, which keeps its id.",
)
@click.option(
    "--as-new",
    "collision",
    flag_value="as new",
    help="If a code's id or name is taken, import it under a new id, and a new name if needed.",
)
def import_(file: Path, db: str, by: str, collision: OnCollision | None) -> None:  # fmt: skip
    """Import the rule codes of FILE. If any row is wrong, all bad rows are listed and nothing is imported.

    Codes keep the ids of the file. A code with a known id and name is updated. If another code has its id or
    its name, nothing is imported unless you give --replace or --as-new. Clauses that contradict each other
    are imported, since sources do contradict each other, and reported with both sources.

    Example: wordhold rules import fair-rules.toml
    """
    codes = read_codes(toml_text(file), str(file))
    try:
        with opened(db) as store, store.act(by, Deed.RULE_CODES_TAKEN_IN(file=file.name)) as act:
            stored = import_codes(act, codes, collision=collision or "ask", where=str(file))
    except Collisions as error:
        fix = "Add --replace to replace those codes, or --as-new to import these as new ones."
        raise BadInput(error.what, where=error.where, fix=fix) from error
    for code in stored:
        click.echo(f"{code.id}\t{code.name}\t{len(code.clauses)}")
        for contradiction in contradictions(code):
            click.echo(f"wordhold: {code.name} contradicts itself. {contradiction.sentence}", err=True)


@rules.command("export", cls=Command)
@click.option("--code", help="Only this rule code (id or name).")
@db_option
def export(code: str | None, db: str) -> None:
    """Print the rule codes as TOML, to share them or import them elsewhere.

    Example: wordhold rules export --code r1 > fair-rules.toml
    """
    with opened(db) as store, store.read() as reader:
        codes = [code_named(reader, code)] if code else list(reader.all(RuleCode))
    click.echo(write_codes(codes), nl=False)


@click.group()
def profiles() -> None:
    """Import and export technique profiles as TOML files."""


@profiles.command("import", cls=Command)
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@db_option
@person_option
def import_profiles_(file: Path, db: str, by: str) -> None:
    """Import technique profiles from FILE.

    If any row is wrong, all bad rows are listed and nothing is imported. A row is matched by id if that entry
    has one of the row's names, and otherwise by name.

    Example: wordhold profiles import techniques.toml
    """
    rows = read_profiles(toml_text(file), str(file))
    with opened(db) as store, store.act(by, Deed.TECHNIQUES_TAKEN_IN(file=file.name)) as act:
        stored = import_profiles(act, rows, str(file))
    for entry, row in zip(stored, rows, strict=True):
        click.echo(f"{entry.id}\t{row.name}")


@profiles.command("export", cls=Command)
@db_option
def export_profiles(db: str) -> None:
    """Print every technique's profile as TOML.

    Example: wordhold profiles export > techniques.toml
    """
    with opened(db) as store, store.read() as reader:
        named = techniques(reader, reader.termbase().working_language)
    click.echo(write_profiles(named), nl=False)


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
    ruling: Annotated[Ruling | None, "the editor's ruling that overrides the verdict"]
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
