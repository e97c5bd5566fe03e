"""The section's blueprint."""

from flask import Blueprint

__all__ = ["blueprint"]

blueprint = Blueprint("sources", __name__, url_prefix="/sources")
