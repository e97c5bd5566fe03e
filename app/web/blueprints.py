"""The blueprints of sections whose views are in several modules, or that other sections link to."""

from flask import Blueprint

__all__ = ["entries", "pages", "publish", "reading", "sources"]


entries = Blueprint("entries", __name__, url_prefix="/entries")
pages = Blueprint("pages", __name__, url_prefix="/pages")
publish = Blueprint("publish", __name__, url_prefix="/publish")
sources = Blueprint("sources", __name__, url_prefix="/sources")
reading = Blueprint("reading", __name__, url_prefix="/reading")
