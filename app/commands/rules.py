"""Rule codes and technique profiles as files: rules import and export, profiles import and export."""

from pathlib import Path

import click

from app.commands.context import Command, db_option, opened, person_option
from termbase.acts.rules import Collisions, OnCollision, code_named, import_codes
from termbase.acts.techniques import import_profiles
from termbase.codes.deeds import Deed
from termbase.errors import BadInput
from termbase.overviews.matrix import techniques
from termbase.rules.clauses import RuleCode
from termbase.rules.consistency import contradictions
from termbase.rules.files import read_codes, read_profiles, write_codes, write_profiles
from termbase.tomlfiles import toml_text

__all__ = ["profiles", "rules"]


@click.group()
def rules() -> None:
    """Import and export rule codes as TOML files."""


@rules.command("import", cls=Command)
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@db_option
@person_option
@click.option(
    "--replace",
    "collision",
    flag_value="replace",
    help="If a code's id or name is taken, replace the existing code, which keeps its id.",
)
@click.option(
    "--as-new",
    "collision",
    flag_value="as new",
    help="If a code's id or name is taken, import it under a new id, and a new name if needed.",
)
def import_(file: Path, db: str, by: str, collision: OnCollision | None) -> None:  # fmt: skip
    """Import the rule codes of FILE. If any row is wrong, every bad row is listed and nothing is imported.

    Codes keep the ids of the file. A code with a known id and name is updated. If another code has its id or
    its name, nothing is imported unless you give --replace or --as-new. Clauses that contradict each other
    are imported, since sources do contradict each other, and reported with both sources.

    Example: wordhold rules import fair-rules.toml
    """
    codes = read_codes(toml_text(file), str(file))
    try:
        with opened(db) as store, store.act(by, Deed.RULE_CODES_TAKEN_IN(file=file.name)) as act:
            stored = import_codes(act, codes, collision=collision or "ask", where=str(file))
    except Collisions as error:
        fix = "Add --replace to replace those codes, or --as-new to import these as new ones."
        raise BadInput(error.what, where=error.where, fix=fix) from error
    for code in stored:
        click.echo(f"{code.id}\t{code.name}\t{len(code.clauses)}")
        for found in contradictions(code):
            click.echo(f"wordhold: {code.name} contradicts itself. {found.sentence}", err=True)


@rules.command("export", cls=Command)
@click.option("--code", help="Only this rule code (id or name).")
@db_option
def export(code: str | None, db: str) -> None:
    """Print the rule codes as TOML, to keep, to share or to import elsewhere.

    Example: wordhold rules export --code r1 > fair-rules.toml
    """
    with opened(db) as store, store.read() as reader:
        codes = [code_named(reader, code)] if code else list(reader.all(RuleCode))
    click.echo(write_codes(codes), nl=False)


@click.group()
def profiles() -> None:
    """Import and export technique profiles as TOML files."""


@profiles.command("import", cls=Command)
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@db_option
@person_option
def import_profiles_(file: Path, db: str, by: str) -> None:
    """Import technique profiles from FILE. If a row is wrong, every bad row is listed, nothing is imported.

    A row is matched by id if that entry has one of the row's names, and otherwise by name.

    Example: wordhold profiles import techniques.toml
    """
    rows = read_profiles(toml_text(file), str(file))
    with opened(db) as store, store.act(by, Deed.TECHNIQUES_TAKEN_IN(file=file.name)) as act:
        stored = import_profiles(act, rows, str(file))
    for entry, row in zip(stored, rows, strict=True):
        click.echo(f"{entry.id}\t{row.name}")


@profiles.command("export", cls=Command)
@db_option
def export_profiles(db: str) -> None:
    """Print every technique's profile as TOML.

    Example: wordhold profiles export > techniques.toml
    """
    with opened(db) as store, store.read() as reader:
        named = techniques(reader, reader.termbase().working_language)
    click.echo(write_profiles(named), nl=False)
