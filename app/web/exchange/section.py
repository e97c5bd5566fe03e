"""The section's blueprint, and going on from a job that ends soon."""

from flask import Blueprint, redirect
from werkzeug.wrappers import Response

from app.web.progress import Job, to_job

__all__ = ["MOST_SHOWN", "blueprint", "seen_through"]

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
