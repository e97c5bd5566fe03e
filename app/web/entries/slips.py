"""Slips on an entry's page: adding, changing, sorting to another name, joining and parting witnesses."""

import re

from flask import request
from werkzeug.wrappers import Response

from app.web import context
from app.web.entries.article import article_page
from app.web.entries.parts import of_list
from app.web.entries.section import blueprint
from app.web.forms import Form
from app.web.language import gettext as _
from termbase.acts import sources
from termbase.codes.deeds import Deed
from termbase.entries import Entry, head
from termbase.errors import BadInput, Conflict
from termbase.fields import changed_by
from termbase.lookup import entry_called
from termbase.sources import Certainty, Presence, Slip, SlipKind, Source
from termbase.store import Reader

__all__ = ["form_page", "save"]

LINES = ("name", "page", "column", "line", "item", "date", "place")
_TERM_ID = re.compile(r"\s*(t\d+)(?:\s|$)")
_PLACES = {"source": "source_id", "name": "term_id"}


def form_page(entry_id: str, part_id: str) -> str:
    """The entry's page with the form of a slip."""
    reader = context.reader()
    entry = reader.get(Entry, entry_id)
    slip = _new(entry) if part_id == "slip-new" else reader.get(Slip, part_id.removeprefix("slip-"))
    return _page(entry_id, part_id, _filled(slip))


def save(entry_id: str, part_id: str) -> str | Response | tuple[str, int]:
    """Write a slip; the next new one starts from the same source."""
    form = Form.posted()
    new = part_id == "slip-new"
    slip_id = "" if new else part_id.removeprefix("slip-")
    deed = Deed.SLIP_ADDED(id=entry_id) if new else Deed.SLIP_CHANGED(id=slip_id)
    try:
        with context.act(deed) as this:
            before = Slip("", "", "") if new else this.get(Slip, slip_id)
            sources.save_slip(this, _made(this, before, form))
    except Conflict as error:
        now = _filled(context.reader().get(Slip, slip_id))
        return _page(entry_id, part_id, form.against(now, error)), 409
    except BadInput as error:
        return _page(entry_id, part_id, form.refused(error, _PLACES)), 400
    return context.done(this, f"/entries/{entry_id}#{part_id if not new else 'witnesses'}")


@blueprint.post("/<entry_id>/slips/<slip_id>/remove")
def remove_slip(entry_id: str, slip_id: str) -> Response:
    """Take a slip away."""
    with context.act(Deed.SLIP_REMOVED(id=slip_id)) as this:
        sources.remove_slip(this, slip_id)
    return context.done(this, f"/entries/{entry_id}#witnesses")


def _new(entry: Entry) -> Slip:
    """A slip for the first name of the entry that was in use, of the source that was quoted last."""
    first = entry.terms[-1].id if entry.terms else ""
    return Slip("", request.args.get("source", ""), "", term_id=request.args.get("name", first))


def _page(entry_id: str, part_id: str, form: Form) -> str:
    reader = context.reader()
    entry = reader.get(Entry, entry_id)
    labels = sorted(((s.id, s.label) for s in reader.all(Source)), key=lambda pair: pair[1].casefold())
    quoted = [s for these in reader.slips_of([entry]).values() for s in these]
    own = part_id.removeprefix("slip-")
    return article_page(
        reader,
        entry_id,
        part_id,
        form,
        source_options=(("", _("choose")), *labels),
        term_options=(("", _("no name yet")), *((t.id, f"{t.text} ({t.language})") for t in entry.terms)),
        join_options=(("", _("no other")), *((s.id, _short(s)) for s in quoted if s.id != own)),
    )


def _short(slip: Slip) -> str:
    words = slip.text.split()
    return f"{slip.id} {' '.join(words[:8])}{' …' if len(words) > 8 else ''}"


def _filled(slip: Slip) -> Form:
    return Form.of(
        text=slip.text,
        source_id=slip.source_id,
        term_id=slip.term_id,
        elsewhere="",
        kind=slip.kind.value,
        certainty=slip.certainty.value,
        presence=slip.presence.value,
        joined_to=slip.joined_to,
        apart=("yes",) if slip.apart else (),
        note=slip.note,
        version=slip.version,
        **{name: getattr(slip, name) for name in LINES},
    )


def _made(reader: Reader, before: Slip, form: Form) -> Slip:
    return changed_by(
        before,
        {name: form.line(name) for name in LINES},
        version=form.number("version") if before.id else 0,
        source_id=form.line("source_id"),
        text=form.text("text"),
        term_id=_term_typed(reader, form.line("elsewhere")) or form.line("term_id"),
        kind=of_list(SlipKind, form.line("kind"), "kind") or SlipKind.USE,
        certainty=of_list(Certainty, form.line("certainty"), "certainty") or Certainty.SECURE,
        presence=of_list(Presence, form.line("presence"), "presence") or Presence.FORM,
        joined_to=form.line("joined_to"),
        apart=bool(form.line("apart")),
        note=form.text("note"),
    )


def _term_typed(reader: Reader, typed: str) -> str:
    """The id of the name that was chosen (`t12 clicied · hank`), or the head of an entry that was typed."""
    if not typed:
        return ""
    given = _TERM_ID.match(typed)
    if given:
        return given[1]
    entry = reader.get(Entry, entry_called(reader, typed, "elsewhere"))
    best = next((head(entry, tag) for tag in reversed(entry.languages()) if head(entry, tag)), None)
    return best.id if best else ""
