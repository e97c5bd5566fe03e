"""Relating an entry to others."""

from flask import redirect, request, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.blueprints import entries as blueprint
from app.web.entries.article import article_page
from app.web.forms import Form
from termbase.acts import entries
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, Conflict
from termbase.search.calling import entry_called

__all__ = ["form_page", "save"]


def form_page(entry_id: str) -> str:
    """Show the entry's page with the form for its relations."""
    return article_page(context.reader(), entry_id, "relations", Form.of(kind="broader", target=""))


def save(entry_id: str) -> str | Response | tuple[str, int]:
    """Add a relation; the form stays open for the next one."""
    form = Form.posted()
    if not form.line("target"):
        return redirect(url_for("entries.show", entry_id=entry_id, _anchor="relations"), 303)
    try:
        with context.act(Deed.RELATION_ADDED(id=entry_id)) as this:
            entries.relate(
                this, entry_id, form.line("kind"), entry_called(this, form.line("target"), "target")
            )
    except (BadInput, Conflict) as error:
        shown = form.refused(error, {"relations": "target"})
        return article_page(context.reader(), entry_id, "relations", shown), 400
    return context.done(this, url_for("entries.show", entry_id=entry_id, _anchor="relations"))


@blueprint.post("/<entry_id>/unrelate")
def unrelate(entry_id: str) -> Response:
    """Remove a relation, whichever side it is stored on."""
    with context.act(Deed.RELATION_REMOVED(id=entry_id)) as this:
        entries.unrelate(this, entry_id, request.form.get("kind", ""), request.form.get("target", ""))
    return context.done(this, url_for("entries.show", entry_id=entry_id, _anchor="relations"))
