"""The Sources section: the works, their slips, and which slips are one witness."""

from app.web.blueprints import sources as blueprint
from app.web.sources import listing, presence, sliplists, slips, sorting, sources, witnesses

__all__ = ["blueprint", "listing", "presence", "sliplists", "slips", "sorting", "sources", "witnesses"]
