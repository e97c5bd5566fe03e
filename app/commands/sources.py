"""Sources: source add, source list, source patterns."""

from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Annotated, TypedDict

import click

from app.commands.context import Command, as_json_option, db_option, opened, person_option, print_json
from app.commands.groups import import_, source
from exports.citations.formats import FORMATS, FormatName, read_works
from exports.citations.importing import PlannedSource, import_sources, plan_sources
from exports.citations.styles import STYLES, StyleName, styled
from termbase.acts.drafting import stated_languages, with_languages
from termbase.acts.sources import by_label, remove_source, save_source
from termbase.codes.deeds import Deed
from termbase.errors import BadInput
from termbase.fields.declarations import changed_by
from termbase.importing.records import State
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
    """Return the TOML of a line pattern, from a stock name or a file. A file's text is kept as it is.

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
    own = read_pattern(text, given)
    stated = stated_languages(termbase, own, **languages)
    if not (headword or equivalent):
        return text
    named = replace(own, headword_language=stated.headword, equivalent_language=stated.equivalent)
    return write_pattern(named)


# Sources for programs that keep references: import citations; and source cite.


class WorksDocument(TypedDict):
    """What `import citations --json` prints."""

    dry_run: Annotated[bool, "whether nothing was written"]
    counts: Annotated[dict[str, int], "how many sources are new, changed or the same"]
    sources: Annotated[tuple[PlannedSource, ...], "what becomes of each source"]


class CiteDocument(TypedDict):
    """What `source cite --json` prints."""

    style: Annotated[str, "the citation style"]
    sources: Annotated[dict[str, str], "the citation of each source, by id"]


@import_.command("citations", cls=Command)
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--format", "format_name", type=click.Choice(list(FORMATS)), default=None,
              help="Format of the file.", show_default="detect from the file extension")  # fmt: skip
@click.option("--dry-run", is_flag=True, help="Only show what would be imported; write nothing.")
@as_json_option(WorksDocument)
@db_option
@person_option
def import_citations(
    file: Path, format_name: FormatName | None, dry_run: bool, as_json: bool, db: str, by: str
) -> None:
    """Import sources from CSL-JSON, BibTeX or RIS: all of them or none.

    Example: wordhold import citations library.bib --dry-run
    """
    works = read_works(file.read_bytes(), file.name, format_name)
    with opened(db) as store:
        if dry_run:
            with store.read() as reader:
                planned = plan_sources(reader, works, file.name)
        else:
            with store.act(by, Deed.FILE_TAKEN_IN(file=file.name)) as act:
                planned = plan_sources(act, works, file.name)
                import_sources(act, planned)
    _tell(planned, dry_run=dry_run, as_json=as_json)


def _tell(planned: tuple[PlannedSource, ...], *, dry_run: bool, as_json: bool) -> None:
    counts = {state.value: sum(1 for one in planned if one.state is state) for state in State}
    if as_json:
        print_json("import citations", **WorksDocument(dry_run=dry_run, counts=counts, sources=planned))
        return
    for one in planned:
        if one.state is not State.SAME:
            click.echo(f"{one.state.value}\t{one.source.label}\t{one.source.title}")
        for change in one.differences:
            click.echo(f"  {change.field}: {change.before!r} -> {change.after!r}")
    if unread := Counter(name for one in planned for name in one.unread):
        told = ", ".join(f"{name} {number}" for name, number in unread.most_common())
        click.echo(f"Not recognized and left out: {told}.")
    summed = ", ".join(f"{number} {state}" for state, number in counts.items())
    click.echo(f"{'Would import' if dry_run else 'Imported'}: {summed}.")


@source.command(cls=Command)
@click.option("--style", type=click.Choice(list(STYLES)), default="chicago", show_default=True,
              help="Citation style.")  # fmt: skip
@as_json_option(CiteDocument)
@db_option
def cite(style: StyleName, as_json: bool, db: str) -> None:
    """Print the sources in a citation style (CSL).

    Example: wordhold source cite --style oxford
    """
    with opened(db) as store, store.read() as reader:
        shown = dict(styled(reader.all(Source), style))
    if as_json:
        print_json("source cite", **CiteDocument(style=style, sources=shown))
        return
    for line in shown.values():
        click.echo(line)
