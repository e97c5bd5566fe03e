"""Ways in: the group `import`; each format adds its command."""

import click

__all__ = ["import_"]


@click.group("import")
def import_() -> None:
    """Take files of other systems in; with --dry-run only look at what that would do."""
