"""A TBX file: what it would change, choosing of it, taking it in as one act."""

from flask import render_template, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.exchange.section import MOST_SHOWN, blueprint, seen_through
from app.web.exchange.shelf import BroughtTbx, shelf
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.progress import Finished, Job, start, to_job
from exports.tbx import read_tbx
from termbase.entries import Origin
from termbase.errors import BadInput, NotFound
from termbase.incoming import Choice, State, plan, take_in
from termbase.store import Store

__all__ = ["look"]

WAYS = ("new", "all", "ticked", "as-new")


def look(token: str, brought: BroughtTbx) -> Response:
    """Look a file through; leads to what it would change.

    Raises:
        WordholdError: it cannot be taken in.
    """
    brought.needs_origin = read_tbx(brought.path, name=brought.name).needs_origin
    store, to = context.store(), url_for("exchange.show", token=token)

    def work(job: Job) -> Finished:
        with store.read() as reader:
            file = read_tbx(
                brought.path,
                name=brought.name,
                keep_loose_targets=brought.keep_loose,
                strict=brought.strict,
            )
            job.tell(0, 0, _("Comparing entries"))
            brought.plan = plan(reader, file, on_progress=job.tell)
        brought.report = file.report()
        return Finished(_("The file was looked through; nothing is taken in yet."), url=to)

    job = start(_("Looking at %(name)s", name=brought.name), work, back=url_for("exchange.index"))
    return seen_through(job, to)


@blueprint.get("/<token>")
def show(token: str) -> str:
    """What taking the file in would change, or did."""
    brought = shelf().get(token, BroughtTbx)
    if brought.taken is not None:
        return render_template("exchange/taken.html", brought=brought)
    return _show(token, brought, Form.of(take="new", origin=Origin.NOT_STATED.value))


@blueprint.post("/<token>")
def take(token: str) -> Response | tuple[str, int]:
    """Take in what was chosen, as one act."""
    brought, form = shelf().get(token, BroughtTbx), Form.posted()
    try:
        choice = _choice(form)
        origin = _origin(form) if brought.needs_origin else Origin.NOT_STATED
    except BadInput as error:
        return _show(token, brought, form.refused(error)), 400
    store, by = context.store(), context.current_person()
    to = url_for("exchange.show", token=token)

    def work(job: Job) -> Finished:
        _take(store, by, brought, (choice, origin), job)
        return Finished(_("The file was taken in."), url=to)

    return to_job(start(_("Taking in %(name)s", name=brought.name), work, back=to))


def _take(store: Store, by: str, brought: BroughtTbx, chosen: tuple[Choice, Origin], job: Job) -> None:
    choice, origin = chosen
    file = read_tbx(brought.path, name=brought.name, origin=origin, keep_loose_targets=brought.keep_loose)
    total = sum((brought.plan.counts.get("entry") or {}).values()) if brought.plan else 0
    with store.act(by, f"took in {brought.name}") as act:
        job.tell(0, total, _("Taking in entries"))
        taken = take_in(act, file, choice, on_progress=lambda done: job.tell(done, total))
    brought.taken, brought.report, brought.act_id = taken, file.report(), act.id


def _choice(form: Form) -> Choice:
    way = form.text("take")
    if way not in WAYS:
        raise BadInput(_("Say what to take in."), where="take", mend=_("Choose one of the ways shown."))
    if way == "ticked":
        ticked = frozenset(form.all("entry"))
        if not ticked:
            raise BadInput(_("No entry is ticked."), where="take", mend=_("Tick some, or take all."))
        return Choice(entries=ticked, rest=False)
    return Choice(changed=way == "all", new_ids=way == "as-new")


def _origin(form: Form) -> Origin:
    text = form.text("origin") or Origin.NOT_STATED.value
    if text not in Origin._value2member_map_:
        raise BadInput(
            _("“%(asked)s” is none of the choices.", asked=text),
            where="origin",
            mend=_("Choose one of those shown."),
        )
    return Origin(text)


def _show(token: str, brought: BroughtTbx, form: Form) -> str:
    if brought.plan is None or brought.report is None:
        raise NotFound(_("This file was not looked through."), where=brought.name, mend=_("Bring it again."))
    for name in ("take", "origin"):
        if name not in form.texts:
            form = form.with_text(name, "")
    entries = brought.plan.entries
    return render_template(
        "exchange/show.html",
        token=token,
        brought=brought,
        plan=brought.plan,
        report=brought.report,
        form=form,
        changed=[e for e in entries if e.state is State.CHANGED][:MOST_SHOWN],
        new=[e for e in entries if e.state is State.NEW][:MOST_SHOWN],
        most=MOST_SHOWN,
        origins=[(o.value, _(o.value)) for o in Origin],
    )
