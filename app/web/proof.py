"""The section Proof."""

from flask import Blueprint, render_template

__all__ = ["blueprint"]

blueprint = Blueprint("proof", __name__, url_prefix="/proof")


@blueprint.get("")
def index() -> str:
    """The first page of the section."""
    return render_template("section.html", title="Proof")
