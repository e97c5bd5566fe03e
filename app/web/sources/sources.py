"""Adding, editing and deleting a source."""

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.blueprints import sources as blueprint
from app.web.forms import Form
from app.web.language import date_words, translated
from app.web.language import gettext as _
from app.web.recordforms import RecordForm
from app.web.sources.listing import page_of
from termbase.acts.sources import remove_source, save_source
from termbase.codes.deeds import Deed
from termbase.dates import edtf
from termbase.errors import BadInput, Conflict, InUse, Problems
from termbase.messages import joined, message
from termbase.record.sources import Source, SourceKind

__all__ = ["FORM", "source_form"]

FORM = RecordForm(
    Source,
    without={"pattern": "It has a page of its own."},
    unsaid={"kind": (message("Choose what kind of source it is."), message("Choose one from the list."))},
)
NEW = Source(id="", label="", kind=SourceKind.OTHER, title="")
Page = str | Response | tuple[str, int]


@blueprint.get("/new")
def new() -> str:
    """Show the form for a new source, prefilled from the address."""
    asked = {name: text for name, text in request.args.items() if name in FORM.filled(NEW)}
    return _form(Form.of(**{**FORM.filled(NEW), "kind": SourceKind.NEWSPAPER.value, **asked}), None)


@blueprint.post("/new")
def add() -> Page:
    """Add a source."""
    form = Form.posted()
    try:
        with context.act(Deed.SOURCE_ADDED(label=form.line("label"))) as act, Problems() as problems:
            saved = save_source(act, FORM.read(form, NEW, problems))
    except BadInput as error:
        return _form(FORM.refused(form, error), None), 400
    return context.done(act, url_for("sources.show", source_id=saved.id))


@blueprint.get("/<source_id>/edit")
def edit(source_id: str) -> str:
    """Show the form for a source."""
    source = context.reader().get(Source, source_id)
    return _form(source_form(source), source)


@blueprint.post("/<source_id>/edit")
def change(source_id: str) -> Page:
    """Save a source; its line pattern, which has its own page, is kept."""
    before = context.reader().get(Source, source_id)
    form = Form.posted()
    try:
        with context.act(Deed.SOURCE_CHANGED(label=form.line("label"))) as act, Problems() as problems:
            save_source(act, FORM.read(form, before, problems))
    except BadInput as error:
        return _form(FORM.refused(form, error), before), 400
    except Conflict as error:
        now = context.reader().get(Source, source_id)
        return _form(form.against(source_form(now), error), now), 409
    return context.done(act, url_for("sources.show", source_id=source_id))


@blueprint.post("/<source_id>/remove")
def remove(source_id: str) -> Page:
    """Delete a source that nothing depends on."""
    source = context.reader().get(Source, source_id)
    try:
        with context.act(Deed.SOURCE_REMOVED(label=source.label)) as act:
            remove_source(act, source_id)
    except InUse as error:
        return page_of(source_id, error=error), 409
    return context.done(act, url_for("sources.index"))


@blueprint.get("/date")
def date() -> dict[str, str]:
    """Return an EDTF date in words, or what is wrong with it; for the script that shows it while typing."""
    text = request.args.get("edtf", "").strip()
    if not text:
        return {"words": "", "error": ""}
    try:
        return {"words": edtf.readable(edtf.parse(text), date_words()), "error": ""}
    except BadInput as error:
        return {"words": "", "error": translated(joined((error.what, error.fix)))}


def source_form(source: Source) -> Form:
    """Return the form filled from a source."""
    return Form.of(**FORM.filled(source))


def _form(form: Form, source: Source | None) -> str:
    return render_template(
        "sources/source_form.html",
        form=form,
        source=source,
        kinds=[(k.value, _(k.value)) for k in SourceKind],
    )
