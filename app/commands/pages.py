"""Word-list pages: page add, page lines, page accept, page trim."""

from pathlib import Path
from typing import Annotated, TypedDict

import click

from app.commands.context import (
    Command,
    as_json_option,
    db_option,
    opened,
    person_option,
    print_json,
    progress,
)
from app.commands.trimming import trim
from termbase.acts import pages as page_acts
from termbase.acts.accepting import accept_all_clear
from termbase.acts.sources import by_label
from termbase.codes.deeds import Deed
from termbase.codes.wording import statement_text
from termbase.media.pictures import read_picture
from termbase.record.pages import Line, LineState, Page
from termbase.search import likeness
from termbase.store.reading import Reader
from termbase.transcripts import Encoding, read_transcript

__all__ = ["page"]

LEFT = (LineState.NEW, LineState.UNPARSED)


@click.group()
def page() -> None:
    """Word-list pages and their lines."""


@page.command(cls=Command)
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--source", "label", required=True, help="Label or id of the word-list.")
@click.option("--page", "number", required=True, help="Page number as printed.")
@click.option(
    "--image",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Image of the page: PNG, JPEG, WebP or PDF.",
)
@click.option("--pdf-page", default=1, show_default=True, help="Page of the PDF to use.")
@click.option("--encoding", type=click.Choice(["utf-8", "windows-1252"]), default="utf-8", show_default=True,
              help="Encoding of the file.")  # fmt: skip
@db_option
@person_option
def add(
    file: Path,
    label: str,
    number: str,
    image: Path | None,
    pdf_page: int,
    encoding: Encoding,
    db: str,
    by: str,
) -> None:
    """Enter a word-list page from its transcription in FILE (text, or gzipped text).

    Example: wordhold page add p12.txt --source "Glanmorwen 1898" --page 12 --image p12.png
    """
    text = read_transcript(file.read_bytes(), str(file), encoding=encoding)
    picture = read_picture(image.read_bytes(), str(image), pdf_page=pdf_page) if image else None
    with opened(db) as store, store.act(by, Deed.PAGE_ENTERED(number=number, label=label)) as act:
        if picture:
            act.add_image(picture)
        entered = page_acts.add_page(
            act, by_label(act, label).id, number, text, picture.id if picture else ""
        )
        lines = act.all(Line, page_id=entered.id)
    told = {state: sum(1 for x in lines if x.state is state) for state in LineState}
    click.echo(
        f"Entered {entered.id}: {told[LineState.NEW] + told[LineState.UNPARSED]} lines to work, "
        f"{told[LineState.UNPARSED]} of them not read cleanly, {told[LineState.FURNITURE]} of page furniture."
    )


class LinesDocument(TypedDict):
    """What `page lines --json` prints."""

    lines: Annotated[list[Line], "the lines, in the order of pages and of their places on them"]


class LeftLine(TypedDict):
    """A line that was left."""

    line: Annotated[str, "id of the line"]
    text: Annotated[str, "what is printed"]
    why: Annotated[str, "why it was left"]


class AcceptDocument(TypedDict):
    """What `page accept --json` prints."""

    lines: Annotated[int, "how many lines there were to work"]
    made: Annotated[tuple[str, ...], "ids of the entries made"]
    left: Annotated[list[LeftLine], "lines that were left"]


@page.command(cls=Command)
@click.argument("page_id", required=False)
@click.option("--left", is_flag=True, help="Only lines that are still waiting.")
@as_json_option(LinesDocument)
@db_option
def lines(page_id: str | None, left: bool, as_json: bool, db: str) -> None:
    """List the lines of a page, or of all pages, with their state.

    Example: wordhold page lines w1 --left
    """
    with opened(db) as store, store.read() as reader:
        found = [x for x in lines_of(reader, page_id) if not left or x.state in LEFT]
    if as_json:
        print_json("page lines", **LinesDocument(lines=found))
        return
    for line in found:
        why = f" ({statement_text(line.reason)})" if line.reason else ""
        told = line.text.strip("\n").replace("\n", " / ")
        click.echo(f"{line.id}\t{line.state.value}{why}\t{' '.join(line.entry_ids)}\t{told}")


@page.command(cls=Command)
@click.argument("page_id", required=False)
@click.option(
    "--all-clear", is_flag=True, required=True, help="Accept every line that could be read without doubt."
)
@click.option(
    "--also-alike", is_flag=True, help="Accept lines that resemble an existing entry too, as new entries."
)
@click.option("--quiet", is_flag=True, help="Do not list the remaining lines, only count them.")
@as_json_option(AcceptDocument)
@db_option
@person_option
def accept(
    page_id: str | None, all_clear: bool, also_alike: bool, quiet: bool, as_json: bool, db: str, by: str
) -> None:
    """Make entries from all clear lines that resemble no entry; list the remaining lines with reasons.

    Example: wordhold page accept w1 --all-clear
    """
    what = Deed.PAGE_ACCEPTED_BY_ID(id=page_id) if page_id else Deed.PAGES_ACCEPTED()
    with opened(db) as store, progress("lines") as seen, store.act(by, what) as act:
        open_lines = [x for x in lines_of(act, page_id) if x.state in LEFT]
        report = accept_all_clear(
            act, open_lines, likeness.Resembler(act), also_alike=also_alike, on_progress=seen
        )
    if as_json:
        left = [LeftLine(line=line.id, text=line.text, why=why) for line, why in report.left]
        document = AcceptDocument(lines=len(open_lines), made=report.made, left=left)
        print_json("page accept", **document)
        return
    for line, why in () if quiet else report.left:
        told = line.text.strip("\n").replace("\n", " / ")
        click.echo(f"left\t{line.id}\t{why}\t{told}")
    worked = len(open_lines) - len(report.left)
    click.echo(f"{worked} lines made {len(report.made)} entries; {len(report.left)} lines were left.")


page.add_command(trim)


def lines_of(reader: Reader, page_id: str | None) -> list[Line]:
    """The lines of one page, or of all pages in order of entering; furniture too.

    Raises:
        NotFound: there is no such page.
    """
    if page_id is not None:
        reader.get(Page, page_id)
    chosen = (page_id,) if page_id is not None else tuple(p.id for p in reader.all(Page))
    return [x for i in chosen for x in sorted(reader.all(Line, page_id=i), key=lambda x: x.position)]
