"""Commands on entries: find, reindex, show, proof, merge, part."""

from collections.abc import Callable
from typing import Annotated, ParamSpec, TypedDict, TypeVar

import click

from app.commands.context import (
    Command,
    as_json_option,
    db_option,
    opened,
    print_json,
    progress,
)
from termbase.errors import BadInput
from termbase.judging.verdict import VERDICT_WORDS
from termbase.languages import tags
from termbase.overviews.conditions import EntryConditions, matching_ids
from termbase.record.entries import Origin, Topic
from termbase.search import finding
from termbase.search.hits import Hit, How
from termbase.store.entry_lists import STAGES, EntryFilter, list_entries, rows_of
from termbase.store.keys import reindex as make_keys
from termbase.store.keys import stale_languages
from termbase.store.reading import Reader

__all__ = ["find", "reindex"]


P = ParamSpec("P")
R = TypeVar("R")
TOPICS = tuple(t.value for t in Topic)
ORIGINS = tuple(o.value for o in Origin)
SHOWN = 60  # characters of the typed text that are repeated in a message


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
