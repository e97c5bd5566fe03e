"""One technique under one code: the verdict in full, as a page, and the words for it on other pages."""

from collections.abc import Iterable

from flask import render_template

from app.web import context
from app.web.rules.section import blueprint
from termbase.articles import Library
from termbase.cautions import own_cautions
from termbase.errors import NotFound
from termbase.judging import Change, say, smallest_change
from termbase.rulecodes import RuleCode, sentence
from termbase.technique import Profile

__all__ = ["change_for"]


@blueprint.get("/<code_id>/on/<entry_id>")
def on(code_id: str, entry_id: str) -> str:
    """Why a technique fits a code or does not.

    Raises:
        NotFound: there is no such code or entry, or nothing is stated of how it is done.
    """
    library = Library(context.reader())
    article = library.article(entry_id)
    judged = next((j for j in article.judged if j.code.id == code_id), None)
    if judged is None:
        raise NotFound(
            "There is no such verdict.",
            where=f"{code_id}, {entry_id}",
            mend="State how the technique is done first, or choose another code.",
        )
    return render_template(
        "rules/on.html",
        article=article,
        entry=article.entry,
        judged=judged,
        library=library,
        heads=tuple(h for tag in library.languages() if (h := article.head(tag)) is not None),
        trials=tuple(t for t in article.trials if t.code_id == code_id),
        extra_cautions=own_cautions(article.entry.topic, article.entry.technique),
    )


@blueprint.app_template_global()
def change_for(profile: Profile, code: RuleCode, names: Iterable[str]) -> Change | None:
    """The smallest change that would turn a breach, for templates; None where there is none to offer."""
    return smallest_change(profile, code, names=names)


@blueprint.app_template_global()
def said_of(what: object) -> str:
    """A verdict or a part of one in plain words."""
    return say(what)  # type: ignore[arg-type]


@blueprint.app_template_global()
def clause_said(code: RuleCode, clause_id: str) -> str:
    """What a clause of a code says; its id where the code has it no more."""
    found = next((clause for clause in code.clauses if clause.id == clause_id), None)
    return sentence(found) if found is not None else clause_id
