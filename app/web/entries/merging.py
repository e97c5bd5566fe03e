"""Merging two entries: a preview with the conflicts; separating them again; redirects from old addresses."""

from dataclasses import dataclass

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.blueprints import entries as blueprint
from app.web.forms import Form
from app.web.language import gettext as _
from termbase.acts import merging
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, Conflict, NotFound, WordholdError
from termbase.record.entries import Entry
from termbase.record.merging import Merging, Question
from termbase.search import likeness
from termbase.search.finding import entry_called
from termbase.store.reading import Reader

__all__ = ["Shown"]

CHOICE = "choose "
"""Prefix of the name of each answer field."""


@dataclass(frozen=True)
class Shown:
    """A question as shown: its field, its subject, and both values.

    Attributes:
        name: name of the field.
        kind: type of both values: `text`, `term`, `definitions`, `technique`, `ruling`.
    """

    name: str
    kind: str
    question: Question


@blueprint.before_app_request
def lead_on() -> Response | None:
    """Redirect from an entry that was merged into another.

    Raises:
        Conflict: the request would write to the merged entry.
    """
    old_id = (request.view_args or {}).get("entry_id")
    if not isinstance(old_id, str) or not old_id.startswith("c"):
        return None
    current_id = context.reader().current_id(old_id)
    if current_id == old_id:
        return None
    if request.method in ("GET", "HEAD"):
        query = request.query_string.decode("ascii", "replace")
        path = request.path.replace(f"/{old_id}", f"/{current_id}", 1)
        return redirect(f"{path}?{query}" if query else path, 302)
    raise Conflict(
        _("%(old)s was merged into %(now)s in the meantime.", old=old_id, now=current_id),
        where=f"/entries/{current_id}",
        fix=_("Make your change in that entry."),
    )


@blueprint.get("/<entry_id>/merge")
def offer_merging(entry_id: str) -> str | tuple[str, int]:
    """Show the preview of the merged entry; without `other`, the form to choose it."""
    return _page(entry_id, Form.asked())


@blueprint.post("/<entry_id>/merge")
def make_one(entry_id: str) -> Response | str | tuple[str, int]:
    """Merge the two entries with the choices made."""
    form = Form.posted()
    try:
        other_id = form.line("other")
        with context.act(Deed.ENTRY_MERGED(other=other_id, id=entry_id)) as this:
            _check_untouched(this, form, entry_id, other_id)
            merging.merge(this, entry_id, other_id, _answers(form))
    except (BadInput, Conflict, NotFound) as error:
        return _page(entry_id, form, error)
    return context.done(this, url_for("entries.show", entry_id=entry_id))


@blueprint.post("/parted/<gone_id>")
def part_again(gone_id: str) -> Response:
    """Separate an entry from the one it was merged into."""
    with context.act(Deed.ENTRY_PARTED_AGAIN(id=gone_id)) as this:
        back, _stays = merging.separate(this, gone_id)
    return context.done(this, url_for("entries.show", entry_id=back.id))


def _page(entry_id: str, form: Form, error: WordholdError | None = None) -> str | tuple[str, int]:
    reader = context.reader()
    this = reader.get(Entry, entry_id)
    values: dict[str, object] = {"this": this, "form": form, "error": error, "other": None}
    typed = form.line("other")
    if not typed:
        alike = likeness.resembling(reader, [(t.text, t.language) for t in this.terms], limit=6)
        result = [a for a in alike if a.entry_id != entry_id]
        heads = reader.many(Entry, (a.entry_id for a in result))
        return render_template("entries/merge.html", alike=[(a, heads[a.entry_id]) for a in result], **values)
    try:
        other_id = reader.current_id(entry_called(reader, typed, "other"))
        plan = merging.preview(reader, entry_id, other_id, _answers(form))
    except (BadInput, NotFound) as fault:
        refused = form.refused(fault, {typed: "other"})
        return render_template("entries/merge.html", alike=(), **{**values, "form": refused}), 400
    other = reader.get(Entry, other_id)
    resembling = likeness.resembling(reader, [(t.text, t.language) for t in other.terms], limit=10)
    values |= {
        "other": other,
        "plan": plan,
        "shown": _shown(plan),
        "moving": merging.count_moving(reader, other_id),
        "why": next((a.why for a in resembling if a.entry_id == entry_id), ""),
    }
    status = 200 if error is None else 409 if isinstance(error, Conflict) else 400
    return render_template("entries/merge.html", **values), status


def _shown(plan: Merging) -> tuple[Shown, ...]:
    kinds = {"preferred": "term", "name": "term", "definition": "definitions", "ruling": "ruling"}
    return tuple(
        Shown(CHOICE + q.key, kinds.get(q.key.split()[0], "technique" if q.key == "technique" else "text"), q)
        for q in plan.questions
    )


def _answers(form: Form) -> dict[str, str]:
    return {
        name.removeprefix(CHOICE): form.line(name)
        for name in form.texts
        if name.startswith(CHOICE) and form.line(name)
    }


def _check_untouched(reader: Reader, form: Form, *ids: str) -> None:
    """Refuse if an entry has changed since the preview."""
    seen = form.all("version")
    current = tuple(f"{i} {entry.version}" for i, entry in reader.many(Entry, ids).items())
    if seen and seen != current:
        raise Conflict(
            _("One of the two has changed since you opened this page."),
            where=", ".join(ids),
            fix=_("Check both again; your choices have been kept."),
        )
