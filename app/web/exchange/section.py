"""The section's blueprint, and redirecting after a short job."""

from flask import Blueprint, redirect
from werkzeug.wrappers import Response

from app.web.progress import Job, to_job

__all__ = ["MOST_SHOWN", "blueprint", "seen_through"]

blueprint = Blueprint("exchange", __name__, url_prefix="/exchange")

MOST_SHOWN = 500
"""Maximum entries or sources in a preview, each with a checkbox; the rest are imported by state."""

PATIENCE = 2.0
"""Seconds: most files are checked by then, and errors are shown beside the field."""


def seen_through(job: Job, to: str) -> Response:
    """Redirect to a page at once if a job ends soon, else to the job's page.

    Raises:
        WordholdError: the job failed.
    """
    job.wait(PATIENCE)
    error = job.error
    if error is not None:
        raise error
    return redirect(to, 303) if job.result is not None else to_job(job)
