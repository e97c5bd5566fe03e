"""The section Sources: the works, the slips taken from them, and which slips are one witness."""

from app.web.sources import editing, listing, presence, slipforms, sliplists, sorting, witnesses
from app.web.sources.section import blueprint

__all__ = ["blueprint", "editing", "listing", "presence", "slipforms", "sliplists", "sorting", "witnesses"]
