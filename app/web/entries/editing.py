"""Creating, editing and deleting an entry, signing its readings, and accepting imported notes.

An entry is edited part by part: the form replaces the part on the entry's page.
"""

from typing import Final

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context, uploads
from app.web.blueprints import entries as blueprint
from app.web.entries import relations, slips
from app.web.entries.article import article_page
from app.web.entries.forms import Asked, Part, of_list, part_named, stamped
from app.web.errors import status_of
from app.web.forms import Form
from app.web.language import gettext as _
from termbase.acts import entries
from termbase.codes.deeds import Deed, ReadingName
from termbase.errors import BadInput, Conflict, InUse, Problems, WordholdError
from termbase.media.pictures import read_figure
from termbase.messages import joined
from termbase.overviews.progress import next_to_read
from termbase.overviews.removals import removal_deed
from termbase.record.entries import Definition, Entry, Origin, Term, Topic
from termbase.store.writing import Act

__all__ = ["change", "to_article"]


Answer = str | Response | tuple[str, int]
_READINGS: Final[dict[entries.Which, ReadingName]] = {
    "language": ReadingName.LANGUAGE, "practice": ReadingName.PRACTICE,
}  # fmt: skip


_NOTE_ACTIONS: Final = {
    "accept": (entries.accept, Deed.FOREIGN_NOTE_ACCEPTED),
    "withdraw": (entries.withdraw, Deed.FOREIGN_NOTE_WITHDRAWN),
    "delete": (entries.delete, Deed.FOREIGN_NOTE_DELETED),
}
_MAX_DIGITS: Final = 9


@blueprint.get("/<entry_id>/edit/<part_id>")
def edit(entry_id: str, part_id: str) -> Answer:
    """Show the entry's page with the form for one part."""
    if part_id.startswith("slip-"):
        return slips.form_page(entry_id, part_id)
    if part_id.startswith("ruling-"):
        return relations.ruling_form(entry_id, part_id)
    if part_id == "relations":
        return relations.form_page(entry_id)
    part, key = part_named(part_id)
    asked = _asked(context.reader().get(Entry, entry_id), key)
    return article_page(context.reader(), entry_id, part_id, stamped(part.fill(asked)))


@blueprint.post("/<entry_id>/edit/<part_id>")
def save(entry_id: str, part_id: str) -> Answer:
    """Save one part; an invalid or outdated form is shown again."""
    if part_id.startswith("slip-"):
        return slips.save(entry_id, part_id)
    if part_id.startswith("ruling-"):
        return relations.save_ruling(entry_id, part_id)
    if part_id == "relations":
        return relations.save(entry_id)
    part, key = part_named(part_id)
    form = Form.posted()
    if part_id == "figures":
        form = form.with_text("file")  # so that an error about the picture is shown next to it
    try:
        with context.act(part.deed(id=entry_id)) as this:
            asked = _asked(this.get(Entry, entry_id), key)
            _check_untouched(part, asked, form)
            form = _with_picture(this, form) if part_id == "figures" else form
            entries.save(this, part.apply(asked, form))
    except Conflict as error:
        current = stamped(part.fill(_asked(context.reader().get(Entry, entry_id), key)))
        return _form_again(entry_id, part_id, form.against(current, error)), 409
    except (BadInput, InUse) as error:
        under = part.under(_asked(context.reader().get(Entry, entry_id), key))
        return _form_again(entry_id, part_id, form.refused(error, under=under)), 400
    return context.done(this, to_article(entry_id, part_id))


@blueprint.post("/<entry_id>/names/<term_id>")
def arrange(entry_id: str, term_id: str) -> Answer:
    """Mark a name as preferred, move it, or delete it."""
    doing = request.form.get("do", "")
    deeds = {"prefer": Deed.NAME_PREFERRED, "up": Deed.NAME_MOVED, "down": Deed.NAME_MOVED,
             "remove": Deed.NAME_REMOVED}  # fmt: skip
    if doing not in deeds:
        raise BadInput(
            _("The request does not say what to do with the name."),
            where="do",
            fix=_("Use the buttons on the page."),
        )
    with context.act(deeds[doing](id=entry_id)) as this:
        if doing == "prefer":
            entries.prefer(this, entry_id, term_id)
        elif doing == "remove":
            entries.delete_term(this, entry_id, term_id)
        else:
            entries.move_term(this, entry_id, term_id, -1 if doing == "up" else 1)
    return context.done(this, to_article(entry_id, "names"))


@blueprint.post("/<entry_id>/readings/<any(language, practice):which>")
def read(entry_id: str, which: entries.Which) -> Answer:
    """Sign a reading in the user's name, say why it is not ready, or reopen a signed one.

    With `on`, lead to the next entry to read.
    """
    doing, why = request.form.get("do", ""), request.form.get("why", "").strip()
    on = bool(request.form.get("on"))
    if doing == "not yet" and not why:
        error = BadInput(
            _("The reason is missing."),
            where="why",
            fix=_("Write what must change first, or sign the reading."),
        )
        form = Form.of(why="").refused(error)
        more = {"reading_for": which if on else "", "refusing": which}
        return article_page(context.reader(), entry_id, form=form, **more), 400
    reading = _READINGS[which]()
    if doing == "sign":
        with context.act(Deed.READING_SIGNED(id=entry_id, which=reading)) as this:
            entries.sign(this, entry_id, which)
    elif doing == "not yet":
        with context.act(Deed.READING_NOT_SIGNED(id=entry_id, which=reading)) as this:
            entries.reopen_reading(this, entry_id, which, why)
    else:
        with context.act(Deed.READING_REOPENED(id=entry_id, which=reading)) as this:
            entries.reopen_reading(this, entry_id, which, why)
    if not on:
        return context.done(this, to_article(entry_id, "readings"))
    following = next_to_read(context.reader(), which, entry_id)
    if not following:
        return context.done(this, url_for("begin.index"))
    return context.done(this, url_for("entries.show", entry_id=following, read=which))


def to_article(entry_id: str, part_id: str = "") -> str:
    """Return the address of an article, at one of its parts."""
    return url_for("entries.show", entry_id=entry_id, _anchor=part_id or None)


def _asked(entry: Entry, key: str) -> Asked:
    return Asked(entry, key, context.termbase().languages, request.args.get("of", ""))


def _check_untouched(part: Part, asked: Asked, form: Form) -> None:
    """Refuse a form if its part has been changed since; a form without a mark is accepted.

    Raises:
        Conflict: the part has changed.
    """
    seen = form.line("version")
    if seen and asked.key != "new" and seen != stamped(part.fill(asked)).text("version"):
        raise Conflict(
            _("Somebody else changed this in the meantime."),
            where=asked.entry.id,
            fix=_("The current value is shown beside each field; saving again replaces it with yours."),
        )


def _with_picture(act: Act, form: Form) -> Form:
    """Return the form with an uploaded picture added as another figure."""
    upload = uploads.file("file")
    number = len(form.all("image_id"))
    if upload is None or not upload.filename:
        rows = (form.all(name)[number:] for name in ("caption", "maker", "rights", "source_id"))
        if any(text.strip() for row in rows for text in row):
            raise BadInput(
                _("You filled in the details of a figure but chose no picture."),
                where="file",
                fix=_("Choose a picture file."),
            )
        return form
    try:
        image = read_figure(upload.read(), upload.filename)
    except BadInput as error:
        raise BadInput(
            joined((upload.filename, error.what), ": "),
            where="file",
            fix=error.fix,
        ) from error
    act.add_image(image)
    return form.with_text("image_id", *form.all("image_id"), image.id).with_text("taken_in", image.id)


def _form_again(entry_id: str, part_id: str, form: Form) -> str:
    return article_page(context.reader(), entry_id, part_id, form)


@blueprint.post("/<entry_id>/foreign-notes")
def change(entry_id: str) -> Response | tuple[str, int]:
    """Accept an imported note for printing, withdraw that, or delete the note."""
    form = Form.posted()
    number, action = form.line("number"), _NOTE_ACTIONS.get(form.line("do"))
    try:
        if action is None or not (number.isascii() and number.isdigit() and len(number) <= _MAX_DIGITS):
            raise BadInput(
                _("The note cannot be changed in this way."),
                where="do",
                fix=_("Use the buttons on the page."),
            )
        act, deed = action
        with context.act(deed(id=entry_id)) as this:
            act(this, entry_id, form.line("term"), int(number), form.text("words"))
    except WordholdError as error:
        page = article_page(context.reader(), entry_id, "", form.refused(_beside_notes(error)))
        return page, status_of(error)
    return context.done(this, f"/entries/{entry_id}#foreign-notes")


def _beside_notes(error: WordholdError) -> BadInput:
    return BadInput(error.what, where="foreign-notes", fix=error.fix)


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
            entry = entries.save(this, Entry("", topic, terms, definitions=(definition,)))
    except BadInput as error:
        return _page(form.refused(error)), 400
    return context.done(this, url_for("entries.show", entry_id=entry.id))


@blueprint.get("/<entry_id>/remove")
def removal(entry_id: str) -> str:
    """Show the page that asks before deleting an entry and says what will happen to its slips and lines."""
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
