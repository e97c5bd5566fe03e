"""Creating an entry in few keystrokes, and deleting one."""

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.blueprints import entries as blueprint
from app.web.entries.forms import of_list
from app.web.forms import Form
from app.web.language import gettext as _
from termbase.acts import entries
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, InUse, Problems
from termbase.overviews.removals import removal_deed
from termbase.record.entries import Definition, Entry, Origin, Term, Topic

__all__: list[str] = []


@blueprint.get("/new")
def new() -> str:
    """Show the form for a new entry: a name in each language, and the origin of each."""
    languages = context.termbase().languages
    text = request.args.get("text", "")
    first = {f"text-{tag}": "" for tag in languages} | {f"text-{languages[-1]}": text}
    return _page(Form.of(topic="", definition="", **first, **{f"origin-{tag}": "" for tag in languages}))


@blueprint.post("/new")
def make() -> str | Response | tuple[str, int]:
    """Create an entry and redirect to its article."""
    form = Form.posted()
    languages = context.termbase().languages
    try:
        problems = Problems()
        terms = tuple(_term(form, tag, problems) for tag in languages if form.line(f"text-{tag}"))
        if not terms:
            where = f"text-{languages[-1]}"
            problems.add(
                BadInput(_("The entry has no name."), where=where, fix=_("Give it at least one name."))
            )
        topic = problems.value(None, of_list, Topic, form.line("topic"), "topic")
        problems.check()
        definition = Definition(languages[0], form.text("definition"))
        with context.act(Deed.ENTRY_MADE(names=" · ".join(t.text for t in terms))) as this:
            made = entries.save(this, Entry("", topic, terms, definitions=(definition,)))
    except BadInput as error:
        return _page(form.refused(error)), 400
    return context.done(this, url_for("entries.show", entry_id=made.id))


@blueprint.get("/<entry_id>/remove")
def removal(entry_id: str) -> str:
    """Ask before deleting an entry, and say what happens to what belongs to it."""
    entry = context.reader().get(Entry, entry_id)
    return render_template("entries/remove.html", entry=entry, error=None, reason="")


@blueprint.post("/<entry_id>/remove")
def remove(entry_id: str) -> Response | tuple[str, int]:
    """Delete an entry; its history stays and it can be undone."""
    try:
        with context.act(removal_deed(entry_id, request.form.get("reason", ""))) as this:
            entries.remove(this, entry_id)
    except InUse as error:
        entry = context.reader().get(Entry, entry_id)
        reason = request.form.get("reason", "")
        return render_template("entries/remove.html", entry=entry, error=error, reason=reason), 409
    return context.done(this, url_for("entries.index"))


def _page(form: Form) -> str:
    return render_template("entries/new.html", form=form, languages=context.termbase().languages)


def _term(form: Form, tag: str, problems: Problems) -> Term:
    field = f"origin-{tag}"
    origin = problems.value(None, of_list, Origin, form.line(field), field)
    if origin is None and not form.line(field):
        problems.add(
            BadInput(
                _("The origin of the name is missing."),
                where=field,
                fix=_("Choose one, so that a guess is never mistaken for a record."),
            )
        )
    return Term("", form.line(f"text-{tag}"), tag, origin or Origin.IN_USE)
