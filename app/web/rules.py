"""The section Rules."""

from flask import Blueprint, render_template

__all__ = ["blueprint"]

blueprint = Blueprint("rules", __name__, url_prefix="/rules")


@blueprint.get("")
def index() -> str:
    """The first page of the section."""
    return render_template("section.html", title="Rules")
