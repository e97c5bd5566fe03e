"""Rule codes and techniques as files: rules import, rules export, profiles import, profiles export."""

from pathlib import Path

import click

from app.commands.setting import Command, db_option, opened, person_option
from termbase.acts.rules import Collisions, OnCollision, code_named, import_codes
from termbase.acts.techniques import import_profiles
from termbase.codes.deeds import Deed
from termbase.errors import BadInput
from termbase.matrix import techniques
from termbase.rulecodes import RuleCode, contradictions
from termbase.rulefiles import read_codes, read_profiles, write_codes, write_profiles
from termbase.tomlfiles import toml_text

__all__ = ["profiles", "rules"]


@click.group()
def rules() -> None:
    """Rule codes as TOML files."""


@rules.command("import", cls=Command)
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@db_option
@person_option
@click.option(
    "--replace",
    "collision",
    flag_value="replace",
    help="A code whose id or name is taken replaces the code that has it, which keeps its id.",
)
@click.option(
    "--as-new",
    "collision",
    flag_value="as new",
    help="A code whose id or name is taken comes in under a new id, and a new name if needed.",
)
def import_(file: Path, db: str, by: str, collision: OnCollision | None) -> None:  # fmt: skip
    """Take in the rule codes of FILE: all of them or, with every bad row named, none.

    Codes keep the ids of the file. A code whose id and name are both known is changed. If another code here
    has its id or its name, nothing is taken unless you give --replace or --as-new. Clauses that contradict
    each other are taken, since sources do, and named with both sources.

    Example: wordhold rules import fair-rules.toml
    """
    codes = read_codes(toml_text(file), str(file))
    try:
        with opened(db) as store, store.act(by, Deed.RULE_CODES_TAKEN_IN(file=file.name)) as act:
            stored = import_codes(act, codes, collision=collision or "ask", where=str(file))
    except Collisions as error:
        mend = "Give --replace to replace those codes, or --as-new to take these in as new ones."
        raise BadInput(error.what, where=error.where, mend=mend) from error
    for code in stored:
        click.echo(f"{code.id}\t{code.name}\t{len(code.clauses)}")
        for found in contradictions(code):
            click.echo(f"wordhold: {code.name} contradicts itself. {found.sentence}", err=True)


@rules.command("export", cls=Command)
@click.option("--code", help="Only this rule code (id or name).")
@db_option
def export(code: str | None, db: str) -> None:
    """Print the rule codes as TOML, to keep, to share, to take in elsewhere.

    Example: wordhold rules export --code r1 > fair-rules.toml
    """
    with opened(db) as store, store.read() as reader:
        codes = [code_named(reader, code)] if code else list(reader.all(RuleCode))
    click.echo(write_codes(codes), nl=False)


@click.group()
def profiles() -> None:
    """What techniques need, as TOML files."""


@profiles.command("import", cls=Command)
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@db_option
@person_option
def import_profiles_(file: Path, db: str, by: str) -> None:
    """Put the profiles of FILE onto their entries: all of them or, with every bad row named, none.

    A row belongs to the entry of its id, if that has one of its names, else to the one entry of its name.

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
