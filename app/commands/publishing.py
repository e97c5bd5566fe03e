"""Proof before something is published: publish proof, and a line of it before each publication."""

from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.commands.asking import Given, option_values, output_options
from app.commands.context import Command, as_json_option, db_option, opened, print_json, progress
from app.commands.groups import publish
from app.commands.standing import ProofDocument, proof_document
from app.selection import Order, selection_of
from exports.glossary.print.choices import Selection
from exports.options import texts_of
from exports.outputs import FONTS, SELECTION
from termbase.loading import lazy_module
from termbase.overviews.articles import Library

if TYPE_CHECKING:  # exports that publish nothing do without it
    from exports.glossary.book import proofing
else:
    proofing = lazy_module("exports.glossary.book.proofing")

__all__ = ["proofed"]

_OPTIONS = (*SELECTION, FONTS)


@publish.command(cls=Command)
@output_options(_OPTIONS)
@as_json_option(ProofDocument)
@db_option
def proof(as_json: bool, db: str, **given: Given) -> None:
    """List what is missing or contradictory in a selection before publishing; write nothing.

    Example: wordhold publish proof --ready-only
    """
    asked = option_values(_OPTIONS, given)
    folders = tuple(map(Path, texts_of(asked, FONTS.name)))
    with opened(db) as store, store.read() as reader, progress("entries") as seen:
        selection = selection_of(reader, asked)
        findings = proofing.proof_before_print(Library(reader), selection, seen, folders)
    if as_json:
        print_json("publish proof", **proof_document(findings))
        return
    for check, these in groupby(findings, key=lambda f: f.check):
        group = list(these)
        click.echo(f"{len(group)} {proofing.TITLES[check]}")
        for each in group:
            click.echo(f"  {each.record_id}  {each.name}: {each.what} {each.fix}")
    if not findings:
        click.echo("Nothing is missing.")


def proofed(library: Library, order: Order) -> None:
    """One line on standard error about what of the choice is wrong or missing."""
    selection = order.arguments["selection"]
    assert isinstance(selection, Selection)
    folders = tuple(map(Path, texts_of(order.asked, FONTS.name)))
    with progress("Proof") as seen:
        number = len(proofing.proof_before_print(library, selection, seen, folders))
    if number:
        findings = f"{number} finding{'' if number == 1 else 's'}"
        click.echo(f"Proof: {findings} in the selection; wordhold publish proof lists them.", err=True)
    else:
        click.echo("Proof: nothing is wrong or missing in the selection.", err=True)
