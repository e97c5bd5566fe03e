"""The Sources section: the works, their slips, and which slips are one witness."""

from app.web.sources import editing, listing, presence, slipforms, sliplists, sorting, witnesses
from app.web.sources.section import blueprint

__all__ = ["blueprint", "editing", "listing", "presence", "slipforms", "sliplists", "sorting", "witnesses"]
