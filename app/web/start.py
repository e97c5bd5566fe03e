"""The start page: three ways to start an empty termbase; later the progress and the next tasks."""

from dataclasses import replace
from functools import partial

from flask import Blueprint, render_template, url_for
from werkzeug.wrappers import Response

from app.web import context, progress, proof
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.recordforms import RecordForm
from termbase.acts.termbase import save_person, save_termbase
from termbase.codes.deeds import Deed
from termbase.demo.loading import fill_empty, load
from termbase.errors import BadInput, Problems
from termbase.messages import message
from termbase.overviews.progress import is_empty, is_unnamed, overview
from termbase.record.people import UNNAMED, Person, Role, Termbase
from termbase.store.engine import Store

__all__ = ["FORM", "blueprint"]

blueprint = Blueprint("begin", __name__)

LAST_ACTS = 6
FORM = RecordForm(Termbase, only=("title", "working_language", "vernaculars"))


@blueprint.get("/")
def index() -> str:
    """Show the start page."""
    reader = context.reader()
    if context.cached("empty", is_empty):
        return _ways(_own_form(context.termbase()))
    checked, fresh = proof.known()
    return render_template(
        "begin/overview.html",
        now=context.cached("overview", overview),
        acts=reader.last_acts(LAST_ACTS),
        checked=checked,
        fresh=fresh,
    )


@blueprint.post("/begin/demo")
def demo() -> Response:
    """Load the invented demo into the empty termbase."""
    if not is_unnamed(context.reader()):
        raise BadInput(
            _("This termbase already has a title or records."),
            where="demo",
            fix=_("Create the demo in another place: wordhold demo"),
        )
    return progress.to_job(
        progress.start(message("The invented demo"), partial(_fill, context.store()), back="/")
    )


@blueprint.post("/begin/own")
def own() -> str | Response | tuple[str, int]:
    """Save the termbase's title, languages and first person, and redirect to its first entry."""
    form = Form.posted()
    try:
        with context.act(Deed.TERMBASE_BEGUN()) as this, Problems() as problems:
            saved = save_termbase(this, FORM.read(form, this.termbase(), problems))
            name = form.line("name")
            if name and name not in {p.name for p in this.all(Person)}:
                roles = tuple(role for role in Role if role.value in form.all("roles"))
                save_person(this, Person("", name, roles=roles))
    except BadInput as error:
        return _ways(FORM.refused(form, error)), 400
    response = context.done(this, url_for("entries.new") if saved.vernaculars else "/")
    if name:
        context.choose_person(response, name)
    return response


@blueprint.get("/cautions")
def cautions() -> str:
    """Show the cautions in full."""
    return render_template("cautions.html")


def _ways(form: Form) -> str:
    """Show the ways to start; the demo is offered only if the termbase has no title yet."""
    unnamed = context.cached("unnamed", is_unnamed)
    return render_template("begin/ways.html", form=form, roles=tuple(Role), unnamed=unnamed)


def _fill(store: Store, job: progress.Job) -> progress.Finished:
    job.tell(0, 0, message("Adding entries, slips, pages and trials"))
    fill_empty(store, load())
    return progress.Finished(message("The demo is in the termbase. Everything in it is invented."), url="/")


def _own_form(termbase: Termbase) -> Form:
    termbase_shown = replace(termbase, title="") if termbase.title == UNNAMED else termbase
    return Form.of(
        **FORM.filled(termbase_shown),
        name=context.current_person(),
        roles=(Role.RESEARCHER.value,),
    )
