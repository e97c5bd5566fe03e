"""The command groups `export`, `import`, `publish` and `source`; their commands are imported when needed."""

from collections.abc import Mapping
from importlib import import_module
from typing import ClassVar

import click

from exports.outputs import of_group
from termbase.loading import without_collector

__all__ = ["export", "import_", "publish", "source"]


class _LateGroup(click.Group):
    """A group that imports the module of a command, in `app.commands`, when that command is needed."""

    modules: ClassVar[Mapping[str, str]]

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(self.modules)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in self.modules:
            return None
        with without_collector():
            import_module(f"app.commands.{self.modules[cmd_name]}")
        return self.commands[cmd_name]


class _Exports(_LateGroup):
    modules: ClassVar[Mapping[str, str]] = {each.name: "outputs" for each in of_group("export")}


class _Publications(_LateGroup):
    modules: ClassVar[Mapping[str, str]] = {
        "proof": "outputs", **{each.name: "outputs" for each in of_group("publish")},
    }  # fmt: skip


class _Imports(_LateGroup):
    modules: ClassVar[Mapping[str, str]] = {
        "tbx": "importing", "csv": "tables", "xlsx": "tables", "citations": "citations",
    }  # fmt: skip


class _Sources(_LateGroup):
    modules: ClassVar[Mapping[str, str]] = {
        "add": "sources", "list": "sources", "patterns": "sources", "remove": "sources", "cite": "citations",
    }  # fmt: skip


@click.group(cls=_Exports)
def export() -> None:
    """Export data for other programs."""


@click.group(cls=_Publications)
def publish() -> None:
    """Publish a book, cards, an e-book or a web site for readers."""


@click.group("import", cls=_Imports)
def import_() -> None:
    """Import files from other programs; with --dry-run, only preview the import."""


@click.group(cls=_Sources)
def source() -> None:
    """Sources: word-lists, newspapers, recordings and other works."""
