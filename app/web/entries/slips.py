"""Slips on an entry's page: adding, editing, sorting to another name, joining and separating witnesses."""

import re

from flask import request
from werkzeug.wrappers import Response

from app.web import context
from app.web.blueprints import entries as blueprint
from app.web.entries.article import article_page
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.recordforms import RecordForm
from termbase.acts import sources
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, Conflict, Problems
from termbase.record.entries import Entry, head
from termbase.record.sources import Slip, Source
from termbase.search.finding import entry_called
from termbase.store.reading import Reader

__all__ = ["FORM", "form_page", "save"]

FORM = RecordForm(Slip, without={"image_id": "A picture is added with the page that the slip quotes."})
_TERM_ID = re.compile(r"\s*(t\d+)(?:\s|$)")


def form_page(entry_id: str, part_id: str) -> str:
    """Show the entry's page with the form for a slip."""
    reader = context.reader()
    entry = reader.get(Entry, entry_id)
    slip = _new(entry) if part_id == "slip-new" else reader.get(Slip, part_id.removeprefix("slip-"))
    return _page(entry_id, part_id, _filled(slip))


def save(entry_id: str, part_id: str) -> str | Response | tuple[str, int]:
    """Save a slip; the next new one starts from the same source."""
    form = Form.posted()
    new = part_id == "slip-new"
    slip_id = "" if new else part_id.removeprefix("slip-")
    deed = Deed.SLIP_ADDED(id=entry_id) if new else Deed.SLIP_CHANGED(id=slip_id)
    try:
        with context.act(deed) as this, Problems() as problems:
            before = Slip("", "", "") if new else this.get(Slip, slip_id)
            sources.save_slip(this, _read_slip(this, before, form, problems))
    except Conflict as error:
        current = _filled(context.reader().get(Slip, slip_id))
        return _page(entry_id, part_id, form.against(current, error)), 409
    except BadInput as error:
        return _page(entry_id, part_id, FORM.refused(form, error)), 400
    return context.done(this, f"/entries/{entry_id}#{part_id if not new else 'witnesses'}")


@blueprint.post("/<entry_id>/slips/<slip_id>/remove")
def remove_slip(entry_id: str, slip_id: str) -> Response:
    """Delete a slip."""
    with context.act(Deed.SLIP_REMOVED(id=slip_id)) as this:
        sources.remove_slip(this, slip_id)
    return context.done(this, f"/entries/{entry_id}#witnesses")


def _new(entry: Entry) -> Slip:
    """Return a new slip for the entry's first name in use, from the source quoted last."""
    first = entry.terms[-1].id if entry.terms else ""
    return Slip("", request.args.get("source", ""), "", term_id=request.args.get("name", first))


def _page(entry_id: str, part_id: str, form: Form) -> str:
    reader = context.reader()
    entry = reader.get(Entry, entry_id)
    labels = sorted(((s.id, s.label) for s in reader.all(Source)), key=lambda pair: pair[1].casefold())
    quoted = [s for slips in reader.slips_of([entry]).values() for s in slips]
    slip_id = part_id.removeprefix("slip-")
    return article_page(
        reader,
        entry_id,
        part_id,
        form,
        source_options=(("", _("choose")), *labels),
        term_options=(("", _("no name yet")), *((t.id, f"{t.text} ({t.language})") for t in entry.terms)),
        join_options=(("", _("no other")), *((s.id, _short(s)) for s in quoted if s.id != slip_id)),
    )


def _short(slip: Slip) -> str:
    words = slip.text.split()
    return f"{slip.id} {' '.join(words[:8])}{' …' if len(words) > 8 else ''}"


def _filled(slip: Slip) -> Form:
    return Form.of(**FORM.filled(slip), elsewhere="")


def _read_slip(reader: Reader, before: Slip, form: Form, problems: Problems) -> Slip:
    values: dict[str, object] = {} if before.id else {"version": 0}
    typed = problems.value("", _typed_term, reader, form.line("elsewhere"))
    return FORM.read(form, before, problems, values | ({"term_id": typed} if typed else {}))


def _typed_term(reader: Reader, typed: str) -> str:
    """Return the id of the chosen name (`t12 clicied · hank`), or of the head of the typed entry."""
    if not typed:
        return ""
    match = _TERM_ID.match(typed)
    if match:
        return match[1]
    entry = reader.get(Entry, entry_called(reader, typed, "elsewhere"))
    best = next((head(entry, tag) for tag in reversed(entry.languages()) if head(entry, tag)), None)
    return best.id if best else ""
