"""The section Publish."""

from flask import Blueprint, render_template

__all__ = ["blueprint"]

blueprint = Blueprint("publish", __name__, url_prefix="/publish")


@blueprint.get("")
def index() -> str:
    """The first page of the section."""
    return render_template("section.html", title="Publish")
