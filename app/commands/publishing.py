"""Books and sites: publish pdf, cards, site, epub, and the proof before them."""

from dataclasses import replace
from itertools import groupby
from pathlib import Path
from typing import Unpack

import click

from app.commands.choosing import Choices, fonts_option, output_option, selection_of, selection_options
from app.commands.setting import Command, as_json_option, db_option, opened, print_json, progress, today
from exports.glossary.cards.publishing import publish_cards
from exports.glossary.epub.publishing import publish_epub
from exports.glossary.print.choices import BOTH_WAYS, Direction, Paper, Selection
from exports.glossary.print.publishing import publish_pdf
from exports.glossary.proofing import TITLES, proof_before_print
from exports.glossary.site.publishing import publish_site
from termbase.articles import Library
from termbase.store import Reader

__all__ = ["publish"]


@click.group()
def publish() -> None:
    """Books and sites for readers."""


@publish.command(cls=Command)
@output_option("File to write.")
@click.option("--paper", type=click.Choice(["a5", "a4"]), default="a5", show_default=True)
@selection_options
@click.option(
    "--part",
    "parts",
    multiple=True,
    type=click.Choice(BOTH_WAYS),
    help="Only this part: articles (working language to vernacular) or reverse.",
)
@click.option("--mark-missing", is_flag=True, help="Print characters that no face has as code points.")
@fonts_option
@as_json_option
@db_option
def pdf(
    output: Path,
    paper: Paper,
    parts: tuple[Direction, ...],
    mark_missing: bool,
    font_folders: tuple[Path, ...],
    as_json: bool,
    db: str,
    **chosen: Unpack[Choices],
) -> None:
    """Print the bilingual glossary as PDF.

    Example: wordhold publish pdf -o glossary.pdf --paper a5
    """
    day = today()
    with opened(db) as store, store.read() as reader:
        selection = replace(
            selection_of(reader, chosen),
            directions=tuple(part for part in BOTH_WAYS if part in parts) or BOTH_WAYS,
            mark_missing=mark_missing,
        )
        library = _proofed(reader, selection, font_folders)
        with progress("entries") as seen:
            report = publish_pdf(
                library, output, paper=paper, selection=selection, as_of=day,
                font_folders=font_folders, on_progress=seen,
            )  # fmt: skip
    words = f"Wrote {output}: {_entries(report.entries, report.drafts)} on {report.pages} pages."
    _tell("publish pdf", output, report, "" if as_json else words)


@publish.command(cls=Command)
@output_option("File to write.")
@selection_options
@click.option("--mark-missing", is_flag=True, help="Print characters that no face has as code points.")
@fonts_option
@as_json_option
@db_option
def cards(
    output: Path,
    mark_missing: bool,
    font_folders: tuple[Path, ...],
    as_json: bool,
    db: str,
    **chosen: Unpack[Choices],
) -> None:
    """Print cards for training, eight to an A4 sheet; print on both sides, turned on the long edge.

    Example: wordhold publish cards -o cards.pdf --ready-only
    """
    day = today()
    with opened(db) as store, store.read() as reader:
        selection = replace(selection_of(reader, chosen), mark_missing=mark_missing)
        library = _proofed(reader, selection, font_folders)
        with progress("entries") as seen:
            report = publish_cards(
                library, output, selection=selection, as_of=day,
                font_folders=font_folders, on_progress=seen,
            )  # fmt: skip
    cards = f"{report.cards} card{'' if report.cards == 1 else 's'}"
    words = f"Wrote {output}: {cards}, {report.drafts} marked as drafts, on {report.pages // 2} sheets."
    _tell("publish cards", output, report, "" if as_json else words)


@publish.command(cls=Command)
@output_option("Folder to write; a site that stands there is replaced.", folder=True)
@selection_options
@as_json_option
@db_option
def site(output: Path, as_json: bool, db: str, **chosen: Unpack[Choices]) -> None:
    """Write the glossary as a web site that needs no server: open index.html in it.

    Example: wordhold publish site -o glossary-site
    """
    day = today()
    with opened(db) as store, store.read() as reader:
        selection = selection_of(reader, chosen)
        library = _proofed(reader, selection)
        with progress("pages") as seen:
            report = publish_site(library, output, selection=selection, as_of=day, on_progress=seen)
    entries = _entries(report.entries, report.drafts)
    words = f"Wrote {output}: {entries}, {report.names} names, {report.files} files."
    _tell("publish site", output, report, "" if as_json else words)


@publish.command(cls=Command)
@output_option("File to write.")
@selection_options
@as_json_option
@db_option
def epub(output: Path, as_json: bool, db: str, **chosen: Unpack[Choices]) -> None:
    """Write the glossary as an EPUB book.

    Example: wordhold publish epub -o glossary.epub
    """
    day = today()
    with opened(db) as store, store.read() as reader:
        selection = selection_of(reader, chosen)
        library = _proofed(reader, selection)
        with progress("entries") as seen:
            report = publish_epub(library, output, selection=selection, as_of=day, on_progress=seen)
    words = f"Wrote {output}: {_entries(report.entries, report.drafts)}."
    _tell("publish epub", output, report, "" if as_json else words)


@publish.command(cls=Command)
@selection_options
@fonts_option
@as_json_option
@db_option
def proof(font_folders: tuple[Path, ...], as_json: bool, db: str, **chosen: Unpack[Choices]) -> None:
    """List what is missing or contradictory in what is about to be published; nothing is written.

    Example: wordhold publish proof --ready-only
    """
    with opened(db) as store, store.read() as reader, progress("entries") as seen:
        findings = proof_before_print(Library(reader), selection_of(reader, chosen), seen, font_folders)
    if as_json:
        print_json("publish proof", findings=findings)
        return
    for check, these in groupby(findings, key=lambda f: f.check):
        group = list(these)
        click.echo(f"{len(group)} {TITLES[check]}")
        for finding in group:
            click.echo(f"  {finding.record_id}  {finding.name}: {finding.what} {finding.mend}")
    if not findings:
        click.echo("Nothing is missing.")


def _proofed(reader: Reader, selection: Selection, font_folders: tuple[Path, ...] = ()) -> Library:
    """The record, and one line on standard error about what of the choice is wrong or missing."""
    library = Library(reader)
    with progress("Proof") as seen:
        number = len(proof_before_print(library, selection, seen, font_folders))
    if number:
        findings = f"{number} finding{'' if number == 1 else 's'}"
        click.echo(f"Proof: {findings} in what is chosen; wordhold publish proof lists them.", err=True)
    else:
        click.echo("Proof: nothing is wrong or missing in what is chosen.", err=True)
    return library


def _tell(name: str, output: Path, report: object, words: str) -> None:
    """Say what was written; as a document where there are no words."""
    if words:
        click.echo(words)
    else:
        print_json(name, file=str(output), report=report)


def _entries(number: int, drafts: int) -> str:
    marked = f", {drafts} of them marked as drafts" if drafts else ""
    return f"{number} {'entry' if number == 1 else 'entries'}{marked}"
