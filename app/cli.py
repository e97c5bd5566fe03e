"""The command line: what one can do with a termbase, command by command.

The module of a command is read when that command is asked for: each needs libraries of its own, and all of
them together would make every command wait a second.
"""

from importlib import import_module
from typing import Final

import click

__all__ = ["PLACES", "main"]

PLACES: Final[dict[str, tuple[str, ...]]] = {
    "demo": ("demo",),
    "new": ("making",),
    "serve": ("making",),
    "upgrade": ("making",),
    "undo": ("making",),
    "source": ("sources", "citations"),
    "page": ("pages",),
    "find": ("finding",),
    "reindex": ("finding",),
    "show": ("finding",),
    "judge": ("judging",),
    "proof": ("finding",),
    "merge": ("merging",),
    "part": ("merging",),
    "export": ("publishing", "tables", "citations", "linked"),
    "import": ("importing", "tables", "citations"),
    "publish": ("publishing",),
    "backup": ("keeping",),
    "restore": ("keeping",),
    "rules": ("rules",),
    "profiles": ("rules",),
    "languages": ("languages",),
}
"""The modules of `app.commands` where each command is: its own first, then those that add to its group."""


class _Commands(click.Group):
    """The commands of `PLACES`, each read when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(PLACES)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in PLACES:
            return None
        own, *_ = (import_module(f"app.commands.{name}") for name in PLACES[cmd_name])
        found = getattr(own, f"{cmd_name}_" if cmd_name == "import" else cmd_name)
        return found if isinstance(found, click.Command) else None


@click.group(
    cls=_Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100}
)
@click.version_option(package_name="wordhold")
def main() -> None:
    """Keeps the names of a lost wrestling tradition: from old print to a glossary that can be trusted.

    Start with: wordhold demo
    """
