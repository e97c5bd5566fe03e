"""The command line: what one can do with a termbase, command by command."""

import click

from app.commands import citations, linked, tables  # noqa: F401 - they add themselves to groups
from app.commands.demo import demo
from app.commands.finding import find, proof, reindex, show
from app.commands.importing import import_
from app.commands.judging import judge
from app.commands.keeping import backup, restore
from app.commands.languages import languages
from app.commands.making import new, serve, undo, upgrade
from app.commands.merging import merge, part
from app.commands.pages import page
from app.commands.publishing import export, publish
from app.commands.rules import profiles, rules
from app.commands.sources import source

__all__ = ["main"]


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(package_name="wordhold")
def main() -> None:
    """Keeps the names of a lost wrestling tradition: from old print to a glossary that can be trusted.

    Start with: wordhold demo
    """


for command in (
    demo,
    new,
    serve,
    upgrade,
    undo,
    source,
    page,
    find,
    reindex,
    show,
    judge,
    proof,
    merge,
    part,
    export,
    import_,
    publish,
    backup,
    restore,
    rules,
    profiles,
    languages,
):
    main.add_command(command)
