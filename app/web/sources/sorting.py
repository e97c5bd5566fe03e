"""Sorting slips to names: one slip at a time, with its likely names on digit keys."""

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.blueprints import sources as blueprint
from app.web.language import gettext as _
from app.web.sources.naming import offers
from termbase.acts.sources import sort_slip
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, WordholdError
from termbase.fields.notes import CodedText
from termbase.record.sources import Slip, Source
from termbase.store.slip_lists import count_unsorted, next_unsorted, slip_rows

__all__: list[str] = []


@blueprint.get("/unsorted")
def unsorted() -> str | Response:
    """Show the requested slip, or the next unsorted one."""
    source_id = request.args.get("source", "")
    slip_id = request.args.get("slip", "") or next_unsorted(
        context.reader(), request.args.get("after", ""), source_id
    )
    if not slip_id:
        return render_template("sources/all_sorted.html", source=_source(source_id))
    return _page(slip_id, source_id)


@blueprint.post("/unsorted/<slip_id>")
def sort(slip_id: str) -> str | Response | tuple[str, int]:
    """Sort a slip to a name and continue with the next."""
    source_id = request.form.get("source", "")
    term_id = request.form.get("term", "").strip()
    slip = context.reader().get(Slip, slip_id)
    try:
        if not term_id:
            raise BadInput(
                _("No name is selected."), where="term", fix=_("Type a name and choose from the results.")
            )
        with context.act(_deed(slip)) as act:
            sort_slip(act, slip_id, term_id)
    except BadInput as error:
        return _page(slip_id, source_id, error), 400
    return context.done(act, _next_address(slip_id, source_id))


@blueprint.post("/unsorted/<slip_id>/later")
def later(slip_id: str) -> Response:
    """Leave a slip for later."""
    return redirect(_next_address(slip_id, request.form.get("source", "")), 303)


def _page(slip_id: str, source_id: str, error: WordholdError | None = None) -> str:
    reader = context.reader()
    row = slip_rows(reader, [reader.get(Slip, slip_id).id])[0]
    typed = request.values.get("find", "").strip()
    return render_template(
        "sources/unsorted.html",
        row=row,
        typed=typed,
        offers=offers(reader, typed or row.slip.name),
        left=count_unsorted(reader, source_id),
        source=_source(source_id),
        error=error,
    )


def _source(source_id: str) -> Source | None:
    return context.reader().get(Source, source_id) if source_id else None


def _next_address(slip_id: str, source_id: str) -> str:
    return url_for("sources.unsorted", after=slip_id, source=source_id or None)


def _deed(slip: Slip) -> CodedText:
    if slip.name:
        return Deed.SLIP_OF_NAME_SORTED(id=slip.id, name=slip.name)
    return Deed.SLIP_SORTED(id=slip.id)
