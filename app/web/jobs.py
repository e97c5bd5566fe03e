"""Long jobs: each is a thread of one process and a row that every process can show, even after a restart.

The result is stored as messages and values, so it is shown in the reader's language. A job whose
process ended too early is recognised by its lock (`termbase.store.workfiles`) and reported as such.
"""

import errno
import logging
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path
from secrets import token_urlsafe
from threading import Thread
from typing import Final, TypeVar

from sqlalchemy import Connection

from app.catalogues import LANGUAGES, voice_of
from app.web import workspace
from app.web.language import speaking
from app.web.workspace import JOB_LIFE, Workspace, until
from termbase.errors import (
    BadInput,
    Conflict,
    Damaged,
    InUse,
    NotFound,
    ReadOnly,
    StorageFull,
    Unavailable,
    WordholdError,
)
from termbase.messages import Translator, message
from termbase.rules.files import BadRows
from termbase.store.plaindata import from_json, to_json
from termbase.store.workfiles import Alive, JobProgress
from termbase.store.workrows import FileRow, JobRow, put_file, put_job, stamp

__all__ = ["Finished", "Job", "Jobs", "Progress", "Result", "State", "Stopped", "speakers"]

T = TypeVar("T")
Work = Callable[["Job"], "Finished"]
FULL: Final = frozenset({errno.ENOSPC, errno.EDQUOT})
STEP: Final = 0.25
"""Seconds between two progress updates of a job."""
GLANCE: Final = 0.05
"""Seconds between two checks whether a job of another process has ended."""
GONE: Final = "gone"
"""State of a row whose job has been removed; only its title is still known."""
log = logging.getLogger(__name__)


class State(StrEnum):
    """State of a job. `CUT_OFF`: its process ended before the job did."""

    RUNNING = "running"
    FINISHED = "finished"
    STOPPED = "stopped"
    FAILED = "failed"
    CUT_OFF = "cut off"


class Stopped(Exception):
    """Somebody asked the job to stop; `Job.tell` raises it in the job's thread."""


@dataclass(frozen=True)
class Finished:
    """The result of a job, as its work returns it: a sentence, and a page to continue on or a file.

    Attributes:
        words: a sentence that says what was created; a message, so that it can be translated.
        url: page to continue on.
        file: file in the job's folder to download.
        name: file name of the download; if empty, the name of the file.
        detail: more data for the page at `url`: a dataclass of plain values.
    """

    words: str
    url: str = ""
    file: Path | None = None
    name: str = ""
    detail: object = None


@dataclass(frozen=True)
class Result:
    """The stored result of a job: `file` is the id of a stored file, `detail` JSON; each may be empty."""

    words: str
    url: str = ""
    file: str = ""
    detail: str = ""


@dataclass(frozen=True)
class Progress:
    """Progress of a running job; `total` is 0 if it is unknown."""

    done: int = 0
    total: int = 0
    words: str = ""


@dataclass(frozen=True)
class _KeptError:
    """A stored error: the name of its class and its texts."""

    kind: str
    what: str
    where: str
    mend: str
    more: tuple["_KeptError", ...] = ()
    rows: tuple["_KeptError", ...] = ()
    path: tuple[str | int, ...] = ()


_ERRORS: Final[dict[str, type[WordholdError]]] = {
    kind.__name__: kind for kind in (Conflict, Damaged, InUse, NotFound, ReadOnly, StorageFull, Unavailable)
}


class Job:
    """A long job.

    Its work calls `tell`; everybody else sees the state at the time of loading.
    """

    def __init__(self, space: Workspace, row: JobRow) -> None:
        self._space = space
        self._row = row
        self._thread: Thread | None = None
        self._alive: Alive | None = None
        self._reported = JobProgress()
        self._reported_at = 0.0
        self._settled = False

    @property
    def id(self) -> str:
        """The id of the job."""
        return self._row.id

    @property
    def title(self) -> str:
        """The name of the job; a message."""
        return _message(self._row.title)

    @property
    def back(self) -> str:
        """The page it was started from."""
        return self._row.back

    @property
    def by(self) -> str:
        """Who started it."""
        return self._row.by

    @property
    def state(self) -> State:
        """Its state when it was last loaded."""
        return State(self._row.state)

    @property
    def kept(self) -> str:
        """How long it is kept, as a sentence; empty while it runs."""
        if not self._row.expires:
            return ""
        if not self._space.lasting:
            return message("Kept until the program stops, since this termbase is read-only.")
        return message("Kept until %(date)s.", date=until(self._row.expires))

    @property
    def result(self) -> Result | None:
        """Its result; None if it has not finished."""
        if not self._row.result:
            return None
        try:
            return from_json(Result, self._row.result)
        except BadInput as error:
            return Result(error.what)

    @property
    def error(self) -> WordholdError | None:
        """Why it failed; None if it did not."""
        if self.state is State.CUT_OFF:
            return WordholdError(
                message("The program stopped while this was running."),
                fix=message("Nothing incomplete was kept. Start it again."),
            )
        if not self._row.error:
            return None
        try:
            return _error(from_json(_KeptError, self._row.error))
        except BadInput as error:
            return error

    @property
    def progress(self) -> Progress:
        """Its last reported progress."""
        reported = self._space.files.progress(self.id)
        return Progress(reported.done, reported.total, _message(reported.words) if reported.words else "")

    def detail(self, kind: type[T]) -> T | None:
        """Return the detail of its result if it is of this class."""
        result = self.result
        if result is None or not result.detail:
            return None
        try:
            return from_json(kind, result.detail)
        except BadInput:
            return None

    def made(self) -> FileRow:
        """Return the file that it created.

        Raises:
            NotFound: there is none, or no longer.
        """
        result = self.result
        if result is None or not result.file:
            raise NotFound(
                message("This job did not create a file."),
                where=self.id,
                fix=message("Wait until it finishes, or start it again."),
            )
        return self._space.find(result.file, "made")

    def ask_to_stop(self) -> None:
        """Ask the work to stop at its next step, whichever process it is in."""
        self._space.files.ask_to_stop(self.id)

    def wait(self, seconds: float) -> bool:
        """Wait until it ends; return whether it has ended."""
        end = time.monotonic() + seconds
        if self._thread is not None:
            self._thread.join(seconds)
        self.reload()
        while self.state is State.RUNNING and time.monotonic() < end:
            time.sleep(GLANCE)
            self.reload()
        return self.state is not State.RUNNING

    def reload(self) -> None:
        """Load its state again; if its process has ended, record that."""
        row = self._space.rows.job(self.id)
        if row is not None and row.state == State.RUNNING and not self._space.files.is_alive(self.id):
            row = self._space.rows.job(self.id)  # it may have ended between the two checks
            if row is not None and row.state == State.RUNNING:
                row = _ended(row, State.CUT_OFF)
                with suppress(WordholdError):
                    self._space.rows.end_job(row)
                    self._space.files.end(self.id)
        if row is not None:
            self._row = row

    # For the work itself

    @property
    def folder(self) -> Path:
        """The job's own folder for the files it creates; removed when the job has ended."""
        return self._space.files.work(self.id)

    @property
    def stopping(self) -> bool:
        """Whether somebody asked it to stop."""
        return self._space.files.is_asked_to_stop(self.id)

    def tell(self, done: int, total: int = 0, words: str = "") -> None:
        """Report progress; `words` is a message.

        Raises:
            Stopped: somebody asked it to stop.
        """
        serialised = to_json(words, speakers()) if words else self._reported.words
        before, self._reported = self._reported, JobProgress(done, total, serialised)
        at = time.monotonic()
        unchanged = (before.words, before.total) == (serialised, total) and (done < total or not total)
        if unchanged and at - self._reported_at < STEP:
            return
        self._reported_at = at
        self._space.files.write_progress(self.id, self._reported)
        if self.stopping:
            raise Stopped

    def settle(self, connection: Connection, finished: Finished) -> None:
        """Write the result within an act: it is stored if and only if the act is. The job creates no file."""
        put_job(connection, _ended(self._row, State.FINISHED, result=_result(finished)))
        self._settled = True

    def begin(self, work: Work) -> None:
        """Store the job and start its work in a thread."""
        self._alive = self._space.files.begin(self.id)
        try:
            self._space.rows.add_job(self._row)
        except BaseException:
            self._release()
            raise
        self._thread = Thread(target=self._run, args=(work,), name=f"job {self.id}", daemon=True)
        self._thread.start()

    def _run(self, work: Work) -> None:
        self._space.sweep_if_due()
        try:
            with speaking(self._row.language):
                finished = work(self)
            if not self._settled:
                self._finish(finished)
        except Stopped:
            self._end(State.STOPPED)
        except WordholdError as error:
            self._end(State.FAILED, error)
        except OSError as error:
            self._end(State.FAILED, self._full(error) if error.errno in FULL else self._fault())
        except Exception:
            self._end(State.FAILED, self._fault())
        finally:
            self._release()

    def _finish(self, finished: Finished) -> None:
        made: FileRow | None = None
        if finished.file is not None:
            with finished.file.open("rb") as content:
                name = finished.name or finished.file.name
                made = self._space.store_file("made", name, content, by=self.by, job_id=self.id)
        row = _ended(self._row, State.FINISHED, result=_result(finished, made.id if made else ""))

        def write(connection: Connection) -> None:
            if made is not None:
                put_file(connection, made)
            put_job(connection, row)

        self._space.rows.patiently(write)

    def _end(self, state: State, error: WordholdError | None = None) -> None:
        kept = to_json(_kept_error(error), speakers()) if error else ""
        row = _ended(self._row, state, error=kept)
        try:
            self._space.rows.patiently(lambda connection: put_job(connection, row))
        except WordholdError:
            log.exception("The outcome of the job “%s” could not be written", self.title)

    def _fault(self) -> WordholdError:
        log.exception("The job “%s” failed", self.title)
        return WordholdError(
            message("Something went wrong in the program."),
            where=self.title,
            fix=message("See the program's log for what happened."),
        )

    def _full(self, error: OSError) -> WordholdError:
        return StorageFull(
            message("The disk is full."),
            where=str(error.filename or "") or self.title,
            fix=message("Free some disk space and start it again. Nothing incomplete was kept."),
        )

    def _release(self) -> None:
        if self._alive is not None:
            self._alive.release()
        self._space.files.end(self.id)


class Jobs:
    """The jobs of one web interface, whichever process started them."""

    def __init__(self, space: Workspace) -> None:
        self._space = space

    def start(self, title: str, work: Work, back: str = "/", *, by: str = "", language: str = "en") -> Job:
        """Start a job.

        Args:
            title: what it does; a message.
            work: the work; runs outside any request.
            back: the page to return to.
            by: the person who starts it.
            language: that person's language; files are written in it.

        Raises:
            BadInput, Unavailable, StorageFull: it cannot be stored.
        """
        started = stamp(workspace.now())
        row = JobRow(token_urlsafe(18), to_json(title, speakers()), back, by, language, "running", started)
        job = Job(self._space, row)
        job.begin(work)
        return job

    def newest(self, back: str = "") -> tuple[Job, ...]:
        """Return the jobs that are still known, newest first; only those from one page if `back` is given."""
        newest = [Job(self._space, row) for row in self._space.rows.jobs(back=back) if row.state != GONE]
        for job in newest:
            if job.state is State.RUNNING:
                # Without the files folder the state is unknown; the job's page says so.
                with suppress(WordholdError):
                    job.reload()
        return tuple(newest)

    def get(self, job_id: str) -> Job:
        """Return the job with this id in its current state.

        Raises:
            NotFound: there is none, or it was removed.
        """
        row = self._space.rows.job(job_id)
        if row is None:
            raise NotFound(
                message("This job is no longer known."), where=job_id, fix=message("Start it again.")
            )
        if row.state == GONE:
            raise NotFound(
                message(
                    "The result of “%(title)s” was kept until %(date)s and then removed.",
                    title=_message(row.title),
                    date=until(row.expires),
                ),
                where=job_id,
                fix=message("Start it again."),
            )
        job = Job(self._space, row)
        if job.state is State.RUNNING:
            job.reload()
        return job


def speakers() -> tuple[Translator, ...]:
    """Return a translator for each interface language, to store messages that are shown later."""
    return tuple(voice_of(tag).speaker for tag in LANGUAGES)


def _ended(row: JobRow, state: State, *, result: str = "", error: str = "") -> JobRow:
    at = workspace.now()
    return replace(
        row, state=state.value, ended=stamp(at), expires=stamp(at + JOB_LIFE), result=result, error=error
    )


def _result(finished: Finished, file_id: str = "") -> str:
    detail = "" if finished.detail is None else to_json(finished.detail, speakers())
    return to_json(Result(finished.words, finished.url, file_id, detail), speakers())


def _message(kept: str) -> str:
    """Return a message that was stored on its own."""
    try:
        return from_json(str, kept)
    except BadInput as error:
        return error.what


def _kept_error(error: WordholdError) -> _KeptError:
    return _KeptError(
        type(error).__name__,
        error.what,
        error.where,
        error.fix,
        tuple(_kept_error(inner) for inner in error.more) if isinstance(error, BadInput) else (),
        tuple(_kept_error(inner) for inner in error.rows) if isinstance(error, BadRows) else (),
        error.path if isinstance(error, BadInput) else (),
    )


def _error(kept: _KeptError) -> WordholdError:
    if kept.rows:
        return BadRows((_bad(row) for row in kept.rows), where=kept.where)
    if kept.kind == BadInput.__name__ or kept.more:
        error = _bad(kept)
        error.more = tuple(_bad(inner) for inner in kept.more)
        return error
    kind = _ERRORS.get(kept.kind, WordholdError)
    return kind(kept.what, where=kept.where, fix=kept.mend)


def _bad(kept: _KeptError) -> BadInput:
    return BadInput(kept.what, where=kept.where, fix=kept.mend, path=kept.path)
