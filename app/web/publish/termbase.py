"""The details of the termbase (title, languages, licence, rights, notice), and the people who work on it."""

from flask import render_template, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.blueprints import publish as blueprint
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.recordforms import RecordForm
from termbase.acts.termbase import remove_person, save_person, save_termbase
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, Conflict, Problems
from termbase.fields.notes import CodedText
from termbase.record.people import Person, Role, Termbase

__all__ = ["ABOUT", "PERSON"]

ABOUT = RecordForm(Termbase)
PERSON = RecordForm(Person, names={"roles": "role"})
Page = Response | tuple[str, int]


@blueprint.get("/termbase")
def termbase() -> str:
    """Show the details of the termbase, and its people."""
    return _page(_form(context.termbase()))


@blueprint.post("/termbase")
def change_termbase() -> Page:
    """Change the details of the termbase."""
    form = Form.posted()
    try:
        with context.act(Deed.TERMBASE_CHANGED()) as act, Problems() as problems:
            save_termbase(act, ABOUT.read(form, context.termbase(), problems))
    except BadInput as error:
        return _page(ABOUT.refused(form, error)), 400
    except Conflict as error:
        return _page(form.against(_form(context.termbase()), error)), 409
    return context.done(act, url_for("publish.termbase"))


@blueprint.post("/people/new")
def add_person() -> Page:
    """Add a person."""
    return _save(Form.posted(), Person(id="", name=""))


@blueprint.post("/people/<person_id>")
def change_person(person_id: str) -> Page:
    """Change a person's name or roles."""
    return _save(Form.posted(), context.reader().get(Person, person_id))


@blueprint.post("/people/<person_id>/remove")
def drop_person(person_id: str) -> Response:
    """Remove a person from the list; the history keeps the name."""
    person = context.reader().get(Person, person_id)
    with context.act(Deed.PERSON_REMOVED(name=person.name)) as act:
        remove_person(act, person_id)
    return context.done(act, url_for("publish.termbase", _anchor="people"))


def _save(form: Form, before: Person) -> Page:
    try:
        problems = Problems()
        person = PERSON.read(form, before, problems)
        problems.check()
        with context.act(_deed(before, person.name)) as act:
            save_person(act, person)
    except (BadInput, Conflict) as error:
        status = 409 if isinstance(error, Conflict) else 400
        return _page(_form(context.termbase()), PERSON.refused(form, error), before.id or "new"), status
    return context.done(act, url_for("publish.termbase", _anchor="people"))


def _deed(before: Person, name: str) -> CodedText:
    if before.id:
        return Deed.PERSON_CHANGED(name=name)
    return Deed.PERSON_NAMED(name=name) if name else Deed.PERSON_WITHOUT_NAME_NAMED()


def _form(now: Termbase) -> Form:
    return Form.of(**ABOUT.filled(now))


def _page(form: Form, person_form: Form | None = None, person_id: str = "") -> str:
    """Return the page; `person_form` is the rejected form of the person with this id (or `new`)."""
    return render_template(
        "publish/termbase.html",
        form=form,
        everybody=context.people(),
        roles=[(role.value, _(role.value)) for role in Role],
        person_form=person_form,
        person_id=person_id,
    )
