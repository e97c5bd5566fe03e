"""The section's blueprint."""

from flask import Blueprint

__all__ = ["blueprint"]

blueprint = Blueprint("pages", __name__, url_prefix="/pages")
