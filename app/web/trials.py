"""The section Trials."""

from flask import Blueprint, render_template

__all__ = ["blueprint"]

blueprint = Blueprint("trials", __name__, url_prefix="/trials")


@blueprint.get("")
def index() -> str:
    """The first page of the section."""
    return render_template("section.html", title="Trials")
