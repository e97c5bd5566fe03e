"""Commands on languages, for scripts: languages check, sort, forms, list."""

import sys
from pathlib import Path
from typing import Annotated, TypedDict

import click

from app.commands.context import Command, as_json_option, print_json
from termbase.errors import BadInput
from termbase.languages import tags
from termbase.languages.alphabets import order_names, sort_key
from termbase.languages.checking import check_file
from termbase.languages.files import shipped_tags
from termbase.languages.folding import modern_spelling
from termbase.languages.keys import headwords_for, index_of
from termbase.languages.mutations import unmutated_forms

__all__ = ["languages"]

FAULTS = 2


@click.group()
def languages() -> None:
    """Alphabets, mutations and old print, by language."""


@languages.command("list", cls=Command)
def list_() -> None:
    """List the languages that have their own file; all others use the defaults.

    Example: wordhold languages list
    """
    for tag in shipped_tags():
        click.echo(tag if tag == "default" else f"{tag}\t{tags.display_name(tag)}")


@languages.command(cls=Command)
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
def check(file: Path) -> None:
    """List every mistake in a language FILE with its line; exit with status 2 if there is one.

    Example: wordhold languages check sga.toml
    """
    faults = check_file(file)
    for fault in faults:
        click.echo(f"{file}:{fault.line}: {fault.what} {fault.fix}")
    if faults:
        sys.exit(FAULTS)
    click.echo(f"{file}: no mistakes.")


@languages.command(cls=Command)
@click.argument("tag")
@click.option("--order", default="", help="One of the language's other orders.")
def sort(tag: str, order: str) -> None:
    """Sort the lines of standard input in the alphabetical order of a language.

    Example: wordhold languages sort cy < words.txt
    """
    known = tags.canonical(tag)
    if order not in ("", *order_names(known)):
        offered = ", ".join(order_names(known)) or "none (leave it out)"
        raise BadInput(f"There is no order {order!r}.", where="--order", fix=f"Use one of: {offered}.")
    lines = sys.stdin.buffer.read().decode("utf-8").splitlines()
    for line in sorted(lines, key=lambda text: sort_key(text, known, order)):
        click.echo(line)


class PossibleHeadword(TypedDict):
    """A headword that a form may belong to."""

    headword: Annotated[str, "the headword"]
    how: Annotated[str, "how the form leads to it"]
    note: Annotated[str, "the change that was undone"]


class FormsDocument(TypedDict):
    """What `languages forms --json` prints."""

    language: Annotated[str, "the language tag in canonical form"]
    form: Annotated[str, "the form that was given"]
    headwords: Annotated[list[PossibleHeadword], "the headwords, likeliest first"]


@languages.command(cls=Command)
@click.argument("tag")
@click.argument("word")
@click.option(
    "--words",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="File of headwords to choose from, one per line.",
)
@as_json_option(FormsDocument)
def forms(tag: str, word: str, words: Path | None, as_json: bool) -> None:
    """List the headwords that a form may belong to, likeliest first, each with the reason.

    Without --words, these are all the headwords that the mutations of the language allow.

    Example: wordhold languages forms cy fachiad
    """
    known = tags.canonical(tag)
    found = _among(word, known, words) if words else _possible(word, known)
    if as_json:
        print_json("languages forms", **FormsDocument(language=known, form=word, headwords=found))
        return
    for one in found:
        click.echo("\t".join(filter(None, (one["headword"], one["how"], one["note"]))))


def _possible(word: str, tag: str) -> list[PossibleHeadword]:
    found = [
        PossibleHeadword(headword=c.text, how=c.how, note=", ".join(filter(None, (c.mutation, c.change))))
        for c in unmutated_forms(word, tag)
    ]
    modern = modern_spelling(word)
    if modern != word:
        found.append(PossibleHeadword(headword=modern, how="old print", note=f"{word} > {modern}"))
    return found


def _among(word: str, tag: str, words: Path) -> list[PossibleHeadword]:
    headwords = filter(None, (line.strip() for line in words.read_text("utf-8").splitlines()))
    found = headwords_for(word, tag, index_of(headwords, tag))
    return [PossibleHeadword(headword=f.headword, how=f.how.value, note=f.note) for f in found]
