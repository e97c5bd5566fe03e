"""The section Sources."""

from flask import Blueprint, render_template

__all__ = ["blueprint"]

blueprint = Blueprint("sources", __name__, url_prefix="/sources")


@blueprint.get("")
def index() -> str:
    """The first page of the section."""
    return render_template("section.html", title="Sources")
