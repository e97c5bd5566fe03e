"""The command line: every command, and the module that defines it.

Each command's module is imported only when that command runs: every module needs other libraries, and
importing all of them would slow every command down by a second. `wordhold --help` imports none, so the first
sentence of each command's help is repeated here; a test checks that the two agree.
"""

from importlib import import_module
from typing import Final

import click

from termbase.loading import without_collector

__all__ = ["PLACES", "SUMMARIES", "main"]

PLACES: Final[dict[str, str]] = {
    "demo": "serving",
    "new": "termbase",
    "serve": "serving",
    "upgrade": "termbase",
    "undo": "termbase",
    "source": "groups",
    "page": "pages",
    "find": "entries",
    "reindex": "entries",
    "show": "showing",
    "judge": "rules",
    "proof": "showing",
    "merge": "merging",
    "part": "merging",
    "export": "groups",
    "import": "groups",
    "publish": "groups",
    "backup": "backups",
    "restore": "backups",
    "repair": "backups",
    "digest": "backups",
    "rules": "rules",
    "profiles": "rules",
    "languages": "languages",
}
"""The module of `app.commands` that defines each command or group."""

SUMMARIES: Final[dict[str, str]] = {
    "demo": "Create the invented demo (termbase, TBX file, PDF glossary) and serve it.",
    "new": "Create an empty termbase.",
    "serve": "Serve a termbase to the browser until you press Ctrl+C.",
    "upgrade": "Upgrade a termbase from an older version.",
    "undo": "Undo a change: the latest one, or the one whose number you give.",
    "source": "Sources: word-lists, newspapers, recordings and other works.",
    "page": "Word-list pages and their lines.",
    "find": "Find entries by any form of a name in any language: mutated, inflected or in old print.",
    "reindex": "Rebuild the search index after a language file or the program has changed.",
    "show": "Show an entry with its slips, evidence and verdicts.",
    "judge": "Judge one technique, or all of them, under the rule codes, and give the reasons.",
    "proof": "List what is wrong or missing before publication.",
    "merge": "Merge the entry OTHER into the entry THIS; nothing is lost.",
    "part": "Separate an entry from the one it was merged into; later additions stay with that one.",
    "export": "Export data for other programs.",
    "import": "Import files from other programs; with --dry-run, only preview the import.",
    "publish": "Publish a book, cards, an e-book or a web site for readers.",
    "backup": "Back up everything (records, pictures, history) to one zip FILE.",
    "restore": "Restore a backup FILE to a new database.",
    "repair": "Check a termbase for damage and repair what can be repaired.",
    "digest": "Print a checksum of all records: equal checksums mean equal records.",
    "rules": "Import and export rule codes as TOML files.",
    "profiles": "Import and export technique profiles as TOML files.",
    "languages": "Alphabets, mutations and old print, by language.",
}
"""The first sentence of each command's help."""


class _Commands(click.Group):
    """The commands of `PLACES`, each imported when it is needed."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(PLACES)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in PLACES:
            return None
        with without_collector():
            module = import_module(f"app.commands.{PLACES[cmd_name]}")
        command = getattr(module, f"{cmd_name}_" if cmd_name == "import" else cmd_name)
        return command if isinstance(command, click.Command) else None

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        limit = formatter.width - 6 - max(len(name) for name in PLACES)  # the width click allows
        with formatter.section("Commands"):
            formatter.write_dl([
                (name, click.Command(name, help=SUMMARIES[name]).get_short_help_str(limit))
                for name in self.list_commands(ctx)
            ])  # fmt: skip


@click.group(
    cls=_Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100}
)
@click.version_option(package_name="wordhold")
def main() -> None:
    """Take the names of a lost wrestling tradition from old print to a glossary that people can trust.

    Start with: wordhold demo
    """
