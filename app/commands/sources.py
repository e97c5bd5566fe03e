"""Commands on sources: source add, remove, list, patterns."""

from dataclasses import replace
from pathlib import Path
from typing import Annotated, TypedDict

import click

from app.commands.context import Command, as_json_option, db_option, opened, person_option, print_json
from app.commands.groups import source
from termbase.acts.drafting import stated_languages, with_languages
from termbase.acts.sources import by_label, remove_source, save_source
from termbase.codes.deeds import Deed
from termbase.errors import BadInput
from termbase.fields.declarations import changed_by
from termbase.record.people import Termbase
from termbase.record.sources import Source, SourceKind
from termbase.tomlfiles import toml_text
from termbase.wordlists.pattern_files import read_pattern, write_pattern
from termbase.wordlists.stock import STOCK


@source.command(cls=Command)
@click.argument("label")
@click.option("--title", required=True, help="Full title.")
@click.option(
    "--kind",
    type=click.Choice([k.value for k in SourceKind]),
    default="word-list",
    show_default=True,
    help="What kind of work it is.",
)
@click.option("--issued", default="", help="When it came out (EDTF: 1898, 1898-06, 189X, 1898~).")
@click.option("--author", default="", help="Who wrote it.")
@click.option("--place", default="", help="Where it was published.")
@click.option("--publisher", default="", help="Who published it.")
@click.option("--language", default="", help="Language of the work (BCP 47 tag).")
@click.option("--rights", default="", help="Who holds the rights, and the licence.")
@click.option("--pattern", default="", help="Line pattern: a stock name, or a TOML file.")
@click.option("--headword-language", "headword", default="", metavar="TAG",
              help="Language of a word-list's headwords; the working language by default.")  # fmt: skip
@click.option("--equivalent-language", "equivalent", default="", metavar="TAG",
              help="Language of its equivalents; required if there are several vernaculars.")  # fmt: skip
@db_option
@person_option
def add(
    label: str, pattern: str, headword: str, equivalent: str, kind: str, db: str, by: str, **texts: str
) -> None:
    """Add a source under a short LABEL.

    Example: wordhold source add "Glanmorwen 1898" --title "Word-List" --issued 1898 --pattern my.toml
    """
    if (headword or equivalent) and not pattern:
        raise click.UsageError("These languages belong to a line pattern. Add --pattern.")
    with opened(db) as store, store.act(by, Deed.SOURCE_ADDED(label=label)) as act:
        text = _pattern_text(act.termbase(), pattern, headword, equivalent, texts["language"])
        bare = Source(id="", label=label, kind=SourceKind(kind), title="")
        saved = save_source(act, changed_by(bare, texts, pattern=text))
    click.echo(f"Added {saved.id} ({saved.label}).")


@source.command(cls=Command)
@click.argument("label")
@db_option
@person_option
def remove(label: str, db: str, by: str) -> None:
    """Delete the source LABEL (a label or an id) if nothing depends on it.

    Example: wordhold source remove "Glanmorwen 1898"
    """
    with opened(db) as store, store.act(by, Deed.SOURCE_REMOVED(label=label)) as act:
        record = by_label(act, label)
        remove_source(act, record.id)
    click.echo(f"Deleted {record.id} ({record.label}).")


class SourcesDocument(TypedDict):
    """What `source list --json` prints."""

    sources: Annotated[tuple[Source, ...], "the sources, in the order in which they were added"]


@source.command("list", cls=Command)
@as_json_option(SourcesDocument)
@db_option
def list_(as_json: bool, db: str) -> None:
    """List the sources.

    Example: wordhold source list --json
    """
    with opened(db) as store, store.read() as reader:
        records = reader.all(Source)
    if as_json:
        print_json("source list", **SourcesDocument(sources=records))
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
            f"There is no stock pattern {name!r}.", where="NAME", fix=f"Use one of: {', '.join(STOCK)}."
        )


def _pattern_text(termbase: Termbase, given: str, headword: str, equivalent: str, source: str) -> str:
    """Return the TOML of a line pattern, from a stock name or a file. A file's text is kept unchanged.

    Raises:
        BadInput: it is neither, the file holds no line pattern, or nothing says which of several vernaculars
            the equivalents are in.
    """
    if not given:
        return ""
    languages = {"headword": headword, "equivalent": equivalent, "source": source}
    if given in STOCK:
        return write_pattern(with_languages(termbase, STOCK[given], **languages))
    path = Path(given)
    if not path.is_file():
        raise BadInput(f"There is no stock pattern and no file {given!r}.", where="--pattern",
                       fix="See: wordhold source patterns")  # fmt: skip
    text = toml_text(path)
    pattern = read_pattern(text, given)
    languages_stated = stated_languages(termbase, pattern, **languages)
    if not (headword or equivalent):
        return text
    changed = replace(
        pattern, headword_language=languages_stated.headword, equivalent_language=languages_stated.equivalent
    )
    return write_pattern(changed)
