"""Trimming word-lists by a rule code: page trim."""

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
from termbase.acts.rules import code_named
from termbase.acts.sources import by_label
from termbase.acts.trimming import TrimReport, set_aside_breaches
from termbase.codes.deeds import Deed
from termbase.record.pages import LineState, Page, page_order
from termbase.record.sources import Source
from termbase.store.reading import Reader
from termbase.trims import Trim
from termbase.trims import judge_pages as judge_lines
from termbase.wordlists.trimming import (
    Group,
    JudgedLine,
    JudgedSense,
    LinkKind,
    sense_link_text,
    standing_reasons,
    what_to_find_out,
)

__all__ = ["trim"]

Doing = Literal["", "lines", "notes"]


class TrimEntry(TypedDict):
    """An entry that a sense leads to."""

    entry: Annotated[str, "id of the entry"]
    word: Annotated[str, "the verdict on it; `open` if there is none"]


class TrimSense(TypedDict):
    """A sense of a line under the rule code."""

    number: Annotated[str, "its number as printed"]
    label: Annotated[str, "its style label"]
    other_style: Annotated[bool, "whether the label stands for another style"]
    bond: Annotated[LinkKind, "what ties it to entries"]
    why: Annotated[str, "why it is tied to them"]
    entries: Annotated[list[TrimEntry], "the entries"]
    reasons: Annotated[list[str], "the reasons for the verdicts, and what to find out"]


class TrimLine(TypedDict):
    """A line under the rule code."""

    line: Annotated[str, "id of the line"]
    text: Annotated[str, "what is printed"]
    state: Annotated[LineState, "what has become of it"]
    lot: Annotated[Group, "whether it goes, is open or stays"]
    certain: Annotated[bool, "whether that is certain"]
    senses: Annotated[list[TrimSense], "its senses"]


class TrimLeft(TypedDict):
    """A line that goes and was left."""

    line: Annotated[str, "id of the line"]
    why: Annotated[str, "why it was left"]


class TrimDocument(TypedDict):
    """What `page trim --json` prints."""

    code: Annotated[str, "id of the rule code"]
    counts: Annotated[dict[str, int], "how many lines go, are open and stay"]
    set_aside_before: Annotated[int, "how many lines were set aside before"]
    lines: Annotated[list[TrimLine], "the lines"]
    applied: Annotated[bool, "whether the trimming was applied"]
    set_aside: Annotated[tuple[str, ...], "ids of the lines set aside"]
    noted: Annotated[tuple[str, ...], "ids of the entries that got a note"]
    left: Annotated[list[TrimLeft], "lines that go and were left"]


@click.command(cls=Command)
@click.argument("page_id", metavar="[PAGE]", required=False)
@click.option("--source", "label", help="All pages of this word-list (label or id) instead of one page.")
@click.option("--code", required=True, help="Rule code (id or name).")
@click.option("--label", "other_styles", multiple=True,
              help="A label that marks another wrestling style; can be repeated.")  # fmt: skip
@click.option("--apply", "doing", flag_value="lines", default="",
              help="Set aside the waiting lines that go, as one change.")  # fmt: skip
@click.option("--apply-with-notes", "doing", flag_value="notes",
              help="The same, and leave an editor's note on the entries of lines that go.")  # fmt: skip
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
    """Judge all lines of PAGE under a rule code: what stays, what goes and why, what is open.

    Nothing changes unless you apply it. A line that is labelled as another style but fits the rules is left,
    with its verdict, for you to check. A line that belongs to an entry is never set aside: its entry stays.
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
    known = [label for label, _ in result.labels]
    for label in other_styles:
        if label not in known:
            raise click.UsageError(f"No line is labelled {label!r}. Labels: {', '.join(known) or 'none'}.")


def _print(result: Trim, report: TrimReport | None) -> None:
    for lot in Group:
        for trimmed in result.lines:
            if trimmed.lot is lot:
                click.echo(_line_text(trimmed))
    counts = ", ".join(f"{result.count(lot)} {said}" for lot, said in _SAID.items())
    click.echo(f"Under {result.code.name}: {counts}; {result.set_aside} set aside already.")
    if report is None:
        return
    for line, why in report.left:
        click.echo(f"left\t{line.id}\t{why}\t{_printed(line.text)}")
    click.echo(
        f"Set aside {len(report.aside)} lines, left a note on {len(report.noted)} entries; "
        f"{len(report.left)} lines that go were left. It can be undone with: wordhold undo"
    )


_SAID = {Group.STAYS: "stay", Group.GOES: "go", Group.OPEN: "open"}


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
