"""Taking a file of another system in: bring it, see what it would change, choose, take it in as one act.

What was brought is kept beside the program for as long as it runs, the newest few; nothing of it is in the
termbase before it is taken.
"""

from dataclasses import dataclass
from pathlib import Path
from secrets import token_urlsafe
from shutil import rmtree
from tempfile import mkdtemp
from threading import Lock
from weakref import finalize

from flask import Blueprint, Flask, current_app, render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.forms import Form, placed
from app.web.language import gettext as _
from app.web.progress import Finished, Job, start, to_job
from exports.tbx import ReadReport, read_tbx
from termbase.entries import Origin
from termbase.errors import BadInput, NotFound, WordholdError
from termbase.incoming import Choice, Plan, State, Taken, plan, take_in
from termbase.store import Store

__all__ = ["blueprint", "init_app"]

blueprint = Blueprint("exchange", __name__, url_prefix="/exchange")
KEPT = 12
MOST_SHOWN = 500
PATIENCE = 2.0  # seconds: most files are looked through by then, and what is wrong is told beside the field
WAYS = ("new", "all", "ticked", "as-new")


@dataclass
class Brought:
    """A file that was brought: where it lies, what it would change, what became of it."""

    path: Path
    name: str
    plan: Plan | None = None
    report: ReadReport | None = None
    needs_origin: bool = False
    keep_loose: bool = False
    taken: Taken | None = None
    act_id: int | None = None


class Shelf:
    """The files brought to one web face, newest kept."""

    def __init__(self) -> None:
        self._brought: dict[str, Brought] = {}
        self._lock = Lock()
        self.folder = Path(mkdtemp(prefix="wordhold-brought-"))
        finalize(self, rmtree, self.folder, ignore_errors=True)

    def put(self, name: str) -> tuple[str, Brought]:
        """A place for a file of this name, under a token that cannot be guessed."""
        token = token_urlsafe(9)
        brought = Brought(self.folder / token, name)
        with self._lock:
            self._brought[token] = brought
            for old in list(self._brought)[:-KEPT]:
                self._brought.pop(old).path.unlink(missing_ok=True)
        return token, brought

    def get(self, token: str) -> Brought:
        """What was brought under this token.

        Raises:
            NotFound: nothing was, or it is not kept any more.
        """
        found = self._brought.get(token)
        if found is None:
            raise NotFound(_("This file is not here any more."), where=token, mend=_("Bring it again."))
        return found


def init_app(app: Flask) -> None:
    """Give the app its shelf."""
    app.extensions["wordhold_brought"] = Shelf()
    app.register_blueprint(blueprint)


@blueprint.get("")
def index() -> str:
    """The form to bring a file."""
    return _index(Form.of(file="", keep_loose=""))


@blueprint.post("")
def bring() -> Response | tuple[str, int]:
    """Keep the file and look at it; a job leads to what it would change."""
    form = Form.posted().with_text("file", "")
    sent = request.files.get("file")
    if sent is None or not sent.filename:
        missing = BadInput(_("No file was chosen."), where="file", mend=_("Choose a TBX file."))
        return _index(form.refused(missing)), 400
    token, brought = _shelf().put(Path(sent.filename).name)
    sent.save(brought.path)
    try:
        brought.needs_origin = read_tbx(brought.path, name=brought.name).needs_origin
        brought.keep_loose = bool(form.text("keep_loose"))
    except WordholdError as error:
        return _not_taken(form, error)
    store, to = context.store(), url_for("exchange.show", token=token)

    def look(job: Job) -> Finished:
        with store.read() as reader:
            file = read_tbx(brought.path, name=brought.name, keep_loose_targets=brought.keep_loose)
            job.tell(0, 0, _("Comparing entries"))
            brought.plan = plan(reader, file, on_progress=job.tell)
        brought.report = file.report()
        return Finished(_("The file was looked through; nothing is taken in yet."), url=to)

    job = start(_("Looking at %(name)s", name=brought.name), look, back=url_for("exchange.index"))
    job.wait(PATIENCE)
    return _not_taken(form, job.error) if job.error else to_job(job)


def _not_taken(form: Form, error: WordholdError) -> tuple[str, int]:
    return _index(form.refused(BadInput(placed(error), where="file", mend=error.mend))), 400


@blueprint.get("/<token>")
def show(token: str) -> str:
    """What taking the file in would change, or did."""
    brought = _shelf().get(token)
    if brought.taken is not None:
        return render_template("exchange/taken.html", brought=brought)
    return _show(token, brought, Form.of(take="new", origin=""))


@blueprint.post("/<token>")
def take(token: str) -> Response | tuple[str, int]:
    """Take in what was chosen, as one act."""
    brought, form = _shelf().get(token), Form.posted()
    try:
        choice = _choice(form)
        origin = _origin(form) if brought.needs_origin else None
    except BadInput as error:
        return _show(token, brought, form.refused(error)), 400
    store, by = context.store(), context.current_person()
    to = url_for("exchange.show", token=token)

    def work(job: Job) -> Finished:
        _take(store, by, brought, (choice, origin), job)
        return Finished(_("The file was taken in."), url=to)

    return to_job(start(_("Taking in %(name)s", name=brought.name), work, back=to))


def _take(store: Store, by: str, brought: Brought, chosen: tuple[Choice, Origin | None], job: Job) -> None:
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
    text = form.text("origin")
    if text not in Origin._value2member_map_:
        raise BadInput(
            _("The file does not say where its names come from."),
            where="origin",
            mend=_("Choose: it is kept with every name."),
        )
    return Origin(text)


def _index(form: Form) -> str:
    return render_template("exchange/index.html", form=form, most=context.settings().max_upload)


def _show(token: str, brought: Brought, form: Form) -> str:
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


def _shelf() -> Shelf:
    found: Shelf = current_app.extensions["wordhold_brought"]
    return found
