"""Importing a TBX file: the check, the preview, and the import as one act."""

from dataclasses import replace

from flask import render_template, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.forms import Form
from app.web.importing.choosing import MOST_SHOWN, WAYS, blueprint, seen_through, way_chosen
from app.web.importing.uploads import AboutTbx, TbxPreview, Upload, Uploads, uploads
from app.web.language import gettext as _
from app.web.progress import Finished, Job, start, to_job
from exports.tbx.reader import read_tbx
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, Conflict
from termbase.fields.closed_lists import chosen
from termbase.importing.planning import plan
from termbase.importing.records import Choice, State
from termbase.importing.taking import import_file
from termbase.messages import message
from termbase.record.entries import Origin
from termbase.store.workrows import PATIENCE

__all__ = ["check_upload"]


def check_upload(upload: Upload, about: AboutTbx) -> Response:
    """Check a file; leads to the preview.

    Raises:
        WordholdError: it cannot be imported.
    """
    needs_origin = read_tbx(upload.path, name=upload.name).needs_origin
    store, files, to = context.store(), uploads(), url_for("exchange.show", token=upload.token)

    def work(job: Job) -> Finished:
        with store.read() as reader:
            file = read_tbx(
                upload.path,
                name=upload.name,
                keep_loose_targets=about.keep_loose,
                strict=about.strict,
            )
            job.tell(0, 0, message("Comparing entries"))
            preview = TbxPreview(plan(reader, file, on_progress=job.tell), file.report())
        preview_id = files.keep_preview(upload, preview, about.preview)
        files.change(
            upload,
            AboutTbx,
            lambda now: replace(now, needs_origin=needs_origin, preview=preview_id),
            patience=PATIENCE,
        )
        return Finished(message("The file has been checked; nothing has been imported yet."), url=to)

    title = message("Checking %(name)s", name=upload.name)
    return seen_through(start(title, work, back=url_for("exchange.index")), to)


@blueprint.get("/<token>")
def show(token: str) -> str:
    """Show what importing the file would change, or did."""
    upload, about = uploads().get(token, AboutTbx)
    if about.taken is not None:
        return render_template("importing/taken.html", upload=upload, about=about)
    return _show(upload, about, Form.of(take="new", origin=Origin.NOT_STATED.value))


@blueprint.post("/<token>")
def take(token: str) -> Response | tuple[str, int]:
    """Import what was chosen, as one act."""
    (upload, about), form = uploads().get(token, AboutTbx), Form.posted()
    try:
        choice = _choice(form)
        origin = _origin(form) if about.needs_origin else Origin.NOT_STATED
    except BadInput as error:
        return _show(upload, about, form.refused(error)), 400
    store, by, files = context.store(), context.current_person(), uploads()
    to = url_for("exchange.show", token=token)
    total = sum(_preview(about).plan.counts.get("entry", {}).values())

    def work(job: Job) -> Finished:
        file = read_tbx(upload.path, name=upload.name, origin=origin, keep_loose_targets=about.keep_loose)
        finished = Finished(message("The file has been imported."), url=to)
        with store.act(by, Deed.FILE_TAKEN_IN(file=upload.name)) as act:
            _check_waiting(files, upload)
            job.tell(0, total, message("Importing entries"))
            taken = import_file(act, file, choice, on_progress=lambda done: job.tell(done, total))
            act.flush()
            files.change(
                upload,
                AboutTbx,
                lambda now: replace(now, taken=taken, report=file.report(), act_id=act.id),
                act.connection,
            )
            job.settle(act.connection, finished)
        return finished

    return to_job(start(message("Importing %(name)s", name=upload.name), work, back=to))


def _check_waiting(files: Uploads, upload: Upload) -> None:
    """Check that a file has not been imported yet; within the act, since another process may be faster.

    Raises:
        Conflict: it has been imported.
    """
    _upload, about = files.get(upload.token, AboutTbx)
    if about.taken is not None:
        raise Conflict(
            message("The file has already been imported."),
            where=upload.name,
            fix=message("Check what it changed. To import it again, upload it again."),
        )


def _choice(form: Form) -> Choice:
    way, ticked = way_chosen(form, (*WAYS, "as-new"))
    if way == "ticked":
        return Choice(entries=ticked, rest=False)
    return Choice(changed=way == "all", new_ids=way == "as-new")


def _origin(form: Form) -> Origin:
    return chosen(Origin, form.text("origin") or Origin.NOT_STATED.value, "origin")


def _preview(about: AboutTbx) -> TbxPreview:
    return uploads().preview(about.preview, TbxPreview)


def _show(upload: Upload, about: AboutTbx, form: Form) -> str:
    preview = _preview(about)
    for name in ("take", "origin"):
        if name not in form.texts:
            form = form.with_text(name, "")
    entries = preview.plan.entries
    return render_template(
        "importing/show.html",
        token=upload.token,
        upload=upload,
        about=about,
        plan=preview.plan,
        report=preview.report,
        form=form,
        changed=[e for e in entries if e.state is State.CHANGED][:MOST_SHOWN],
        new=[e for e in entries if e.state is State.NEW][:MOST_SHOWN],
        most=MOST_SHOWN,
        origins=[(o.value, _(o.value)) for o in Origin],
    )
