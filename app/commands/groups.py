"""Groups whose commands are in several modules, each read when it is needed: export, import, source."""

from collections.abc import Mapping
from importlib import import_module
from typing import Any

import click

from termbase.loading import without_collector

__all__ = ["export", "import_", "source"]


class _LateGroup(click.Group):
    """A group that knows in which module of `app.commands` each of its commands is."""

    def __init__(self, *args: Any, modules: Mapping[str, str], **more: Any) -> None:
        super().__init__(*args, **more)
        self._modules = modules

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(self._modules)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in self._modules:
            return None
        with without_collector():
            import_module(f"app.commands.{self._modules[cmd_name]}")
        return self.commands[cmd_name]


@click.group(
    cls=_LateGroup,
    modules={
        "tbx": "exporting",
        "csv": "tables",
        "xlsx": "tables",
        "skos": "linked",
        "citations": "citations",
    },
)
def export() -> None:
    """Exchange files for other systems."""


@click.group(
    "import",
    cls=_LateGroup,
    modules={"tbx": "importing", "csv": "tables", "xlsx": "tables", "citations": "citations"},
)
def import_() -> None:
    """Take files of other systems in; with --dry-run only look at what that would do."""


@click.group(
    cls=_LateGroup,
    modules={
        "add": "sources", "list": "sources", "patterns": "sources", "remove": "sources", "cite": "citations",
    },
)  # fmt: skip
def source() -> None:
    """Works that the record rests on."""
