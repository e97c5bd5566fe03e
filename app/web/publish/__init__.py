"""The section Publish: outputs, what is still missing, and the details of the termbase."""

from app.web.blueprints import publish as blueprint
from app.web.publish import jobs, pages, termbase

__all__ = ["blueprint", "jobs", "pages", "termbase"]
