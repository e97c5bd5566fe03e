"""The section's blueprint."""

from flask import Blueprint

__all__ = ["blueprint"]

blueprint = Blueprint("publish", __name__, url_prefix="/publish")
