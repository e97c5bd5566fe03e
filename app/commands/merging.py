"""Commands that merge two entries and separate them again: `merge` and `part`."""

from typing import Annotated, NotRequired, TypedDict

import click

from app.commands.context import Command, as_json_option, db_option, opened, person_option, print_json
from app.commands.named_entries import two_entries
from termbase.acts import merging
from termbase.codes.deeds import Deed
from termbase.errors import BadInput
from termbase.record.entries import Entry
from termbase.record.merging import Merging, Question
from termbase.store.reading import Reader

__all__ = ["merge", "part"]


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
