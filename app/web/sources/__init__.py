"""The Sources section: works and their slips, sorting slips, and joining slips that are one witness."""

from app.web.blueprints import sources as blueprint
from app.web.sources import slips, sorting, sources

__all__ = ["blueprint", "slips", "sorting", "sources"]
