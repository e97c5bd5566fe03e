"""The Sources section: the works, their slips, and which slips are one witness."""

from app.web.blueprints import sources as blueprint
from app.web.sources import slips, sorting, sources

__all__ = ["blueprint", "slips", "sorting", "sources"]
