"""Long jobs: how a view starts one, and the page that shows its progress with a Stop button.

A view starts a job and redirects to its page::

    def work(job: Job) -> Finished:
        for n, article in enumerate(articles):
            job.tell(n, total, message("Setting entries"))      # raises Stopped if somebody pressed Stop
        return Finished(message("The glossary is ready."), file=job.folder / "glossary.pdf")

    return to_job(start(message("Glossary"), work))

The work runs outside the request: pass it the store and whatever else it needs. Its texts are
messages (`termbase.messages`), since those who view the page may use other languages.
"""

from collections.abc import Callable

from flask import Blueprint, Flask, redirect, render_template, request, send_file, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.jobs import Finished, Job, Jobs, State
from app.web.language import interface_language, translated
from app.web.workspace import workspace

__all__ = ["Finished", "Job", "State", "blueprint", "init_app", "jobs", "start", "to_job"]

blueprint = Blueprint("progress", __name__, url_prefix="/progress")


def init_app(app: Flask) -> None:
    """Register the job pages."""
    app.register_blueprint(blueprint)


def start(title: str, work: Callable[[Job], Finished], back: str = "") -> Job:
    """Start a job; unless `back` is given, it returns to the page it was started from.

    Raises:
        BadInput, Unavailable, StorageFull: its files cannot be stored.
    """
    by = context.current_person()
    return jobs().start(title, work, back or request.path, by=by, language=interface_language())


def to_job(job: Job) -> Response:
    """Redirect to the page of a job."""
    return redirect(url_for("progress.show", job_id=job.id), 303)


@blueprint.get("/<job_id>")
def show(job_id: str) -> str:
    """Show a job: its progress bar while it runs, then its result."""
    return render_template("progress.html", job=jobs().get(job_id))


@blueprint.get("/<job_id>.json")
def state(job_id: str) -> dict[str, object]:
    """Return the state of a job, for the script on its page."""
    job = jobs().get(job_id)
    now = job.progress
    return {"state": job.state.value, "done": now.done, "total": now.total, "words": translated(now.words)}


@blueprint.post("/<job_id>/stop")
def stop(job_id: str) -> Response:
    """Ask a job to stop."""
    job = jobs().get(job_id)
    job.ask_to_stop()
    job.wait(1.0)
    return to_job(job)


@blueprint.get("/<job_id>/file")
def file(job_id: str) -> Response:
    """Send the file that a job created."""
    made = jobs().get(job_id).made()
    return send_file(workspace().content(made), as_attachment=True, download_name=made.name)


def jobs() -> Jobs:
    """Return the jobs of this termbase, whichever process started them."""
    return Jobs(workspace())
