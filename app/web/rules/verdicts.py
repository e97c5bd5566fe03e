"""Show the full verdict on one technique under one code, and supply its words to other pages."""

from collections.abc import Iterable
from dataclasses import replace

from flask import render_template, request

from app.web import context
from app.web.forms import Form
from app.web.language import clause_words, verdict_wording
from app.web.language import gettext as _
from app.web.rules.section import blueprint
from termbase.errors import BadInput, NotFound
from termbase.judging.bouts import FOOTWEAR, read_bout
from termbase.judging.changes import smallest_change
from termbase.judging.saying import to_words
from termbase.judging.verdict import UNKNOWN, Change, Circumstances
from termbase.overviews.articles import Library
from termbase.overviews.matrix import verdict_on
from termbase.record.cautions import hurt_notices, own_cautions
from termbase.rules.clauses import RuleCode
from termbase.technique.profile import Profile

__all__ = ["change_for"]

BOUT = ("place", "year", "wrestlers", "footwear", "barred")
"""The parameters of the address that describe the bout."""


@blueprint.get("/<code_id>/on/<entry_id>")
def on(code_id: str, entry_id: str) -> str | tuple[str, int]:
    """Show why a technique fits a code or does not; the address may describe the bout.

    Raises:
        NotFound: there is no such code or entry, or nothing is stated about how it is done.
    """
    library = Library(context.reader())
    article = library.article(entry_id)
    judged = next((j for j in article.judged if j.code.id == code_id), None)
    if judged is None:
        raise NotFound(
            _("There is no such verdict."),
            where=f"{code_id}, {entry_id}",
            fix=_("Describe how the technique is done first, or choose another code."),
        )
    form, bout = _bout()
    if bout != UNKNOWN:
        judged = replace(judged, verdict=verdict_on(article.entry, judged.code, bout))
    page = render_template(
        "rules/on.html",
        article=article,
        entry=article.entry,
        judged=judged,
        form=form,
        bout=bout,
        feet=[("", _("as the code says")), *((one, _(one)) for one in FOOTWEAR)],
        library=library,
        heads=tuple(h for tag in library.termbase.languages if (h := article.head(tag)) is not None),
        trials=tuple(t for t in article.trials if t.code_id == code_id),
        extra_cautions=own_cautions(article.entry.topic, article.entry.technique),
        hurt=hurt_notices(article.trials),
    )
    return (page, 400) if form.errors else page


def _bout() -> tuple[Form, Circumstances]:
    """Return the bout in the address as a form and as circumstances, which are unknown if it is invalid."""
    form = Form.of(**{name: request.args.get(name, "") for name in BOUT})
    try:
        barred = form.text("barred").split(",")
        return form, read_bout(**{name: form.text(name) for name in BOUT if name != "barred"}, barred=barred)
    except BadInput as error:
        return form.refused(error), UNKNOWN


@blueprint.app_template_global()
def change_for(
    profile: Profile, code: RuleCode, names: Iterable[str], bout: Circumstances = UNKNOWN
) -> Change | None:
    """Return the smallest change that would make a breach fit, for templates; None if there is none."""
    return smallest_change(profile, code, bout, names)


@blueprint.app_template_global()
def verdict_text(what: object) -> str:
    """Return a verdict or a part of one in plain words."""
    return to_words(what, verdict_wording())  # type: ignore[arg-type]


@blueprint.app_template_global()
def clause_text(code: RuleCode, clause_id: str) -> str:
    """Return what a clause of a code says, or its id if the code no longer has it."""
    found = next((clause for clause in code.clauses if clause.id == clause_id), None)
    return clause_words(found) if found is not None else clause_id
