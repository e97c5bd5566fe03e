"""The section Entries."""

from flask import Blueprint, render_template

__all__ = ["blueprint"]

blueprint = Blueprint("entries", __name__, url_prefix="/entries")


@blueprint.get("")
def index() -> str:
    """The first page of the section."""
    return render_template("section.html", title="Entries")
