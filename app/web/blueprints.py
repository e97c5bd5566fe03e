"""The section's blueprint."""

from flask import Blueprint

__all__ = ["blueprint"]

blueprint = Blueprint("entries", __name__, url_prefix="/entries")
