"""Sources: source add, source list, source patterns."""

from pathlib import Path
from typing import Any

import click

from app.commands.setting import Command, as_json_option, db_option, opened, person_option, print_json
from termbase.acts.sources import by_label, remove_source, save_source
from termbase.errors import BadInput
from termbase.linepatterns.settings import write_pattern
from termbase.linepatterns.stock import STOCK
from termbase.sources import Source, SourceKind
from termbase.tomlfiles import toml_text

__all__ = ["source"]


@click.group()
def source() -> None:
    """Works that the record rests on."""


@source.command(cls=Command)
@click.argument("label")
@click.option("--title", required=True, help="Full title.")
@click.option(
    "--kind", type=click.Choice([k.value for k in SourceKind]), default="word-list", show_default=True
)
@click.option("--issued", default="", help="When it came out (EDTF: 1898, 1898-06, 189X, 1898~).")
@click.option("--author", default="")
@click.option("--place", default="")
@click.option("--publisher", default="")
@click.option("--language", default="", help="Language of the work (BCP 47 tag).")
@click.option("--rights", default="")
@click.option("--pattern", default="", help="Line pattern: a stock name, or a TOML file.")
@db_option
@person_option
def add(label: str, pattern: str, kind: str, db: str, by: str, **fields: Any) -> None:
    """Add a source under a short LABEL.

    Example: wordhold source add "Glanmorwen 1898" --title "Word-List" --issued 1898 --pattern my.toml
    """
    record = Source(id="", label=label, kind=SourceKind(kind), pattern=read_pattern_option(pattern), **fields)
    with opened(db) as store, store.act(by, f"added the source {label}") as act:
        saved = save_source(act, record)
    click.echo(f"Added {saved.id} ({saved.label}).")


@source.command(cls=Command)
@click.argument("label")
@db_option
@person_option
def remove(label: str, db: str, by: str) -> None:
    """Take a source away, unless something rests on it. LABEL may be its id.

    Example: wordhold source remove "Glanmorwen 1898"
    """
    with opened(db) as store, store.act(by, f"removed the source {label}") as act:
        found = by_label(act, label)
        remove_source(act, found.id)
    click.echo(f"Removed {found.id} ({found.label}).")


@source.command("list", cls=Command)
@as_json_option
@db_option
def list_(as_json: bool, db: str) -> None:
    """List the sources.

    Example: wordhold source list --json
    """
    with opened(db) as store, store.read() as reader:
        records = reader.all(Source)
    if as_json:
        print_json("source list", sources=records)
    for record in () if as_json else records:
        click.echo(f"{record.id}\t{record.label}\t{record.kind.value}\t{record.issued}\t{record.title}")


@source.command(cls=Command)
@click.argument("name", required=False)
def patterns(name: str | None) -> None:
    """List the stock line patterns, or print one as TOML to start from.

    Example: wordhold source patterns "pocket list" > my-pattern.toml
    """
    if name is None:
        for known, pattern in STOCK.items():
            click.echo(f"{known}\t{pattern.description}")
    elif name in STOCK:
        click.echo(write_pattern(STOCK[name]), nl=False)
    else:
        raise BadInput(
            f"There is no stock pattern {name!r}.", where="NAME", mend=f"Use one of: {', '.join(STOCK)}."
        )


def read_pattern_option(given: str) -> str:
    """The TOML of a line pattern, from a stock name or a file.

    Raises:
        BadInput: it is neither.
    """
    if not given:
        return ""
    if given in STOCK:
        return write_pattern(STOCK[given])
    path = Path(given)
    if path.is_file():
        return toml_text(path)
    raise BadInput(f"There is no stock pattern and no file {given!r}.", where="--pattern",
                   mend="See: wordhold source patterns")  # fmt: skip
