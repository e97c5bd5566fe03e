"""Commands on entries: find, reindex, show, proof, merge, part."""

from collections.abc import Callable
from itertools import groupby
from typing import Annotated, NotRequired, ParamSpec, TypedDict, TypeVar

import click

from app.commands.context import (
    Command,
    ProofDocument,
    article_of,
    as_json_option,
    db_option,
    opened,
    person_option,
    print_json,
    progress,
    proof_document,
    two_entries,
)
from app.commands.plaintext import article_text
from termbase.acts import merging
from termbase.codes.deeds import Deed
from termbase.errors import BadInput
from termbase.judging.verdict import VERDICT_WORDS
from termbase.languages import tags
from termbase.overviews.articles import Article, Library
from termbase.overviews.conditions import EntryConditions, matching_ids
from termbase.proofing.checks import CHECKS
from termbase.proofing.checks import proof as run_proof
from termbase.record.entries import Entry, Origin, Topic
from termbase.record.merging import Merging, Question
from termbase.search import finding
from termbase.search.hits import Hit, How
from termbase.store.entry_lists import STAGES, EntryFilter, list_entries, rows_of
from termbase.store.keys import reindex as make_keys
from termbase.store.keys import stale_languages
from termbase.store.reading import Reader

__all__ = ["find", "merge", "part", "proof", "reindex", "show"]


P = ParamSpec("P")
R = TypeVar("R")
TOPICS = tuple(t.value for t in Topic)
ORIGINS = tuple(o.value for o in Origin)
SHOWN = 60  # letters of what was typed that are said back


def narrowing_options(command: Callable[P, R]) -> Callable[P, R]:
    """Add the options that narrow the search."""
    for option in reversed((
        click.option("--topic", type=click.Choice(TOPICS), help="Only entries of this topic."),
        click.option("--origin", type=click.Choice(ORIGINS), help="Only entries with a name of this origin."),
        click.option("--stage", type=click.Choice(STAGES), help="Only entries at this stage."),
        click.option("--source", help="Only entries quoted from this source (label or id)."),
        click.option("--code", help="Rule code for --verdict (name or id); the first one by default."),
        click.option("--verdict", type=click.Choice(VERDICT_WORDS), help="Only entries with this verdict."),
        click.option("--since", help="Only entries quoted from this date on (EDTF: 1898, 1898-06, 189X)."),
        click.option("--until", help="Only entries quoted up to this date."),
    )):  # fmt: skip
        command = option(command)
    return command


class FindDocument(TypedDict):
    """What `find --json` prints."""

    text: Annotated[str, "the text that was searched for"]
    hits: Annotated[tuple[Hit, ...], "the matches, nearest first"]
    heads: Annotated[dict[str, list[str]], "the head names of each entry, one for each language, by entry id"]


@click.command(cls=Command)
@click.argument("text", default="")
@click.option("--language", help="Only names in this language (BCP 47 tag).")
@click.option("--limit", default=10, show_default=True, type=click.IntRange(1, 1000),
              help="List at most this many.")  # fmt: skip
@narrowing_options
@as_json_option(FindDocument)
@db_option
def find(text: str, language: str | None, limit: int, as_json: bool, db: str, **only: str | None) -> None:
    """Find entries by any form of a name in any language: mutated, inflected or in old print.

    Near matches for a misspelt name come last. Without a name, the command lists all entries that match the
    options, in alphabetical order.

    Example: wordhold find fachiad --topic throw --since 1890
    """
    wanted = EntryConditions(**{name: value or "" for name, value in only.items()})
    if not text and wanted == EntryConditions():
        raise BadInput("Type something to search for.", where="find", fix="Give a name, or an option.")
    with opened(db) as store, store.read() as reader:
        _warn_of_stale_keys(reader)
        within = matching_ids(reader, wanted)
        if text:
            hits = finding.find(reader, printable(text), language=language, limit=limit, within=within)
        else:
            hits = _heads_of(reader, within or frozenset(), language, limit)
        rows = {row.id: row for row in rows_of(reader, [hit.entry_id for hit in hits])}
    if as_json:
        heads = {i: [h.text for h in row.heads] for i, row in rows.items()}
        print_json("find", **FindDocument(text=printable(text), hits=hits, heads=heads))
        return
    for hit in hits:
        others = ", ".join(h.text for h in rows[hit.entry_id].heads if h.language != hit.language)
        click.echo(f"{hit.entry_id}\t{hit.text}\t{hit.language}\t{others}\t{hit.said}")
    if not hits:
        click.echo(f"Nothing like {_short(text)} was found." if text else "No entry matches.")


def _heads_of(reader: Reader, within: frozenset[str], language: str | None, limit: int) -> tuple[Hit, ...]:
    """Return the first entries in alphabetical order of their heads in a language."""
    tag = language or reader.termbase().working_language
    rows = list_entries(reader, EntryFilter(ids=within), tag, limit=limit)
    heads = ((row, row.head(tag) or row.heads[0]) for row in rows)
    return tuple(Hit(row.id, "", head.text, head.language, How.VERY_FORM, 0, "") for row, head in heads)


def _short(text: str) -> str:
    text = printable(text)
    return repr(text if len(text) <= SHOWN else f"{text[:SHOWN]}…")


def printable(text: str) -> str:
    """Return typed text that can be printed: bytes that are not UTF-8 arrive as half characters."""
    return text.encode("utf-8", "replace").decode("utf-8")


def _warn_of_stale_keys(reader: Reader) -> None:
    stale = stale_languages(reader)
    if stale:
        names = ", ".join(tags.display_name(tag) or tag for tag in stale)
        click.echo(
            f"wordhold: the search index for {names} is out of date. Run: wordhold reindex",
            err=True,
        )


@click.command(cls=Command)
@db_option
def reindex(db: str) -> None:
    """Rebuild the search index after a language file or the program has changed.

    Example: wordhold reindex
    """
    with opened(db) as store, progress("names") as seen:
        number = make_keys(store, seen)
    click.echo(f"Indexed {number} names.")


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


class MergeDocument(TypedDict):
    """What `merge --json` prints."""

    entry: Annotated[Entry, "the merged entry; with `--preview`, as it would be"]
    questions: NotRequired[
        Annotated[tuple[Question, ...], "with `--preview`: the conflicts between the two entries"]
    ]
    moving: NotRequired[Annotated[merging.Moving, "with `--preview`: how much would move to the entry"]]


@click.command(cls=Command)
@click.argument("this")
@click.argument("other")
@click.option(
    "--choose", multiple=True, metavar="WHAT=ANSWER", help="How to resolve a conflict; can be repeated."
)
@click.option(
    "--preview", is_flag=True, help="Show the merged entry and the conflicts to resolve; change nothing."
)
@as_json_option(MergeDocument)
@person_option
@db_option
def merge(
    this: str, other: str, choose: tuple[str, ...], preview: bool, as_json: bool, by: str, db: str
) -> None:
    """Merge the entry OTHER into the entry THIS; nothing is lost.

    Names, slips, trials, lines and relations move to THIS. Give each entry by its id or any form of a name.
    From then on the id of OTHER leads to THIS. To separate them again: wordhold part OTHER

    Example: wordhold merge c0012 c0047 --choose "preferred cy=this" --choose "definition en=both"
    """
    choices = dict(_parse_choice(choice) for choice in choose)
    with opened(db) as store:
        with store.read() as reader:
            this, other = two_entries(reader, this, other)
        if preview:
            with store.read() as reader:
                planned = merging.preview(reader, this, other, choices)
                _print_preview(planned, reader, other, as_json=as_json)
            return
        with store.act(by, Deed.ENTRY_MERGED(other=other, id=this)) as act:
            entry = merging.merge(act, this, other, choices)
    if as_json:
        print_json("merge", **MergeDocument(entry=entry))
    else:
        click.echo(f"{other} is now part of {this}.")


@click.command(cls=Command)
@click.argument("entry_id")
@person_option
@db_option
def part(entry_id: str, by: str, db: str) -> None:
    """Separate an entry from the one it was merged into; later additions stay with that one.

    Example: wordhold part c0047
    """
    with opened(db) as store, store.act(by, Deed.ENTRY_PARTED(id=entry_id)) as act:
        back, stays = merging.separate(act, entry_id)
    click.echo(f"{back.id} and {stays.id} are two entries again.")


def _parse_choice(text: str) -> tuple[str, str]:
    what, equals, answer = text.rpartition("=")
    if not equals:
        raise BadInput(
            f"{text!r} has no answer.",
            where="--choose",
            fix='Write it like "technique=this".',
        )
    return what.strip(), answer.strip()


def _print_preview(planned: Merging, reader: Reader, other: str, *, as_json: bool) -> None:
    moving = merging.count_moving(reader, other)
    if as_json:
        print_json("merge", **MergeDocument(entry=planned.entry, questions=planned.questions, moving=moving))
        return
    click.echo(f"Names: {', '.join(f'{t.text} ({t.language})' for t in planned.entry.terms)}")
    click.echo(
        f"From {other}: {moving.slips} slips, {moving.trials} trials, {moving.lines} word-list lines, "
        f"{moving.pointed} relations of other entries."
    )
    for question in planned.questions:
        state = f"chosen: {question.chosen}" if question.chosen else f"choose: {', '.join(question.answers)}"
        click.echo(f'{question.about}: --choose "{question.key}=..." ({state})')
