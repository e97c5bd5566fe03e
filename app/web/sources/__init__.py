"""The Sources section: the works, their slips, and which slips are one witness."""

from app.web.sources import listing, presence, sliplists, slips, sorting, sources, witnesses
from app.web.sources.section import blueprint

__all__ = ["blueprint", "listing", "presence", "sliplists", "slips", "sorting", "sources", "witnesses"]
