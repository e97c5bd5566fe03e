"""The section Publish: what goes out, what is missing first, and the termbase's own statement of itself."""

from app.web.publish import making, pages, proofing, termbase
from app.web.publish.section import blueprint

__all__ = ["blueprint", "making", "pages", "proofing", "termbase"]
