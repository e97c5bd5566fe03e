"""An editor's ruling over a verdict."""

from werkzeug.wrappers import Response

from app.web import context
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

__all__ = ["form_page", "save"]


def form_page(entry_id: str, part_id: str) -> str:
    """Show the entry's page with the form for a ruling."""
    code = _code(part_id)
    return article_page(
        context.reader(), entry_id, part_id, _filled(context.reader().get(Entry, entry_id), code)
    )


def save(entry_id: str, part_id: str) -> str | Response | tuple[str, int]:
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
            now = _filled(this.get(Entry, entry_id), code)
            if form.line("version") not in ("", now.text("version")):
                raise Conflict(
                    _("Somebody else ruled on it in the meantime."),
                    where=entry_id,
                    fix=_("Check both, then save again."),
                )
            entries.rule(this, entry_id, code.id, verdict, form.text("reason"))
    except Conflict as error:
        standing = _filled(context.reader().get(Entry, entry_id), code)
        return article_page(context.reader(), entry_id, part_id, form.against(standing, error)), 409
    except BadInput as error:
        return article_page(context.reader(), entry_id, part_id, form.refused(error)), 400
    return context.done(this, f"/entries/{entry_id}#{part_id}")


def _code(part_id: str) -> RuleCode:
    return context.reader().get(RuleCode, part_id.removeprefix("ruling-"))


def _filled(entry: Entry, code: RuleCode) -> Form:
    ruling = next((r for r in entry.rulings if r.code_id == code.id), None)
    return stamped(Form.of(verdict=ruling.verdict if ruling else "", reason=ruling.reason if ruling else ""))
