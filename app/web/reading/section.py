"""The section's blueprint."""

from flask import Blueprint

__all__ = ["blueprint"]

blueprint = Blueprint("reading", __name__, url_prefix="/reading")
