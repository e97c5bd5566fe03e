"""Adding slips from a source one after another, editing a slip, and the list of all slips."""

from flask import Response as FlaskResponse
from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context, lists
from app.web.blueprints import sources as blueprint
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.recordforms import RecordForm
from app.web.sources.sorting import offers
from termbase.acts.sources import remove_slip, save_slip
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, Conflict, Problems
from termbase.fields.notes import CodedText
from termbase.messages import message
from termbase.record.sources import Certainty, Presence, Slip, SlipKind, Source, locator
from termbase.store.slip_lists import (
    SLIP_ORDERS,
    SlipFilter,
    SlipOrder,
    SlipRow,
    count_slips,
    list_slips,
    list_sources,
)

__all__ = ["FORM"]


_CHOOSE = message("Choose one from the list.")
FORM = RecordForm(
    Slip,
    without={
        "source_id": "The form is on the page of its source.",
        "image_id": "A picture is added with the page that the slip quotes.",
        "joined_to": "Witnesses are joined on a separate page.",
        "apart": "Witnesses are separated on a separate page.",
    },
    names={"term_id": "term"},
    beside={"term_id": "term_find"},
    unsaid={
        "kind": (message("Choose the kind of quotation."), _CHOOSE),
        "certainty": (message("Say how certain it is."), _CHOOSE),
    },
)
KEPT = ("page", "column", "date", "place", "kind")
"""Fields kept in the form for the next slip, since slips are copied from the top of a page to the bottom."""
Page = str | Response | tuple[str, int]


HEAD = (
    "id", "source", "date", "locator", "kind", "certainty", "name as printed", "quotation", "place",
    "entry", "name", "language", "note", "how the name is there",
)  # fmt: skip


@blueprint.get("/<source_id>/slips/new")
def new_slip(source_id: str) -> str:
    """Show the form for a new slip."""
    source = context.reader().get(Source, source_id)
    kept = {name: request.args.get(name, "") for name in KEPT}
    values = {**FORM.filled(Slip("", source_id, "")), "term_find": ""}
    values |= {name: value for name, value in kept.items() if value}
    return _form(Form.of(**values), source, None)


@blueprint.post("/<source_id>/slips/new")
def add_slip(source_id: str) -> Page:
    """Add a slip and continue with the next one."""
    source = context.reader().get(Source, source_id)
    form = Form.posted()
    if form.text("look"):
        return _form(form, source, None)
    try:
        problems = Problems()
        slip = FORM.read(form, Slip(id="", source_id=source_id, text=""), problems)
        with context.act(_deed_of_adding(source, slip.name.strip())) as act, problems:
            save_slip(act, slip)
    except BadInput as error:
        return _form(FORM.refused(form, error), source, None), 400
    kept = {name: form.line(name) for name in KEPT}
    address = url_for("sources.new_slip", source_id=source_id)
    return context.done(act, lists.address(address, **kept))


@blueprint.get("/slips/<slip_id>")
def edit_slip(slip_id: str) -> str:
    """Show the form for a slip."""
    reader = context.reader()
    slip = reader.get(Slip, slip_id)
    return _form(_slip_form(slip), reader.get(Source, slip.source_id), slip)


@blueprint.post("/slips/<slip_id>")
def change_slip(slip_id: str) -> Page:
    """Change a slip."""
    reader = context.reader()
    before = reader.get(Slip, slip_id)
    source = reader.get(Source, before.source_id)
    form = Form.posted()
    if form.text("look"):
        return _form(form, source, before)
    try:
        problems = Problems()
        slip = FORM.read(form, before, problems)
        with context.act(_deed_of_change(slip_id, slip.name.strip())) as act, problems:
            save_slip(act, slip)
    except BadInput as error:
        return _form(FORM.refused(form, error), source, before), 400
    except Conflict as error:
        current = context.reader().get(Slip, slip_id)
        return _form(form.against(_slip_form(current), error), source, current), 409
    return context.done(act, url_for("sources.show", source_id=source.id, _anchor=slip_id))


@blueprint.post("/slips/<slip_id>/remove")
def drop_slip(slip_id: str) -> Response:
    """Delete a slip; it can be undone."""
    slip = context.reader().get(Slip, slip_id)
    with context.act(_deed_of_deletion(slip_id, slip.name.strip())) as act:
        remove_slip(act, slip_id)
    return context.done(act, url_for("sources.show", source_id=slip.source_id))


@blueprint.get("/terms")
def terms() -> str:
    """Return the suggested names for the typed text, as a fragment with radio buttons."""
    result = offers(context.reader(), request.args.get("q", ""), request.args.get("chosen", ""))
    return render_template("sources/offers.html", offers=result, chosen=request.args.get("chosen", ""))


@blueprint.get("/slips/new")
def choose_source() -> Response:
    """Redirect to the list of sources if no source is given."""
    return redirect(url_for("sources.index"), 303)


def _form(form: Form, source: Source, slip: Slip | None) -> str:
    chosen = form.line("term")
    typed = form.line("term_find") or ("" if chosen else form.line("name"))
    return render_template(
        "sources/slip_form.html",
        form=form,
        source=source,
        slip=slip,
        chosen=chosen,
        offers=offers(context.reader(), typed, chosen),
        kinds=[(k.value, _(k.value)) for k in SlipKind],
        certainties=[(c.value, _(c.value)) for c in Certainty],
        presences=[(p.value, _(p.words)) for p in Presence],
    )


def _slip_form(slip: Slip) -> Form:
    return Form.of(**FORM.filled(slip), term_find="")


def _deed_of_adding(source: Source, name: str) -> CodedText:
    if name:
        return Deed.SLIP_OF_NAME_TAKEN(label=source.label, name=name)
    return Deed.SLIP_TAKEN(label=source.label)


def _deed_of_change(slip_id: str, name: str) -> CodedText:
    if name:
        return Deed.SOURCE_SLIP_OF_NAME_CHANGED(id=slip_id, name=name)
    return Deed.SOURCE_SLIP_CHANGED(id=slip_id)


def _deed_of_deletion(slip_id: str, name: str) -> CodedText:
    if name:
        return Deed.SOURCE_SLIP_OF_NAME_REMOVED(id=slip_id, name=name)
    return Deed.SOURCE_SLIP_REMOVED(id=slip_id)


@blueprint.get("/slips")
def slips() -> str:
    """Show the list of all slips, filtered and sorted by the address."""
    reader = context.reader()
    wanted, order, descending = _requested()
    part = lists.part_of(count_slips(reader, wanted))
    rows = list_slips(reader, wanted, order, descending=descending, offset=part.offset, limit=part.limit)
    template = "sources/slip_rows.html" if lists.is_part() else "sources/slips.html"
    return render_template(
        template,
        rows=rows,
        part=part,
        order=(order, descending),
        wanted=wanted,
        sources=[(row.source.id, row.source.label) for row in list_sources(reader)],
        kinds=[k.value for k in SlipKind],
        certainties=[c.value for c in Certainty],
        address=lists.address,
        narrowed=wanted != SlipFilter(),
    )


@blueprint.get("/slips.csv")
def export_slips() -> FlaskResponse:
    """Return the filtered list as CSV."""
    wanted, order, descending = _requested()
    rows = list_slips(context.reader(), wanted, order, descending=descending)
    return lists.as_csv("slips.csv", HEAD, (_cells(row) for row in rows))


def _requested() -> tuple[SlipFilter, SlipOrder, bool]:
    args = request.args
    wanted = SlipFilter(
        args.get("source", ""), args.get("kind", ""), args.get("certainty", ""), args.get("sorting", ""),
        lists.typed(),
    )  # fmt: skip
    order: SlipOrder = next((known for known in SLIP_ORDERS if known == args.get("sort")), "date")
    return wanted, order, args.get("desc") == "1"


def _cells(row: SlipRow) -> tuple[object, ...]:
    slip = row.slip
    return (
        slip.id, row.source.label, row.date, locator(slip), slip.kind.value, slip.certainty.value, slip.name,
        slip.text, slip.place, row.entry_id, row.term, row.term_language, slip.note,
        slip.presence.value,
    )  # fmt: skip
