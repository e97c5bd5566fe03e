"""The templates, and what they may ask."""

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from exports.glossary.print.book import Words

__all__ = ["environment"]

SHARED = Path(__file__).with_name("templates")


def environment(folder: Path) -> Environment:
    """Templates of a folder beside the shared ones; everything from the record is escaped."""
    made = Environment(
        loader=FileSystemLoader([folder, SHARED]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    made.globals["words"] = Words()
    made.filters["drawn"] = Markup
    return made
