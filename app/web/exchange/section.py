"""The section's blueprint, and going on from a job that ends soon."""

from collections.abc import Callable

from flask import Blueprint, redirect
from werkzeug.wrappers import Response

from app.web.errors import status_of
from app.web.progress import Finished, Job, start, to_job
from termbase.errors import WordholdError
from termbase.messages import message

__all__ = ["MOST_SHOWN", "blueprint", "seen_through", "taken_in"]

blueprint = Blueprint("exchange", __name__, url_prefix="/exchange")

MOST_SHOWN = 500
"""Entries or sources that a preview shows, each to be ticked; the rest are taken by what they are."""

PATIENCE = 2.0
"""Seconds: most files are looked through by then, and what is wrong is told beside the field."""


def seen_through(job: Job, to: str) -> Response:
    """Go on to a page at once where a job ends soon, else by the page of the job.

    Raises:
        WordholdError: the job was refused.
    """
    job.wait(PATIENCE)
    error = job.error
    if error is not None:
        raise error
    return redirect(to, 303) if job.result is not None else to_job(job)


def taken_in(
    work: Callable[[Job], Finished], name: str, to: str, refused: Callable[[WordholdError], str]
) -> Response | tuple[str, int]:
    """Take a file in and go on; where it is refused, the page that says why, with what was chosen on it."""
    try:
        return seen_through(start(message("Taking in %(name)s", name=name), work, back=to), to)
    except WordholdError as error:
        return refused(error), status_of(error)
