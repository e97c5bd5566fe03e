"""Word-list pages: page add, page lines, page accept, page trim."""

from pathlib import Path
from typing import Annotated, Literal, TypedDict

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
from termbase.acts import pages as page_acts
from termbase.acts.accepting import accept_all_clear
from termbase.acts.rules import code_named
from termbase.acts.sources import by_label
from termbase.acts.trimming import Trim, TrimReport, set_aside_breaches
from termbase.acts.trimming import judge_pages as judge_lines
from termbase.codes.deeds import Deed
from termbase.codes.wording import statement_text
from termbase.media.pictures import read_picture
from termbase.record.pages import Line, LineState, Page, page_order
from termbase.record.sources import Source
from termbase.search import likeness
from termbase.store.reading import Reader
from termbase.transcripts import Encoding, read_transcript
from termbase.wordlists.trimming import (
    Group,
    JudgedLine,
    JudgedSense,
    LinkKind,
    sense_link_text,
    standing_reasons,
    what_to_find_out,
)

__all__ = ["page", "trim"]


Doing = Literal["", "lines", "notes"]


class TrimEntry(TypedDict):
    """An entry that a sense leads to."""

    entry: Annotated[str, "id of the entry"]
    word: Annotated[str, "the verdict on it; `open` if there is none"]


class TrimSense(TypedDict):
    """A sense of a line under the rule code."""

    number: Annotated[str, "its number as printed"]
    label: Annotated[str, "its style label"]
    other_style: Annotated[bool, "whether the label marks another style"]
    bond: Annotated[LinkKind, "how it is linked to entries"]
    why: Annotated[str, "why it is linked to them"]
    entries: Annotated[list[TrimEntry], "the entries"]
    reasons: Annotated[list[str], "the reasons for the verdicts, and what to find out"]


class TrimLine(TypedDict):
    """A line under the rule code."""

    line: Annotated[str, "id of the line"]
    text: Annotated[str, "the printed text"]
    state: Annotated[LineState, "its state"]
    lot: Annotated[Group, "whether it is to be set aside (`goes`), open, or to keep (`stays`)"]
    certain: Annotated[bool, "whether that is certain"]
    senses: Annotated[list[TrimSense], "its senses"]


class TrimLeft(TypedDict):
    """A line to be set aside that was not."""

    line: Annotated[str, "id of the line"]
    why: Annotated[str, "why it was not set aside"]


class TrimDocument(TypedDict):
    """What `page trim --json` prints."""

    code: Annotated[str, "id of the rule code"]
    counts: Annotated[dict[str, int], "how many lines are to be set aside, open, and to keep"]
    set_aside_before: Annotated[int, "how many lines were set aside before"]
    lines: Annotated[list[TrimLine], "the lines"]
    applied: Annotated[bool, "whether the trimming was applied"]
    set_aside: Annotated[tuple[str, ...], "ids of the lines set aside"]
    noted: Annotated[tuple[str, ...], "ids of the entries that got a note"]
    left: Annotated[list[TrimLeft], "lines to be set aside that were not"]


@click.command(cls=Command)
@click.argument("page_id", metavar="[PAGE]", required=False)
@click.option("--source", "label", help="All pages of this word-list (label or id) instead of one page.")
@click.option("--code", required=True, help="Rule code (id or name).")
@click.option("--label", "other_styles", multiple=True,
              help="A label that marks another wrestling style; can be repeated.")  # fmt: skip
@click.option("--apply", "doing", flag_value="lines", default="",
              help="Set aside the lines found, in one change that you can undo.")  # fmt: skip
@click.option("--apply-with-notes", "doing", flag_value="notes",
              help="The same, and leave an editor's note on entries with such lines.")  # fmt: skip
@as_json_option(TrimDocument)
@db_option
@person_option
def trim(
    page_id: str | None,
    label: str | None,
    code: str,
    other_styles: tuple[str, ...],
    doing: Doing,
    as_json: bool,
    db: str,
    by: str,
) -> None:
    """Judge all lines of PAGE under a rule code: which to keep, which to set aside and why.

    Nothing changes unless you apply it. A line that is labelled as another style but fits the rules is not
    set aside; its verdict is shown for you to check. A line in an entry is never set aside: its entry stays.
    Within the rules does not mean safe.

    Example: wordhold page trim w1 --code r1 --label boxing --apply
    """
    with opened(db) as store:
        with store.read() as reader:
            source, pages = _pages(reader, page_id, label)
            under = code_named(reader, code)
            result = judge_lines(reader, source, pages, under).with_other_styles(other_styles)
        _check_labels(result, other_styles)
        report = None
        if doing:
            if page_id:
                deed = Deed.PAGE_TRIMMED(number=pages[0].number, label=source.label, code=under.name)
            else:
                deed = Deed.SOURCE_TRIMMED(label=source.label, code=under.name)
            with progress("lines") as seen, store.act(by, deed) as act:
                report = set_aside_breaches(
                    act, source, pages, under,
                    other_styles=other_styles, with_notes=doing == "notes", on_progress=seen,
                )  # fmt: skip
    if as_json:
        _print_json(result, report)
    else:
        _print(result, report)


def _pages(reader: Reader, page_id: str | None, label: str | None) -> tuple[Source, tuple[Page, ...]]:
    if (page_id is None) == (label is None):
        raise click.UsageError("Give a page, or --source for all pages of a word-list.")
    if page_id is not None:
        chosen = reader.get(Page, page_id)
        return reader.get(Source, chosen.source_id), (chosen,)
    source = by_label(reader, label or "")
    return source, tuple(sorted(reader.all(Page, source_id=source.id), key=page_order))


def _check_labels(result: Trim, other_styles: tuple[str, ...]) -> None:
    labels = [label for label, _ in result.labels]
    for label in other_styles:
        if label not in labels:
            raise click.UsageError(f"No line is labelled {label!r}. Labels: {', '.join(labels) or 'none'}.")


def _print(result: Trim, report: TrimReport | None) -> None:
    for lot in Group:
        for trimmed in result.lines:
            if trimmed.lot is lot:
                click.echo(_line_text(trimmed))
    counts = ", ".join(f"{result.count(lot)} {words}" for lot, words in _GROUP_WORDS.items())
    click.echo(f"Under {result.code.name}: {counts}; {result.set_aside} already set aside.")
    if report is None:
        return
    for line, why in report.left:
        click.echo(f"skipped\t{line.id}\t{why}\t{_printed(line.text)}")
    click.echo(
        f"Set aside {len(report.aside)} lines, left a note on {len(report.noted)} entries, "
        f"skipped {len(report.left)} lines. To undo this: wordhold undo"
    )


_GROUP_WORDS = {Group.STAYS: "to keep", Group.GOES: "to set aside", Group.OPEN: "open"}


def _line_text(trimmed: JudgedLine) -> str:
    return "\n".join(
        (
            f"{trimmed.lot.value}\t{trimmed.line.id}\t{_printed(trimmed.line.text)}",
            *(f"    {text}" for sense in trimmed.senses for text in _sense_text(trimmed, sense)),
        )
    )


def _sense_text(trimmed: JudgedLine, sense: JudgedSense) -> list[str]:
    word = _word(sense)
    if sense.other_style:
        word = f"another style (the verdict is {word})" if sense.standings else "another style"
    number = f"{sense.number} " if sense.number else ""
    label = f" [{sense.label}]" if sense.label else ""
    tied = sense_link_text(sense)
    texts = [*what_to_find_out(trimmed, sense), *([] if sense.other_style else _reasons(sense))]
    return [f"{number}{word}{label}{f', {tied}' if tied else ''}", *(f"  - {text}" for text in texts)]


def _word(sense: JudgedSense) -> str:
    words = {s.word for s in sense.standings}
    return " / ".join(sorted(words)) if words else "open"


def _reasons(sense: JudgedSense) -> list[str]:
    return [text for standing in sense.standings for text in standing_reasons(standing)]


def _printed(text: str) -> str:
    return text.strip("\n").replace("\n", " / ")


def _print_json(result: Trim, report: TrimReport | None) -> None:
    rows = [
        TrimLine(
            line=trimmed.line.id,
            text=trimmed.line.text,
            state=trimmed.line.state,
            lot=trimmed.lot,
            certain=trimmed.certain,
            senses=[
                TrimSense(
                    number=sense.number,
                    label=sense.label,
                    other_style=sense.other_style,
                    bond=sense.tie.bond,
                    why=sense.tie.why,
                    entries=[TrimEntry(entry=s.entry_id, word=s.word) for s in sense.standings],
                    reasons=[
                        *what_to_find_out(trimmed, sense),
                        *([] if sense.other_style else _reasons(sense)),
                    ],
                )
                for sense in trimmed.senses
            ],
        )
        for trimmed in result.lines
    ]
    left = [TrimLeft(line=line.id, why=why) for line, why in report.left] if report else []
    document = TrimDocument(
        code=result.code.id,
        counts={lot.value: result.count(lot) for lot in Group},
        set_aside_before=result.set_aside,
        lines=rows,
        applied=report is not None,
        set_aside=report.aside if report else (),
        noted=report.noted if report else (),
        left=left,
    )
    print_json("page trim", **document)


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
    counts = {state: sum(1 for x in lines if x.state is state) for state in LineState}
    click.echo(
        f"Entered {entered.id}: {counts[LineState.NEW] + counts[LineState.UNPARSED]} lines to do, "
        f"{counts[LineState.UNPARSED]} of them not read cleanly, "
        f"{counts[LineState.FURNITURE]} of page furniture."
    )


class LinesDocument(TypedDict):
    """What `page lines --json` prints."""

    lines: Annotated[list[Line], "the lines, in the order of pages and of their places on them"]


class LeftLine(TypedDict):
    """A line that was left."""

    line: Annotated[str, "id of the line"]
    text: Annotated[str, "the printed text"]
    why: Annotated[str, "why it was not set aside"]


class AcceptDocument(TypedDict):
    """What `page accept --json` prints."""

    lines: Annotated[int, "how many lines there were to do"]
    made: Annotated[tuple[str, ...], "ids of the entries created"]
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
        lines_found = [x for x in lines_of(reader, page_id) if not left or x.state in LEFT]
    if as_json:
        print_json("page lines", **LinesDocument(lines=lines_found))
        return
    for line in lines_found:
        why = f" ({statement_text(line.reason)})" if line.reason else ""
        text = line.text.strip("\n").replace("\n", " / ")
        click.echo(f"{line.id}\t{line.state.value}{why}\t{' '.join(line.entry_ids)}\t{text}")


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
    """Create entries from all clear lines that resemble no entry; list the remaining lines with reasons.

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
        text = line.text.strip("\n").replace("\n", " / ")
        click.echo(f"skipped\t{line.id}\t{why}\t{text}")
    worked = len(open_lines) - len(report.left)
    created, skipped = len(report.made), len(report.left)
    click.echo(f"Lines accepted: {worked}. Entries created: {created}. Lines skipped: {skipped}.")


page.add_command(trim)


def lines_of(reader: Reader, page_id: str | None) -> list[Line]:
    """Return the lines of one page, or of all pages in the order they were entered; page furniture too.

    Raises:
        NotFound: there is no such page.
    """
    if page_id is not None:
        reader.get(Page, page_id)
    chosen = (page_id,) if page_id is not None else tuple(p.id for p in reader.all(Page))
    return [x for i in chosen for x in sorted(reader.all(Line, page_id=i), key=lambda x: x.position)]
