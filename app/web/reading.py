"""The section Reading."""

from flask import Blueprint, render_template

__all__ = ["blueprint"]

blueprint = Blueprint("reading", __name__, url_prefix="/reading")


@blueprint.get("")
def index() -> str:
    """The first page of the section."""
    return render_template("section.html", title="Reading")
