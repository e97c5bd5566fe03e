"""The first page: how to begin while the termbase is empty, what is to do afterwards."""

from flask import Blueprint, render_template

__all__ = ["blueprint"]

blueprint = Blueprint("begin", __name__)


@blueprint.get("/")
def index() -> str:
    """The first page."""
    return render_template("begin.html")


@blueprint.get("/cautions")
def cautions() -> str:
    """The cautions, in full."""
    return render_template("cautions.html")
