"""The command line: what one can do with a termbase, command by command.

The module of a command is read when that command is asked for: each needs libraries of its own, and all of
them together would make every command wait a second. `wordhold --help` reads none of them, so the first
sentence of each command's help is kept here too; a test holds the two equal.
"""

from importlib import import_module
from typing import Final

import click

from termbase.loading import without_collector

__all__ = ["PLACES", "SUMMARIES", "main"]

PLACES: Final[dict[str, str]] = {
    "demo": "demo",
    "new": "making",
    "serve": "serving",
    "upgrade": "making",
    "undo": "making",
    "source": "groups",
    "page": "pages",
    "find": "finding",
    "reindex": "finding",
    "show": "showing",
    "judge": "judging",
    "proof": "showing",
    "merge": "merging",
    "part": "merging",
    "export": "groups",
    "import": "groups",
    "publish": "groups",
    "backup": "keeping",
    "restore": "keeping",
    "repair": "keeping",
    "digest": "keeping",
    "rules": "rules",
    "profiles": "rules",
    "languages": "languages",
}
"""The module of `app.commands` where each command or group is; groups of several modules read these late."""

SUMMARIES: Final[dict[str, str]] = {
    "demo": "Make the invented demo: termbase, TBX file and glossary PDF; then serve it.",
    "new": "Make an empty termbase.",
    "serve": "Serve a termbase to the browser until interrupted (Ctrl+C).",
    "upgrade": "Bring a termbase made by an older version up to this one.",
    "undo": "Take back an act (the last one, unless its number is given).",
    "source": "Works that the record rests on.",
    "page": "Word-list pages and their lines.",
    "find": "Find entries by a name in any form and any language: mutated, inflected, in old print.",
    "reindex": "Rebuild the search index after a language file or the program has changed.",
    "show": "Show an entry with its slips, evidence and verdicts.",
    "judge": "Judge a technique, or all of them, under the rule codes: is it within the rules, and why.",
    "proof": "List what is wrong or missing before publication.",
    "merge": "Make the entry OTHER part of THIS: all that belongs to it goes over, nothing is lost.",
    "part": "Part an entry again from the one it was merged into; what was added since stays there.",
    "export": "Exchange files for other systems.",
    "import": "Take files of other systems in; with --dry-run only look at what that would do.",
    "publish": "Books and sites for readers.",
    "backup": "Write everything (records, pictures, history) into one zip, FILE.",
    "restore": "Make the termbase that a backup, FILE, holds, in a new database.",
    "repair": "Check a termbase for damage and repair what can be repaired.",
    "digest": "Print a digest of the whole record: equal digests mean equal records.",
    "rules": "Rule codes as TOML files.",
    "profiles": "What techniques need, as TOML files.",
    "languages": "Alphabets, mutations and old print, by language.",
}
"""The first sentence of each command's help."""


class _Commands(click.Group):
    """The commands of `PLACES`, each read when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(PLACES)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in PLACES:
            return None
        with without_collector():
            own = import_module(f"app.commands.{PLACES[cmd_name]}")
        found = getattr(own, f"{cmd_name}_" if cmd_name == "import" else cmd_name)
        return found if isinstance(found, click.Command) else None

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        limit = formatter.width - 6 - max(len(name) for name in PLACES)  # as click leaves for it
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
    """Keeps the names of a lost wrestling tradition: from old print to a glossary that can be trusted.

    Start with: wordhold demo
    """
