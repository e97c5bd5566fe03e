"""The current person, the interface language, and undoing what was just done."""

from flask import Blueprint, redirect, request
from werkzeug.wrappers import Response

from app.web import context
from app.web.language import choose_language
from app.web.language import gettext as _
from termbase.acts import history
from termbase.codes.deeds import undone
from termbase.errors import NotFound

__all__ = ["blueprint"]

blueprint = Blueprint("person", __name__)


@blueprint.post("/who")
def choose() -> Response:
    """Remember the current person in this browser."""
    response = redirect(context.local_path(request.form.get("back", "/")), 303)
    context.choose_person(response, request.form.get("name", ""))
    return response


@blueprint.post("/language")
def speak() -> Response:
    """Remember the interface language in this browser."""
    response = redirect(context.local_path(request.form.get("back", "/")), 303)
    choose_language(response, request.form.get("language", ""))
    return response


@blueprint.post("/undo/<int:act_id>")
def undo(act_id: int) -> Response:
    """Undo an act; the page returned to offers to redo it."""
    changes = context.reader().changes_of(act_id)
    if not changes:
        raise NotFound(_("There is no such change to undo."), where=str(act_id), fix=_("Check the history."))
    with context.act(undone(changes[0].act.what, act_id), undoes=act_id) as this:
        history.undo(this, act_id)
    return context.done(this, context.local_path(request.form.get("back", "/")))
