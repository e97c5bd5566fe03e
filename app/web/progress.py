"""Long jobs: one thread each, a page with a bar, a way to stop.

A view starts a job and leads to its page::

    def work(job: Job) -> Finished:
        for n, article in enumerate(articles):
            job.tell(n, total, _("Setting entries"))      # raises Stopped when somebody pressed Stop
        return Finished(_("The glossary is ready."), file=job.folder / "glossary.pdf")

    return to_job(start(_("Glossary"), work))

The work runs outside the request: hand it the store and whatever else it needs. Jobs live as long as the
program does; the newest are kept, with their files.
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from secrets import token_urlsafe
from shutil import rmtree
from tempfile import mkdtemp
from threading import Event, Lock, Thread
from weakref import finalize

from flask import Blueprint, Flask, current_app, redirect, render_template, request, send_file, url_for
from werkzeug.wrappers import Response

from app.web.language import gettext as _
from app.web.language import interface_language, speaking
from termbase.errors import NotFound, WordholdError

__all__ = [
    "Finished",
    "Job",
    "Jobs",
    "Progress",
    "State",
    "Stopped",
    "blueprint",
    "init_app",
    "jobs",
    "start",
    "to_job",
]

KEPT = 40
blueprint = Blueprint("progress", __name__, url_prefix="/progress")
log = logging.getLogger(__name__)


class State(StrEnum):
    """Where a job stands."""

    RUNNING = "running"
    FINISHED = "finished"
    STOPPED = "stopped"
    FAILED = "failed"


class Stopped(Exception):
    """Somebody asked the job to stop; raised in its thread by `Job.tell`."""


@dataclass(frozen=True)
class Finished:
    """How a job ended: a sentence, and where to go on, or a file to fetch.

    Attributes:
        words: what was made, one sentence.
        url: page to go on to.
        file: file in the job's folder to fetch.
        name: file name for the reader; that of the file when empty.
        detail: what else is to be told, for the page that `url` leads to.
    """

    words: str
    url: str = ""
    file: Path | None = None
    name: str = ""
    detail: object = None


@dataclass(frozen=True)
class Progress:
    """What is known of a running job at one moment; `total` 0 when nobody can say."""

    done: int = 0
    total: int = 0
    words: str = ""


class Job:
    """One piece of long work. The work itself calls `tell`; everybody else reads."""

    def __init__(self, title: str, back: str) -> None:
        self.id = token_urlsafe(9)
        self.title = title
        self.back = back
        self.state = State.RUNNING
        self.progress = Progress()
        self.result: Finished | None = None
        self.error: WordholdError | None = None
        self._stop = Event()
        self._folder: Path | None = None
        self._thread: Thread | None = None

    @property
    def folder(self) -> Path:
        """A folder of the job's own for what it makes; it goes when the job is forgotten."""
        if self._folder is None:
            self._folder = Path(mkdtemp(prefix="wordhold-"))
            finalize(self, rmtree, self._folder, ignore_errors=True)  # also when the program ends
        return self._folder

    @property
    def stopping(self) -> bool:
        """Whether somebody asked it to stop."""
        return self._stop.is_set()

    def tell(self, done: int, total: int = 0, words: str = "") -> None:
        """Say how far the work is.

        Raises:
            Stopped: somebody asked to stop.
        """
        self.progress = Progress(done, total, words or self.progress.words)
        if self.stopping:
            raise Stopped

    def ask_to_stop(self) -> None:
        """Ask the work to stop at its next step."""
        self._stop.set()

    def wait(self, seconds: float) -> bool:
        """Wait for the end; whether it has ended."""
        if self._thread is not None:
            self._thread.join(seconds)
        return self.state is not State.RUNNING

    def begin(self, work: Callable[["Job"], Finished]) -> None:
        """Start the work in a thread of its own."""
        self._thread = Thread(target=self._run, args=(work,), name=f"job {self.title}", daemon=True)
        self._thread.start()

    def forget(self) -> None:
        """Remove what the job made."""
        if self._folder is not None:
            rmtree(self._folder, ignore_errors=True)

    def _run(self, work: Callable[["Job"], Finished]) -> None:
        try:
            self.result = work(self)
            self.state = State.FINISHED
        except Stopped:
            self.state = State.STOPPED
        except WordholdError as error:
            self.error = error
            self.state = State.FAILED
        except Exception:
            log.exception("The job “%s” failed", self.title)
            self.error = WordholdError(
                _("Something went wrong in the program."),
                where=self.title,
                mend=_("The program's log says what happened."),
            )
            self.state = State.FAILED


class Jobs:
    """The jobs of one web face, newest kept."""

    def __init__(self, kept: int = KEPT) -> None:
        self._jobs: dict[str, Job] = {}
        self._lock = Lock()
        self._kept = kept

    def start(self, title: str, work: Callable[[Job], Finished], back: str = "/") -> Job:
        """Start a job; `back` is the page to return to."""
        job = Job(title, back)
        with self._lock:
            self._jobs[job.id] = job
            over = len(self._jobs) - self._kept
            old = [j for j in self._jobs.values() if j.state is not State.RUNNING][: max(over, 0)]
            for one in old:
                del self._jobs[one.id]
        for one in old:
            one.forget()
        job.begin(work)
        return job

    def newest(self) -> tuple[Job, ...]:
        """The jobs that are still known, newest first."""
        with self._lock:
            return tuple(reversed(self._jobs.values()))

    def get(self, job_id: str) -> Job:
        """The job of this id.

        Raises:
            NotFound: there is none, or it was forgotten.
        """
        with self._lock:
            found = self._jobs.get(job_id)
        if found is None:
            raise NotFound(_("This job is not known any more."), where=job_id, mend=_("Start it again."))
        return found


def init_app(app: Flask) -> None:
    """Give the app its jobs."""
    app.extensions["wordhold_jobs"] = Jobs()
    app.register_blueprint(blueprint)


def start(title: str, work: Callable[[Job], Finished], back: str = "") -> Job:
    """Start a job of this app; it returns to the page it was started from unless told otherwise."""
    tongue = interface_language()

    def told(job: Job) -> Finished:
        with speaking(tongue):
            return work(job)

    return jobs().start(title, told, back or request.path)


def to_job(job: Job) -> Response:
    """Lead to the page of a job."""
    return redirect(url_for("progress.show", job_id=job.id), 303)


@blueprint.get("/<job_id>")
def show(job_id: str) -> str:
    """The page of a job: its bar while it runs, its outcome after."""
    return render_template("progress.html", job=jobs().get(job_id))


@blueprint.get("/<job_id>.json")
def state(job_id: str) -> dict[str, object]:
    """Where a job stands, for the script on its page."""
    job = jobs().get(job_id)
    now = job.progress
    return {"state": job.state.value, "done": now.done, "total": now.total, "words": now.words}


@blueprint.post("/<job_id>/stop")
def stop(job_id: str) -> Response:
    """Ask a job to stop."""
    job = jobs().get(job_id)
    job.ask_to_stop()
    job.wait(1.0)
    return to_job(job)


@blueprint.get("/<job_id>/file")
def file(job_id: str) -> Response:
    """What a job made."""
    made = jobs().get(job_id).result
    if made is None or made.file is None:
        raise NotFound(
            _("This job has made no file."), where=job_id, mend=_("Wait for its end, or start it again.")
        )
    return send_file(made.file, as_attachment=True, download_name=made.name or made.file.name)


def jobs() -> Jobs:
    """The jobs of this app."""
    found: Jobs = current_app.extensions["wordhold_jobs"]
    return found
