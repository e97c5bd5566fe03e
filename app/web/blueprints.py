"""The section's blueprint."""

from flask import Blueprint

__all__ = ["entries", "pages", "publish", "reading", "sources"]


entries = Blueprint("entries", __name__, url_prefix="/entries")


# The section's blueprint.

pages = Blueprint("pages", __name__, url_prefix="/pages")


# The section's blueprint.

publish = Blueprint("publish", __name__, url_prefix="/publish")


# The section's blueprint.

sources = Blueprint("sources", __name__, url_prefix="/sources")


# The section's blueprint.

reading = Blueprint("reading", __name__, url_prefix="/reading")
