"""Relating an entry to others, and ruling over its verdicts."""

from flask import redirect, request, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.blueprints import entries as blueprint
from app.web.entries.article import article_page
from app.web.entries.forms import stamped
from app.web.forms import Form
from app.web.language import gettext as _
from termbase.acts import entries
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, Conflict
from termbase.judging.verdict import VERDICT_WORDS
from termbase.record.entries import Entry
from termbase.rules.clauses import RuleCode
from termbase.search.finding import entry_called

__all__ = ["form_page", "ruling_form", "save", "save_ruling"]


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


def ruling_form(entry_id: str, part_id: str) -> str:
    """Show the entry's page with the form for a ruling."""
    code = _code(part_id)
    return article_page(
        context.reader(), entry_id, part_id, _filled(context.reader().get(Entry, entry_id), code)
    )


def save_ruling(entry_id: str, part_id: str) -> str | Response | tuple[str, int]:
    """Save a ruling on a verdict, or remove it."""
    code = _code(part_id)
    form = Form.posted()
    verdict = form.line("verdict")
    try:
        if verdict and verdict not in VERDICT_WORDS:
            raise BadInput(
                _("“%(verdict)s” is not a verdict.", verdict=verdict),
                where="verdict",
                fix=_("Choose one from the list."),
            )
        if (
            not verdict
            and form.text("reason").strip()
            and not _filled(context.reader().get(Entry, entry_id), code).text("verdict")
        ):
            raise BadInput(
                _("There is a reason but no verdict."),
                where="verdict",
                fix=_("Choose one from the list."),
            )
        deed = Deed.RULING_MADE if verdict else Deed.RULING_REMOVED
        with context.act(deed(id=entry_id, code=code.name)) as this:
            current = _filled(this.get(Entry, entry_id), code)
            if form.line("version") not in ("", current.text("version")):
                raise Conflict(
                    _("Somebody else ruled on it in the meantime."),
                    where=entry_id,
                    fix=_("Check both, then save again."),
                )
            entries.rule(this, entry_id, code.id, verdict, form.text("reason"))
    except Conflict as error:
        current_form = _filled(context.reader().get(Entry, entry_id), code)
        return article_page(context.reader(), entry_id, part_id, form.against(current_form, error)), 409
    except BadInput as error:
        return article_page(context.reader(), entry_id, part_id, form.refused(error)), 400
    return context.done(this, f"/entries/{entry_id}#{part_id}")


def _code(part_id: str) -> RuleCode:
    return context.reader().get(RuleCode, part_id.removeprefix("ruling-"))


def _filled(entry: Entry, code: RuleCode) -> Form:
    ruling = next((r for r in entry.rulings if r.code_id == code.id), None)
    return stamped(Form.of(verdict=ruling.verdict if ruling else "", reason=ruling.reason if ruling else ""))
