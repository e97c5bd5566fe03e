"""The section Publish: outputs, what is missing first, and the details of the termbase."""

from app.web.publish import jobs, pages, proofing, termbase
from app.web.publish.section import blueprint

__all__ = ["blueprint", "jobs", "pages", "proofing", "termbase"]
