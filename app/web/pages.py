"""The section Pages."""

from flask import Blueprint, render_template

__all__ = ["blueprint"]

blueprint = Blueprint("pages", __name__, url_prefix="/pages")


@blueprint.get("")
def index() -> str:
    """The first page of the section."""
    return render_template("section.html", title="Pages")
